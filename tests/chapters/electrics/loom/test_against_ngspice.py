"""The solver against ngspice, node by node, in every switch setting of looms made at random."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.circuit import Circuit, Solution
from tickover.chapters.electrics.loom.kinds import KINDS

from . import ngspice_reference, random_looms

LOOMS = 200
BATCHES = 8
WITHIN_SHARE, WITHIN_VOLTS = 1e-3, 1e-3


def compare(
    netlist: ngspice_reference.Netlist,
    solution: Solution,
    settings: dict[str, str],
    pulled_in: dict[str, bool],
    volts: dict[str, float],
) -> int:
    """Assert that every pin agrees, and those without a path; how many had volts."""
    assert set(netlist.nodes) == set(solution.volts)
    reached = netlist.with_a_path(settings, pulled_in, volts)
    compared = 0
    for pin, node in netlist.nodes.items():
        ours, theirs = solution.volts[pin], volts.get(node, 0.0)
        assert (ours is None) == (node not in reached), (pin, ours, theirs)
        if ours is not None:
            assert abs(ours - theirs) <= WITHIN_SHARE * abs(theirs) + WITHIN_VOLTS, (pin, ours, theirs)
            compared += 1
    return compared


def agrees(*arguments: Any) -> bool:
    """Whether ngspice's own search for the operating point ended where the relays' rounds from rest do."""
    try:
        compare(*arguments)
    except AssertionError:
        return False
    return True


def check_loom(data: dict[str, Any], seen: Counter[str]) -> None:
    circuit = Circuit(document.read(data))
    netlist = ngspice_reference.Netlist(data)
    every = random_looms.settings(data)
    found = netlist.run([netlist.contact_ohms(settings) for settings in every])
    for settings, volts in zip(every, found, strict=True):
        solution = circuit.solve(settings)
        ours = {relay: state == "pulled in" for relay, state in solution.relays.items()}
        if volts is not None and solution.settled and agrees(netlist, solution, settings, ours, volts):
            seen["pins"] += sum(value is not None for value in solution.volts.values())
            seen["at once"] += 1
            continue
        held, pulled_in, volts, settled = ngspice_reference.from_rest(data, settings)
        assert volts is not None, (settings, "ngspice finds no operating point")
        assert settled == solution.settled, settings
        if settled:
            assert pulled_in == ours
            seen["pins"] += compare(held, solution, settings, ours, volts)
            seen["round by round"] += 1
        else:
            seen["chatter"] += 1


@pytest.mark.parametrize("batch", range(BATCHES))
def test_every_node_of_random_looms_in_every_setting(batch: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(batch, LOOMS, BATCHES):
        data = random_looms.loom(seed)
        assert len(data["components"]) <= 85
        try:
            check_loom(data, seen)
        except AssertionError as problem:
            raise AssertionError(f"loom of seed {seed}: {problem}") from problem
    print(dict(seen))
    settled = seen["at once"] + seen["round by round"]
    assert settled >= 3 * LOOMS // BATCHES
    assert seen["chatter"] <= settled // 6
    assert seen["pins"] >= 40 * settled


def test_the_random_looms_have_every_kind_and_contact() -> None:
    looms = [random_looms.loom(seed) for seed in range(LOOMS)]
    parts = [part for data in looms for part in data["components"]]
    assert {part["kind"] for part in parts} == set(KINDS)
    assert {part["contact"] for part in parts if part["kind"] == "relay"} == {"make", "break", "changeover"}
    assert max(len(data["components"]) for data in looms) > 75
