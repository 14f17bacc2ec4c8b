"""Reading, checking and writing a loom document."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings, strategies

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.document import LoomProblems, Wire
from tickover.chapters.electrics.loom.kinds import KINDS
from tickover.units import BadInput

from . import random_looms

CONTRACT: dict[str, Any] = json.loads("""
{"loom": 1, "name": "...",
 "components": [
  {"id": "BAT", "kind": "battery", "volts": 12.6, "ohms": 0.02},
  {"id": "F1",  "kind": "fuse", "amps": 15, "ohms": 0.006},
  {"id": "KEY", "kind": "switch", "positions": {"off": [], "on": [["30", "15"]]}, "at": "off"},
  {"id": "R1",  "kind": "relay", "contact": "changeover", "coil_ohms": 85, "pull_in_volts": 7.5, "drop_out_volts": 2.5},
  {"id": "D1",  "kind": "diode", "saturation_amps": 1e-9, "ideality": 1.8},
  {"id": "H1",  "kind": "bulb", "watts": 55, "volts": 12},
  {"id": "L1",  "kind": "resistor", "ohms": 47},
  {"id": "C1",  "kind": "ignition_coil", "primary_ohms": 3.0, "secondary_ohms": 12000},
  {"id": "IGN", "kind": "igniter", "draw_ohms": 120, "on_ohms": 0.1, "min_volts": 8.0, "inhibit": "grounded"},
  {"id": "ST",  "kind": "starter", "ohms": 0.06},
  {"id": "PU",  "kind": "pickup", "ohms": 300},
  {"id": "SP1", "kind": "splice"},
  {"id": "FRAME", "kind": "ground"}],
 "wires": [
  {"id": "W1", "from": "BAT.+", "to": "F1.a", "mm2": 2.5, "length_mm": 400, "colour": "RD", "tag": "7",
   "contact_ohms": 0.002}]}
""")


def changed(change: Callable[[dict[str, Any]], object]) -> list[str]:
    """The errors of the contract's document with one thing changed."""
    data = copy.deepcopy(CONTRACT)
    change(data)
    return [str(problem) for problem in document.check(data) if problem.error]


def component(part_id: str, **values: Any) -> Callable[[dict[str, Any]], object]:
    def change(data: dict[str, Any]) -> None:
        part = next(part for part in data["components"] if part["id"] == part_id)
        for key, value in values.items():
            if value is ...:
                del part[key]
            else:
                part[key] = value

    return change


def wire(**values: Any) -> Callable[[dict[str, Any]], object]:
    def change(data: dict[str, Any]) -> None:
        for key, value in values.items():
            if value is ...:
                del data["wires"][0][key]
            else:
                data["wires"][0][key.rstrip("_")] = value

    return change


