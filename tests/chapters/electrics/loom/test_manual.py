"""The manual's page on the loom document names everything there is, and its example works."""

from __future__ import annotations

import json
import re
from pathlib import Path

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.faults import FAULT_KINDS
from tickover.chapters.electrics.loom.kinds import COLOURS, CONDITIONS, KINDS, WIRE_VALUES

PAGE = (Path(__file__).parents[4] / "docs" / "loom.md").read_text(encoding="utf-8")


def test_every_kind_key_and_fault_is_in_the_manual() -> None:
    for kind, made in KINDS.items():
        (row,) = (line for line in PAGE.splitlines() if line.startswith(f"| `{kind}` |"))
        for word in (*(value.key for value in made.values), *(key for key, _, _ in made.words)):
            assert f"`{word}`" in row, (kind, word)
        for pin in made.pins:
            assert re.search(rf"(?<!\w){re.escape(pin)}(?!\w)", row.split("|")[2]), (kind, pin)
    for word in (*(value.key for value in WIRE_VALUES), *CONDITIONS, "reach_minutes", "behind", "says", "name"):
        assert f"`{word}`" in PAGE, word
    for kind in FAULT_KINDS:
        assert f"| `{kind}:ID" in PAGE, kind
    assert all(code in PAGE for code in COLOURS)


def test_the_manuals_example_works() -> None:
    (example,) = re.findall(r"```json\n(.*?)```", PAGE, re.DOTALL)
    data = json.loads(example)
    assert document.check(data) == []
    solution = Circuit(document.read(data)).solve({"PEDAL": "down"})
    assert 1.6 < solution.amps["STOP"] < 1.9
