"""The wiring of the Penhallow Heron 450 as it stands on the bench: what it is, and what it does."""

from __future__ import annotations

import re
import subprocess
from collections import Counter

import pytest

import tickover
from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.document import Loom
from tickover.chapters.electrics.loom.faults import parse, single_faults
from tickover.chapters.electrics.loom.solution import Solution
from tickover.chapters.electrics.loom.spice import netlist

DEMO = tickover.__path__[0] + "/records/demo/loom.json"
PLANTED = "open:FRAME.coil_bracket"
START = {"KEY": "on", "KILL": "run", "START": "in", "CLUTCH": "in", "NEUTRAL": "gear"}


@pytest.fixture(scope="module")
def loom() -> Loom:
    return document.load(DEMO)


def run(loom: Loom, settings: dict[str, str], *faults: str, turning: bool = False) -> Solution:
    return Circuit(loom, [parse(fault, loom) for fault in faults]).solve(settings, turning=turning)


def volts(solution: Solution, pin: str) -> float:
    value = solution.volts[pin]
    assert value is not None, pin
    return value


def test_it_is_the_size_that_was_asked_for_and_has_nothing_wrong(loom: Loom) -> None:
    assert document.check(document.parse_file(DEMO)) == []
    assert len(loom.components) >= 25
    assert len(loom.wires) >= 45
    assert {part.contact for part in loom.components if part.kind == "relay"} == {"make", "break", "changeover"}
    tags = [int(wire.tag) for wire in loom.wires if wire.tag]
    assert sorted(tags) == list(range(1, 61))
    assert all(wire.colour for wire in loom.wires if wire.tag)


def test_it_cranks_and_fires(loom: Loom) -> None:
    solution = run(loom, START, turning=True)
    assert solution.settled
    assert solution.relays["RST"] == "pulled in"
    assert solution.amps["ST"] > 100.0
    assert solution.firing == {"IGN": True}
    assert min(solution.coils.values()) > 2.0
    assert solution.warnings == ()


@pytest.mark.parametrize(
    ("changed", "cranks"),
    [
        ({}, True),
        ({"CLUTCH": "out"}, False),
        ({"CLUTCH": "out", "NEUTRAL": "neutral"}, True),
        ({"KILL": "off"}, False),
        ({"KEY": "off"}, False),
        ({"KEY": "park"}, False),
        ({"START": "out"}, False),
    ],
)
def test_the_interlocks(loom: Loom, changed: dict[str, str], cranks: bool) -> None:
    assert (run(loom, START | changed).amps["ST"] > 50.0) == cranks


def test_the_diodes_keep_the_clutch_off_the_neutral_lamp(loom: Loom) -> None:
    pulled = run(loom, START)
    assert abs(pulled.amps["HNE"]) < 1e-6
    assert abs(run(loom, START, "short:D1").amps["HNE"]) > 0.05
    assert abs(run(loom, {"KEY": "on"}).amps["HNE"]) > 0.05


def test_the_side_stand_keeps_it_from_firing_not_from_cranking(loom: Loom) -> None:
    solution = run(loom, START | {"STAND": "down"}, turning=True)
    assert solution.amps["ST"] > 100.0
    assert solution.firing == {"IGN": False}


def test_lamps(loom: Loom) -> None:
    def lit(**settings: str) -> set[str]:
        solution = run(loom, {"KEY": "on", "NEUTRAL": "gear", "OIL": "pressure", **settings})
        return {
            part.id
            for part in loom.components
            if part.kind == "bulb" and abs(solution.across(part.id, "a", "b") or 0.0) > 9.0
        }

    assert lit() == {"HTL", "HIN"}
    assert lit(KEY="park") == {"HTL", "HIN"}
    assert lit(KEY="off") == set()
    assert lit(LIGHT="on") == {"HTL", "HIN", "HLO"}
    assert lit(LIGHT="on", DIP="high") == {"HTL", "HIN", "HHI"}
    assert lit(LIGHT="on", START="in", CLUTCH="in") == {"HTL", "HIN"}
    assert lit(BRF="in") == lit(BRR="in") == {"HTL", "HIN", "HST"}
    assert lit(TURN="left") == {"HTL", "HIN", "HLF", "HLR"}
    assert lit(NEUTRAL="neutral", OIL="rest") == {"HTL", "HIN", "HNE", "HOI"}


def test_the_planted_fault_cranks_and_does_not_fire(loom: Loom) -> None:
    solution = run(loom, START, PLANTED, turning=True)
    assert solution.amps["ST"] > 100.0
    assert solution.firing == {"IGN": False}
    assert set(solution.coils.values()) == {0.0}
    assert parse(PLANTED, loom) in single_faults(loom)


def test_the_planted_fault_can_be_found_by_its_volts(loom: Loom) -> None:
    """The box's earth stands at the supply instead of at the frame, and only what mends it away mends that."""
    sound, broken = run(loom, START), run(loom, START, PLANTED)
    assert volts(sound, "IGN.31") < 0.1
    assert volts(broken, "IGN.31") > 8.0
    assert volts(broken, "SP3.c") > 8.0
    assert volts(broken, "FRAME.coil_bracket") == 0.0
    like_it = set()
    for fault in single_faults(loom):
        other = run(loom, START, str(fault))
        if all(
            other.volts[pin] is not None and abs(volts(other, pin) - volts(broken, pin)) < 0.3
            for pin in ("IGN.15", "IGN.31", "SP3.b", "SP3.c", "C1.15")
        ):
            like_it.add(str(fault))
    assert PLANTED in like_it
    assert like_it <= {PLANTED, "open:W18", "open:SP3.c", "high_ohms:C1", "high_ohms:C2"}


def test_its_netlist_says_the_same_to_ngspice(loom: Loom) -> None:
    """The netlist that tickover writes, run as it is, node by node."""
    cases: list[tuple[dict[str, str], tuple[str, ...], bool]] = [
        ({}, (), False),
        (START, (), True),
        (START, (PLANTED,), True),
        ({"KEY": "on", "LIGHT": "on", "DIP": "high", "TURN": "left"}, ("high_ohms:FRAME.headstock",), False),
        ({"KEY": "on", "START": "in"}, ("reversed:D1", "stuck_closed:RHL"), False),
        ({"KEY": "on", "BRF": "in"}, ("swapped:KEY.15,KEY.58", "open:RDIP"), False),
    ]
    for settings, names, turning in cases:
        faults = [parse(name, loom) for name in names]
        solution = Circuit(loom, faults).solve(settings, turning=turning)
        text = netlist(loom, settings, faults, turning)
        reading = text.replace(".op\n.end\n", ".control\nset numdgt=12\nop\nprint all\n.endc\n.end\n")
        done = subprocess.run(["ngspice", "-b", "/dev/stdin"], input=reading, capture_output=True, text=True)
        theirs = {found[1]: float(found[2]) for found in re.finditer(r"^V\((\d+)\) = (\S+)$", done.stdout, re.I | re.M)}
        nodes = {
            pin: found[1] for found in re.finditer(r"^\* node (\d+): (.*)$", text, re.M) for pin in found[2].split()
        }
        assert set(nodes) == set(solution.volts)
        compared = Counter[bool]()
        for pin, value in solution.volts.items():
            if value is not None and nodes[pin] != "0":
                assert abs(value - theirs[nodes[pin]]) <= 1e-3 * abs(value) + 1e-3, (settings, names, pin)
                compared[abs(value) > 1.0] += 1
        assert compared[True] > 5 or not settings