def test_the_contracts_own_document_has_no_errors() -> None:
    assert {part["kind"] for part in CONTRACT["components"]} == set(KINDS)
    assert changed(lambda data: None) == []
    loom = document.read(CONTRACT)
    assert loom.component("KEY").at == "off"
    assert loom.component("KEY").values["contact_ohms"] == 0.005
    assert loom.component("R1").values["contact_ohms"] == 0.01
    assert loom.celsius == 20.0


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (component("L1", ohm=3), 'component L1: unknown key "ohm"; the nearest is ohms.'),
        (component("L1", ohms=...), "component L1: ohms is missing; give a number between 1e-06 and 1e+09 ohm."),
        (component("L1", ohms="47"), 'component L1: ohms is "47", not a number;'),
        (component("L1", ohms=True), "component L1: ohms is true, not a number;"),
        (component("L1", ohms=0), "component L1: ohms is 0 ohm, out of range;"),
        (component("L1", ohms=float("nan")), "component L1: ohms is NaN ohm, out of range;"),
        (component("L1", kind="resistance"), 'is of the unknown kind "resistance"; the nearest is resistor.'),
        (component("L1", kind=...), "component L1: has no kind;"),
        (component("L1", id="L.1"), 'id "L.1" cannot be used; an id is text of letters, digits, _ and -.'),
        (component("L1", id="W1"), "wire W1: the id is already taken by a component;"),
        (component("L1", id="H1"), "component H1: the id is already taken by a component;"),
        (component("L1", condition="rusty"), 'component L1: condition is "rusty"; it may be good, worn, damaged,'),
        (component("L1", behind="tank"), 'component L1: behind is "tank"; give a list'),
        (component("L1", reach_minutes=-1), "component L1: reach_minutes is -1 min, out of range;"),
        (component("R1", contact="both"), 'component R1: contact is "both"; it may be make, break or changeover.'),
        (component("R1", contact=...), "component R1: contact is missing;"),
        (component("R1", drop_out_volts=9), "component R1: drop_out_volts 9 is above pull_in_volts 7.5;"),
        (component("KEY", at="start"), 'component KEY: at is "start", not one of its positions; it may be off or on.'),
        (component("KEY", positions={}), "component KEY: positions is empty;"),
        (component("KEY", positions={"off": ["30"]}), 'component KEY: position off holds "30", not a pair of pins;'),
        (component("KEY", positions={"off": [["a", "a"]]}), "component KEY: position off joins pin a to itself;"),
        (component("KEY", positions={"off": [["a", "b"], ["b", "a"]]}), "position off joins b and a twice;"),
        (component("KEY", positions={"off": [["a", "b.c"]]}), "position off names a pin that cannot be used"),
        (component("IGN", inhibit="sometimes"), 'IGN: inhibit is "sometimes"; it may be grounded, live or none.'),
        (wire(from_="BAT.plus"), "wire W1: from is BAT.plus, and a battery has no pin plus; its pins are + or -."),
        (wire(from_="BATT.+"), "wire W1: from is BATT.+, and there is no component BATT; the nearest is BAT."),
        (wire(from_="BAT"), 'wire W1: from is "BAT"; write a pin as "ID.pin".'),
        (wire(to=...), "wire W1: to is missing;"),
        (wire(colour="red"), 'wire W1: colour "red" is not a code of IEC 60757;'),
        (wire(colour="gn/ye"), 'wire W1: colour "gn/ye" is not a code of IEC 60757; write GN/YE.'),
        (wire(tag=7), "wire W1: tag is 7, not text;"),
        (wire(mm2=0), "wire W1: mm2 is 0 mm², out of range;"),
        (wire(length_mm=...), "wire W1: length_mm is missing;"),
        (lambda data: data.pop("loom"), "document: loom is missing; write 1,"),
        (lambda data: data.update(loom=2), "document: loom is 2; write 1,"),
        (lambda data: data.update(colour="RD"), 'document: unknown key "colour";'),
        (lambda data: data.update(wires={}), "document: wires is not a list;"),
        (lambda data: data["wires"].append(3), "wire 2: is not an object;"),
        (lambda data: data.update(celsius=400), "document: celsius is 400 °C, out of range;"),
    ],
)  # fmt: skip
def test_each_error_says_where_what_and_what_would_be_right(change: Callable[..., object], says: str) -> None:
    errors = changed(change)
    assert any(says in error for error in errors), errors


def test_every_error_is_found_at_once_and_before_the_warnings() -> None:
    data = copy.deepcopy(CONTRACT)
    for change in (component("L1", ohm=3), component("R1", contact="both"), wire(colour="red", mm2="thick")):
        change(data)
    problems = document.check(data)
    assert len([problem for problem in problems if problem.error]) == 4
    with pytest.raises(LoomProblems) as refused:
        document.read(data)
    assert len(refused.value.problems) == 4
    assert "(3 more errors: see tickover loom check.)" in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_wire_to_a_component_of_unknown_kind_is_not_blamed() -> None:
    errors = changed(component("F1", kind="fuze"))
    assert errors == ['component F1: is of the unknown kind "fuze"; the nearest is fuse.']


@pytest.mark.parametrize(
    "data", [None, [], 3, "loom", {}, {"loom": 1}, {"loom": 1, "components": [[]], "wires": [None]}]
)
def test_no_document_at_all(data: object) -> None:
    with pytest.raises(LoomProblems):
        document.read(data)


def advice(data: dict[str, Any]) -> list[str]:
    return [str(problem) for problem in document.check(data) if not problem.error]


