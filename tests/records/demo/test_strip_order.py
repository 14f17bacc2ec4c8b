"""The demo's access lists and refitting order against what was written down by hand (``truth.toml``)."""

from __future__ import annotations

import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from tickover.records.access import access_to, open_questions, refitting_of
from tickover.records.models import Build, LooseCount, Part

pytestmark = pytest.mark.django_db

TRUTH: dict[str, Any] = tomllib.loads((Path(__file__).parent / "truth.toml").read_text("utf-8"))


@pytest.mark.parametrize("case", TRUTH["access"], ids=lambda case: case["part"])
def test_what_comes_off_to_reach_a_part(heron: Build, case: dict[str, Any]) -> None:
    way = access_to(Part.objects.get(build=heron, name=case["part"]))
    assert [part.name for part in way.reach] == case["reach"]
    assert [part.name for part in way.more] == case["more"]


def test_a_chain_is_at_least_six_parts_long(heron: Build) -> None:
    assert max(len(case["reach"]) + len(case["more"]) + 1 for case in TRUTH["access"]) >= 6


def test_what_goes_back_on_and_in_which_order(heron: Build) -> None:
    worked = refitting_of(heron)
    order = [step.part.name for step in worked.steps]
    truth = TRUTH["refit"]
    for chain in truth["chains"]:
        for first, then in pairwise(chain):
            assert order.index(first) < order.index(then), (first, then)
    steps = {step.part.name: step for step in worked.steps}
    assert [name for name in truth["wait"] if not steps[name].waits] == []
    assert [name for name in truth["can_go_on"] if steps[name].waits] == []
    for name, in_the_way in truth["off_first"].items():
        assert [worked.names[number] for number in steps[name].off_first] == in_the_way
    assert not set(truth["never"]) & set(order)
    assert not worked.circles


def test_one_question_is_open_and_one_count_is_short(heron: Build) -> None:
    assert [str(cover) for cover in open_questions(heron)] == ["side stand covers left footrest"]
    differing = [count for count in LooseCount.objects.filter(build=heron) if count.difference]
    assert [(count.name, count.difference) for count in differing] == [("dowels of the sprocket cover", -1)]
