"""Patterns of inspections: every one names places, limits, instruments and sheets that there are."""

from __future__ import annotations

import pytest

from tickover import sheets
from tickover.planning import card_templates
from tickover.planning.inspections import Pattern, all_patterns, get, group_of
from tickover.records.models import Limit
from tickover.records.models.words import Chapter
from tickover.standards.instruments import INSTRUMENTS
from tickover.units import DIMENSIONS, BadInput


@pytest.fixture(params=list(all_patterns().values()), ids=lambda pattern: pattern.id)
def pattern(request: pytest.FixtureRequest) -> Pattern:
    return request.param


def test_the_inspections_of_a_rebuild_are_there() -> None:
    assert set(all_patterns()) >= {
        "bores", "ring_gaps", "pistons", "valve_clearances", "valve_stems", "crankshaft", "clutch_plates",
        "clutch_springs", "valve_springs", "discs", "wheels", "chain",
    }  # fmt: skip


def test_bores_are_read_at_three_heights_and_two_ways() -> None:
    places = [name for _, name, _ in get("bores").places(["left", "right"])]
    assert len(places) == len(set(places)) == 12
    assert places[:2] == ["left bore, top, across", "left bore, top, along"]


def test_it_names_only_what_there_is(pattern: Pattern) -> None:
    assert pattern.chapter in Chapter.values
    assert pattern.says
    for group in pattern.groups:
        assert group.dimension in DIMENSIONS
        assert group.read_with
        for instrument in group.read_with:
            assert INSTRUMENTS[instrument].dimension == group.dimension
        if group.card:
            assert card_templates.get(group.card)
    for derived in pattern.derived:
        inputs = sheets.get(derived.sheet).inputs
        assert set(derived.inputs) | set(derived.limits) <= set(inputs)
        assert {name for name, one in inputs.items() if one.required} <= set(derived.inputs)
        bounds = {field.name for field in Limit._meta.fields}
        assert {bound for _, bound in derived.limits.values()} <= bounds


@pytest.mark.parametrize("each", [[""], ["left", "right"], ["no. 1", "no. 2", "no. 3"]])
def test_its_places_are_known_again_by_their_names(pattern: Pattern, each: list[str]) -> None:
    places = pattern.places(each)
    names = [name for _, name, _ in places]
    assert len(names) == len(set(names))
    for group, name, _ in places:
        found = group_of(name)
        assert found is not None
        assert (found.limit, found.dimension) == (group.limit, group.dimension)
    for derived in pattern.derived:
        assert derived.each_of(names) == sorted(each)


def test_an_unknown_pattern_is_one_sentence() -> None:
    with pytest.raises(BadInput, match="no inspection “moon”"):
        get("moon")