def test_what_is_odd_is_told_and_does_not_forbid_solving() -> None:
    warnings = advice(CONTRACT)
    assert "component ST: no wire goes to it; wire it, or leave it out." in warnings
    assert "component BAT: pin - is wired nowhere; a battery needs it." in warnings
    data = copy.deepcopy(CONTRACT)
    data["components"] = [part for part in data["components"] if part["id"] in ("F1", "H1", "SP1", "R1", "KEY")]
    more = [("F1.b", "H1.a"), ("H1.b", "SP1.a"), ("R1.87", "KEY.30"), ("KEY.99", "R1.85")]
    data["wires"] = [
        {"id": f"W{n}", "from": a, "to": b, "mm2": 1, "length_mm": 10, "tag": "9"} for n, (a, b) in enumerate(more)
    ]
    next(part for part in data["components"] if part["id"] == "R1")["contact"] = "break"
    told = advice(data)
    for wanted in (
        "document: there is no battery;",
        "document: there is no ground;",
        "component SP1: only one wire goes to it;",
        "component R1: a wire goes to 87, which leads nowhere; a break contact joins 30 and 87a.",
        "component KEY: no position joins KEY.99 to anything;",
        "wire W1: tag 9 is on W0 too;",
    ):
        assert any(problem.startswith(wanted) for problem in told), (wanted, told)


def test_an_unfused_feed_is_told_and_a_starters_is_not() -> None:
    def loom(*joints: tuple[str, str]) -> dict[str, Any]:
        data = copy.deepcopy(CONTRACT)
        data["wires"] = [
            {"id": f"W{n}", "from": a, "to": b, "mm2": 1, "length_mm": 10} for n, (a, b) in enumerate(joints)
        ]
        return data

    feeds = "component L1: BAT feeds it through no fuse; put a fuse in its feed."
    assert feeds in advice(loom(("BAT.+", "SP1.a"), ("SP1.b", "L1.a")))
    assert feeds not in advice(loom(("BAT.+", "F1.a"), ("F1.b", "L1.a")))
    assert not any("through no fuse" in told for told in advice(loom(("BAT.+", "R1.30"), ("R1.87", "ST.+"))))


def test_what_is_written_reads_back_the_same() -> None:
    for seed in range(30):
        loom = document.read(random_looms.loom(seed))
        written = document.as_json(loom)
        json.dumps(written)
        assert document.read(written) == loom
        assert not [problem for problem in document.check(written) if problem.error]


def test_files_that_are_no_loom(tmp_path: Path) -> None:
    path = tmp_path / "loom.json"
    for content, says in [
        (b"", "is not JSON at line 1, column 1"),
        (b'{"loom": 1,}', "is not JSON at line 1"),
        (b"\xff\xfe", "is not UTF-8 text"),
        (b'{"loom": 1, "loom": 1}', "gives the key 'loom' twice"),
        (b"[" * 100000, "nested too deeply"),
        (b"3", "is not a JSON object"),
    ]:
        path.write_bytes(content)
        with pytest.raises(BadInput, match=says) as problem:
            document.load(path)
        assert str(path) in str(problem.value)
        assert "\n" not in str(problem.value)
    for absent in (tmp_path / "absent.json", tmp_path):
        with pytest.raises(BadInput, match="cannot be read"):
            document.load(absent)
    path.write_text(json.dumps(CONTRACT), encoding="utf-8-sig")
    assert document.load(path) == document.read(CONTRACT)


JSON = strategies.recursive(
    strategies.none()
    | strategies.booleans()
    | strategies.floats()
    | strategies.integers()
    | strategies.text(max_size=5),
    lambda inner: (
        strategies.lists(inner, max_size=3) | strategies.dictionaries(strategies.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)


@given(strategies.data())
@settings(max_examples=200, deadline=None)
def test_no_document_breaks_the_reader(data: strategies.DataObject) -> None:
    """Any value in any place is told, never a traceback."""
    loom = copy.deepcopy(CONTRACT)
    place: Any = loom
    if data.draw(strategies.booleans()):
        place = data.draw(strategies.sampled_from([*loom["components"], *loom["wires"]]))
    place[data.draw(strategies.sampled_from([*place, "at", "says", "new"]))] = data.draw(JSON)
    problems = document.check(loom)
    assert all(str(problem) for problem in problems)
    if not any(problem.error for problem in problems):
        document.read(loom)


def test_a_wires_ohms() -> None:
    """ISO 6722-1 gives 1 mm² of plain copper at most 18.5 mohm/m at 20 °C; soft copper itself has 17.24."""
    assert 17.2 < 1000.0 * Wire("W", "A.a", "B.b", mm2=1.0, length_mm=1000.0).ohms() < 18.5
