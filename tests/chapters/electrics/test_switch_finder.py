"""The positions table of a switch, against the demo's switches and against every small switch there is."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.document import read
from tickover.chapters.electrics.ohm_readings import Ohms, read_ohms
from tickover.chapters.electrics.switch_finder import SwitchReading, find_switch
from tickover.units import BadInput

OL = Ohms(math.inf)
KEY_SWITCH = {
    "off": [],
    "park": [["30", "58"]],
    "on": [["30", "15"], ["15", "58"]],
    "start": [["30", "15"], ["30", "50"]],
}


def groups(pairs: object, pins: str | list[str]) -> set[frozenset[str]]:
    """The pins joined to each other, by a fixed point over the pairs."""
    found = {pin: {pin} for pin in pins}
    for first, second in pairs:  # type: ignore[attr-defined]
        both = found[first] | found[second]
        for pin in both:
            found[pin] = both
    return {frozenset(group) for group in found.values()}


def partitions(pins: str) -> list[list[list[str]]]:
    if not pins:
        return [[]]
    first, rest = pins[0], pins[1:]
    ways = []
    for others in partitions(rest):
        ways.append([[first], *others])
        ways += [[*others[:n], [first, *others[n]], *others[n + 1 :]] for n in range(len(others))]
    return ways


def test_the_loom_shows_the_same_positions() -> None:
    """A switch of the loom, read pair by pair with the loom's own solver."""
    document = {
        "loom": 1,
        "components": [
            {"id": "K", "kind": "switch", "positions": KEY_SWITCH, "at": "off"},
            {"id": "G", "kind": "ground"},
        ],
        "wires": [{"id": "W", "from": "K.30", "to": "G.a", "mm2": 1, "length_mm": 10}],
    }
    circuit, pins = Circuit(read(document)), ["15", "30", "50", "58"]
    readings = []
    for position in KEY_SWITCH:
        for a, b in combinations(pins, 2):
            ohms = circuit.ohms(f"K.{a}", f"K.{b}", {"K": position})
            readings.append(SwitchReading(position, (a, b), OL if ohms is None else Ohms(ohms, 0.2)))
    found = find_switch(pins, list(KEY_SWITCH), readings)
    assert found.certain
    for position, pairs in KEY_SWITCH.items():
        assert groups(found.positions[position], pins) == groups(pairs, pins)


@pytest.mark.parametrize("pins", ["12", "123", "1234", "12345"])
def test_every_way_to_join_the_pins_is_found(pins: str) -> None:
    for way in partitions(pins):
        at = {pin: number for number, group in enumerate(way) for pin in group}
        readings = [
            SwitchReading("on", pair, read_ohms("0.4") if at[pair[0]] == at[pair[1]] else OL)
            for pair in combinations(pins, 2)
        ]
        found = find_switch(pins, ["on"], readings)
        assert found.certain
        assert groups(found.positions["on"], list(pins)) == {frozenset(group) for group in way}
        assert len(found.positions["on"]) == len(pins) - len(way)


@given(st.sampled_from(partitions("1234")), st.data())
def test_from_some_readings_nothing_is_called_known_that_could_be_otherwise(
    way: list[list[str]], data: st.DataObject
) -> None:
    """What some readings leave open is named: certain if, and only if, one way alone fits them (tried one by one)."""
    at = {pin: number for number, group in enumerate(way) for pin in group}
    pairs = data.draw(st.lists(st.sampled_from(list(combinations("1234", 2))), unique=True))
    readings = [SwitchReading("on", pair, read_ohms("0.4") if at[pair[0]] == at[pair[1]] else OL) for pair in pairs]
    found = find_switch("1234", ["on"], readings)
    fit = [
        other
        for other in partitions("1234")
        if all((at[a] == at[b]) == any({a, b} <= set(group) for group in other) for a, b in pairs)
    ]
    assert found.certain == (len(fit) == 1)
    for a, b in combinations("1234", 2):
        told = len({any({a, b} <= set(group) for group in other) for other in fit}) == 1
        assert told == (("on", (a, b)) not in found.untold)
    assert (found.next is None) == found.certain


@given(st.sampled_from(partitions("12345")))
def test_the_proposed_readings_end(way: list[list[str]]) -> None:
    at = {pin: number for number, group in enumerate(way) for pin in group}
    readings: list[SwitchReading] = []
    while (wanted := find_switch("12345", ["on"], readings).next) is not None:
        position, (a, b) = wanted
        readings.append(SwitchReading(position, (a, b), read_ohms("0.4") if at[a] == at[b] else OL))
    assert len(readings) <= 10
    assert groups(find_switch("12345", ["on"], readings).positions["on"], list("12345")) == {frozenset(g) for g in way}


def test_what_does_not_go_together_is_named() -> None:
    readings = [
        SwitchReading("on", ("1", "2"), read_ohms("0.3")),
        SwitchReading("on", ("2", "3"), read_ohms("0.3")),
        SwitchReading("on", ("1", "3"), OL),
    ]
    (says,) = find_switch("123", ["on"], readings).contradictions
    assert "1 and 3 read OL, but other readings join them" in says
    (says,) = find_switch("12", ["on"], [SwitchReading("on", ("1", "2"), read_ohms("470"))]).contradictions
    assert "neither joined nor open" in says


def test_a_poor_contact_is_joined_and_said() -> None:
    found = find_switch("12", ["off", "on"], [
        SwitchReading("off", ("1", "2"), OL), SwitchReading("on", ("1", "2"), read_ohms("8 ± 0.2"))])  # fmt: skip
    assert found.positions == {"off": (), "on": (("1", "2"),)}
    assert "A poor contact, 1 to 2 in on" in found.notes[0]
    assert found.contact_ohms == read_ohms("8 ± 0.2")


@pytest.mark.parametrize(
    ("pins", "positions", "reading", "says"),
    [
        ("1", ["on"], None, "1 pins are given"),
        ("12", [], None, "0 positions"),
        ("11", ["on"], None, "pin 1 is named twice"),
        ("12", ["on", "on"], None, "position on is named twice"),
        ("12", ["on"], SwitchReading("off", ("1", "2"), OL), "no position off"),
        ("12", ["on"], SwitchReading("on", ("1", "3"), OL), "two of the pins"),
    ],
)
def test_what_cannot_be_used_is_refused(
    pins: str, positions: list[str], reading: SwitchReading | None, says: str
) -> None:
    with pytest.raises(BadInput, match=says):
        find_switch(pins, positions, [reading] if reading else [])
