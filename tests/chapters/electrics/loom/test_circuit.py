"""The solver against closed forms, and against the laws that every circuit keeps."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings, strategies
from scipy.special import lambertw

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.devices import THERMAL_VOLTS
from tickover.chapters.electrics.loom.faults import Fault, single_faults
from tickover.chapters.electrics.loom.solution import Solution
from tickover.units import BadInput

from . import random_looms
from .build import battery, diode, loom_data, part, relay, resistor, solved


def volts(solution: Solution, pin: str) -> float:
    value = solution.volts[pin]
    assert value is not None, pin
    return value


def test_a_divider() -> None:
    """Ohm's law: 12 V behind 0.1 ohm through 3 ohm, 6 ohm and four wires of a milliohm."""
    solution = solved(
        loom_data(
            [battery(), resistor("R1", 3.0), resistor("R2", 6.0)],
            "BAT.+ R1.a", "R1.b R2.a", "R2.b FRAME.x", "BAT.- FRAME.y",
        )
    )  # fmt: skip
    current = 12.0 / (0.1 + 3.0 + 6.0 + 4 * 1e-3)
    assert solution.amps["R1"] == pytest.approx(current, rel=1e-12)
    assert solution.amps["W1"] == pytest.approx(current, rel=1e-9)
    assert solution.amps["W4"] == pytest.approx(-current, rel=1e-9)
    assert solution.amps["BAT"] == pytest.approx(-current, rel=1e-9)
    assert volts(solution, "R2.a") == pytest.approx(current * 6.001, rel=1e-12)
    assert volts(solution, "FRAME.x") == 0.0


def test_copper_warms() -> None:
    """IEC 60028: 0.393 % more ohms per kelvin above 20 °C."""
    data = loom_data([battery()], "BAT.+ FRAME.a", "BAT.- FRAME.b")
    data["wires"][0] |= {"mm2": 0.5, "length_mm": 3000.0}
    cold = solved(data).amps["W1"]
    data["celsius"] = 70.0
    ohms = 1.7241e-8 * 3.0 / 0.5e-6
    assert 12.0 / cold == pytest.approx(0.1 + ohms + 1e-3, rel=1e-9)
    assert 12.0 / solved(data).amps["W1"] == pytest.approx(0.1 + (ohms + 1e-3) * (1 + 0.00393 * 50.0), rel=1e-9)


@pytest.mark.parametrize("ohms", [0.5, 10.0, 1e4])
def test_a_diode_and_a_resistor(ohms: float) -> None:
    """Closed form by Lambert's W (T. C. Banwell, A. Jayakumar, Electronics Letters 36 (2000) 291-292)."""
    saturation, slope = 1e-9, 1.8 * THERMAL_VOLTS
    data = loom_data(
        [battery(), resistor("R", ohms), diode("D")], "BAT.+ R.a", "R.b D.a", "D.k FRAME.x", "BAT.- FRAME.y"
    )
    solution = solved(data)
    series = ohms + 0.1 + 4e-3
    # The milliohms and the leak of 1e-12 S change nothing in the eighth digit.
    current = (
        slope / series * lambertw(saturation * series / slope * np.exp((12.0 + saturation * series) / slope)).real
        - saturation
    )
    assert solution.amps["D"] == pytest.approx(current, rel=1e-8)
    blocked = solved(data, "reversed:D")
    assert blocked.amps["D"] == pytest.approx(saturation + 12e-12, rel=1e-3)
    assert volts(blocked, "D.a") == pytest.approx(12.0, abs=1e-4)


@pytest.mark.parametrize("ohms", [0.2, 5.0, 400.0])
def test_a_bulb_and_a_resistor(ohms: float) -> None:
    """sqrt(V Vr) / R + V / r = E / r is a quadratic in sqrt(V); below a hundredth of Vr a plain divider."""
    data = loom_data(
        [battery(), resistor("R", ohms), part("H", "bulb", watts=21, volts=12)],
        "BAT.+ R.a", "R.b H.a", "H.b FRAME.x", "BAT.- FRAME.y",
    )  # fmt: skip
    solution = solved(data)
    series, hot = ohms + 0.1 + 4e-3, 144.0 / 21.0
    pull = series * math.sqrt(12.0) / hot
    lit = ((-pull + math.sqrt(pull**2 + 4 * 12.0)) / 2) ** 2
    across = lit if lit > 0.12 else 12.0 * (hot / 10) / (series + hot / 10)
    assert volts(solution, "H.a") - volts(solution, "H.b") == pytest.approx(across, rel=1e-8)


def test_a_relay_chatters_through_its_own_break_contact() -> None:
    data = loom_data(
        [battery(), relay("R", "break"), relay("S", "make")],
        "BAT.+ R.30", "R.87a R.85", "R.86 FRAME.x", "BAT.- FRAME.y", "BAT.+ S.85", "S.86 FRAME.z",
    )  # fmt: skip
    solution = solved(data)
    assert not solution.settled
    assert solution.chatter == ("R",)
    assert solution.as_json()["settled"] is False
    assert solution.relays["S"] == "pulled in"
    assert any(warning.startswith("R: never settles") for warning in solution.warnings)


def test_relays_hold_between_their_thresholds() -> None:
    """A relay at 5 V keeps its state: held in by its own contact, at rest without it."""
    data = loom_data(
        [
            battery(),
            resistor("DROP", 140.0),
            relay("R", "make"),
            part("BUTTON", "switch", positions={"out": [], "in": [["a", "b"]]}),
        ],
        "BAT.+ DROP.a", "DROP.b R.85", "R.86 FRAME.x", "BAT.- FRAME.y", "BAT.+ BUTTON.a", "BUTTON.b R.85",
    )  # fmt: skip
    assert solved(data).relays["R"] == "at rest"
    assert solved(data, BUTTON="in").relays["R"] == "pulled in"


@pytest.mark.parametrize(
    ("contact", "rest", "pulled"), [("make", "", "87"), ("break", "87a", ""), ("changeover", "87a", "87")]
)
def test_the_three_contact_forms(contact: str, rest: str, pulled: str) -> None:
    data = loom_data(
        [
            battery(),
            relay("R", contact),
            part("KEY", "switch", positions={"off": [], "on": [["a", "b"]]}),
            resistor("UP", 10.0),
            resistor("DOWN", 10.0),
        ],
        "BAT.+ KEY.a", "KEY.b R.85", "R.86 FRAME.x", "BAT.- FRAME.y", "BAT.+ R.30",
        "R.87 UP.a", "R.87a DOWN.a", "UP.b FRAME.u", "DOWN.b FRAME.d",
    )  # fmt: skip
    for position, joined in (("off", rest), ("on", pulled)):
        solution = solved(data, KEY=position)
        for pin, load in (("87", "UP"), ("87a", "DOWN")):
            assert (abs(solution.amps[load]) > 1.0) == (pin == joined)


def test_pins_without_a_path() -> None:
    """Open ends and what blocking diodes shut off have no volts; what an idle diode reaches has them."""
    data = loom_data(
        [battery(), battery(9.0, 1.0, "LOOSE"), diode("IDLE"), diode("UP"), diode("DOWN"), resistor("R", 50.0),
         part("KEY", "switch", positions={"off": [], "on": [["a", "b"]]})],
        "BAT.+ KEY.a", "BAT.- FRAME.y", "BAT.+ IDLE.a", "BAT.+ UP.k", "UP.a R.a", "R.b DOWN.k", "DOWN.a FRAME.x",
        "LOOSE.+ LOOSE.-",
    )  # fmt: skip
    solution = solved(data)
    for pin in ("KEY.b", "LOOSE.+", "LOOSE.-", "R.b"):
        assert solution.volts[pin] is None, pin
    assert volts(solution, "IDLE.k") == pytest.approx(12.0, abs=1e-6)
    assert solution.high_impedance == {"IDLE.k"}
    assert solution.amps["LOOSE"] == pytest.approx(-9.0 / 1.001, rel=1e-9)
    assert solved(data, KEY="on").volts["KEY.b"] == pytest.approx(12.0, abs=1e-6)


def test_a_meter_loads_a_faint_pin_and_gives_a_floating_one_a_path() -> None:
    loom = document.read(
        loom_data(
            [battery(), diode("D", 1e-8), part("KEY", "switch", positions={"off": [], "on": [["a", "b"]]})],
            "BAT.+ D.k", "BAT.- FRAME.y", "D.a KEY.a",
        )
    )  # fmt: skip
    circuit = Circuit(loom)
    assert circuit.solve().volts["KEY.a"] == pytest.approx(12.0, abs=1e-4)
    metered = circuit.solve(load=("KEY.a", 10e6)).volts["KEY.a"]
    assert metered == pytest.approx(10e6 * (1e-8 + 12e-12), rel=2e-3)  # saturation and leak through 10 Mohm
    assert circuit.solve().volts["KEY.b"] is None
    assert circuit.solve(load=("KEY.b", 10e6)).volts["KEY.b"] == pytest.approx(0.0, abs=1e-9)
    divided = circuit.solve(load=("BAT.+", 1.0))
    assert divided.volts["BAT.+"] == pytest.approx(12.0 / 1.101, rel=1e-9)


def test_the_ohmmeter() -> None:
    """Bulbs cold, diodes no path, battery off: 7 ohm beside a cold 144/21/10 ohm bulb."""
    loom = document.read(
        loom_data(
            [battery(), resistor("R", 7.0), part("H", "bulb", watts=21, volts=12), diode("D"), resistor("X", 3.0)],
            "BAT.+ R.a", "R.b FRAME.x", "BAT.- FRAME.y", "R.a H.a", "H.b FRAME.z", "R.a D.k", "D.a X.a",
        )
    )  # fmt: skip
    circuit = Circuit(loom)
    cold = 144.0 / 21.0 / 10.0
    beside = 1.0 / (1.0 / 7.001 + 1.0 / (cold + 2e-3))
    assert circuit.ohms("R.a", "FRAME.x") == pytest.approx(beside, rel=1e-9)
    assert circuit.ohms("X.a", "X.b") == pytest.approx(3.0, rel=1e-9)
    assert circuit.ohms("R.a", "X.a") is None
    assert circuit.ohms("FRAME.x", "FRAME.y") == 0.0


IGNITION = loom_data(
    [
        battery(12.0, 0.02),
        part("IGN", "igniter", draw_ohms=100, on_ohms=0.2, min_volts=8.0, inhibit="grounded"),
        part("PU", "pickup", ohms=300),
        part("C1", "ignition_coil", primary_ohms=3.8, secondary_ohms=9000),
        part("STAND", "switch", positions={"up": [], "down": [["a", "b"]]}),
    ],
    "BAT.+ IGN.15", "BAT.- FRAME.y", "IGN.31 FRAME.x", "PU.a IGN.trigger", "PU.b FRAME.p", "BAT.+ C1.15", "C1.1 IGN.1a",
    "IGN.inhibit STAND.a", "STAND.b FRAME.s",
)  # fmt: skip


def test_an_igniter_fires_when_the_engine_turns() -> None:
    still, turning = solved(IGNITION), solved(IGNITION, turning=True)
    assert still.firing == {"IGN": False}
    assert still.coils == {"C1": 0.0}
    assert turning.firing == {"IGN": True}
    draw = 1.0 / (1 / (100 + 2e-3) + 1 / 4.002)
    assert turning.coils["C1"] == pytest.approx(12.0 / (4.0 + 0.02) - 0.0, rel=0.01)
    assert -turning.amps["BAT"] == pytest.approx(12.0 / (0.021 + draw), rel=1e-3)


@pytest.mark.parametrize(
    "fault",
    [
        "open:IGN.31", "open:IGN.15", "open:IGN.trigger", "open:PU", "short:PU", "open:W5", "grounded:IGN.trigger",
        "grounded:IGN.inhibit", "stuck_open:IGN", "stuck_closed:IGN", "high_ohms:W2", "swapped:IGN.15,IGN.trigger",
        "stuck_closed:STAND",
    ],
)  # fmt: skip
def test_an_igniter_does_not_fire_with(fault: str) -> None:
    turning = solved(IGNITION, fault, turning=True)
    assert not turning.firing["IGN"]
    assert turning.coils["C1"] == 0.0


def test_a_coil_with_its_1_on_earth_breaks_no_current() -> None:
    turning = solved(IGNITION, "grounded:C1.1", turning=True)
    assert turning.firing == {"IGN": True}
    assert turning.amps["C1"] > 3.0
    assert turning.coils["C1"] == pytest.approx(0.0, abs=0.05)


def test_a_fuse_blows_only_when_asked_and_only_when_it_would_soon() -> None:
    def loom(ohms: float) -> dict[str, Any]:
        return loom_data(
            [battery(12.0, 0.05), part("F", "fuse", amps=10, ohms=0.01), resistor("R", ohms)],
            "BAT.+ F.a", "F.b R.a", "R.b FRAME.x", "BAT.- FRAME.y",
        )  # fmt: skip

    short = solved(loom(0.2))
    assert short.amps["F"] == pytest.approx(12 / 0.264, rel=1e-9)
    assert "F carries 45.5 A and is rated 10 A: it would blow in about 0.08 s." in short.warnings
    blowing = Circuit(document.read(loom(0.2))).solve(blow_fuses=True)
    assert blowing.blown == ("F",)
    assert blowing.amps["R"] == 0.0
    slow = Circuit(document.read(loom(0.85))).solve(blow_fuses=True)
    assert slow.blown == ()
    assert slow.amps["F"] > 12.0


def test_what_is_not_there_is_named() -> None:
    circuit = Circuit(document.read(IGNITION))
    with pytest.raises(BadInput, match=r"no switch 'STND'; the nearest is STAND"):
        circuit.solve({"STND": "up"})
    with pytest.raises(BadInput, match=r"STAND has no position 'mid'; it has up or down"):
        circuit.solve({"STAND": "mid"})
    with pytest.raises(BadInput, match=r"no pin 'IGN.32'; the nearest is IGN.31"):
        circuit.ohms("IGN.32", "IGN.31")
    with pytest.raises(BadInput, match="above zero"):
        circuit.solve(load=("IGN.31", 0.0))


def currents_out_of_nodes(data: dict[str, Any], solution: Solution) -> dict[str, float]:
    """By point (pin, or splice), the amps of everything that touches it, reference left out."""
    ends = {
        "battery": "+ -", "fuse": "a b", "diode": "a k", "bulb": "a b", "resistor": "a b", "ignition_coil": "15 1",
        "igniter": "15 31", "starter": "+ -", "pickup": "a b", "relay": "85 86",
    }  # fmt: skip
    kinds = {item["id"]: item["kind"] for item in data["components"]}
    total: dict[str, float] = {}

    def flows(pin: str, amps: float) -> None:
        part_id = pin.split(".")[0]
        point = part_id if kinds[part_id] == "splice" else pin
        if kinds[part_id] != "ground":
            total[point] = total.get(point, 0.0) + amps

    for wire in data["wires"]:
        flows(wire["from"], solution.amps[wire["id"]])
        flows(wire["to"], -solution.amps[wire["id"]])
    for item in data["components"]:
        if item["kind"] in ends:
            first, second = ends[item["kind"]].split()
            flows(f"{item['id']}.{first}", solution.amps[item["id"]])
            flows(f"{item['id']}.{second}", -solution.amps[item["id"]])
    for name, amps in solution.amps.items():
        part_id, dot, contact = name.partition(".")
        if dot and "-" in contact:
            first, second = contact.split("-")
            flows(f"{part_id}.{first}", amps)
            flows(f"{part_id}.{second}", -amps)
    return total


@given(seed=strategies.integers(1000, 10**6), most=strategies.integers(12, 60))
@settings(max_examples=60, deadline=None)
def test_kirchhoffs_current_law_and_energy(seed: int, most: int) -> None:
    """At every point the amps add up to nothing; what batteries give is what everything takes."""
    data = random_looms.loom(seed, most)
    circuit = Circuit(document.read(data))
    for chosen in random_looms.settings(data):
        solution = circuit.solve(chosen)
        scale = max((abs(amps) for amps in solution.amps.values()), default=0.0)
        for point, amps in currents_out_of_nodes(data, solution).items():
            assert abs(amps) <= 1e-7 * scale + 1e-9, (chosen, point, amps)
        # Tellegen: over all two-ended things, volts times amps add up to nothing where all have volts.
        values = solution.volts
        power = [
            (values[first] - values[second]) * amps  # type: ignore[operator]
            for first, second, amps in _branches(data, solution)
            if values[first] is not None and values[second] is not None
        ]
        assert abs(sum(power)) <= 1e-6 * sum(abs(watts) for watts in power) + 1e-9


@pytest.mark.parametrize("seed", [95, 296, 437, 447, 598, *range(20)])
def test_values_at_the_edge_of_what_is_allowed(seed: int) -> None:
    """From nano-ohms to giga-ohms in one loom: still finite, and Kirchhoff's law to what doubles can carry."""
    data = random_looms.extreme(seed)
    circuit = Circuit(document.read(data))
    for chosen in random_looms.settings(data)[:2]:
        solution = circuit.solve(chosen)
        assert all(value is None or math.isfinite(value) for value in solution.volts.values())
        scale = max(abs(amps) for amps in solution.amps.values())
        worst = max(abs(amps) for amps in currents_out_of_nodes(data, solution).values())
        assert worst <= 1e-4 * scale + 1e-5


def _branches(data: dict[str, Any], solution: Solution) -> list[tuple[str, str, float]]:
    through = {
        "battery": "+ -", "fuse": "a b", "diode": "a k", "bulb": "a b", "resistor": "a b", "ignition_coil": "15 1",
        "igniter": "15 31", "starter": "+ -", "pickup": "a b", "relay": "85 86",
    }  # fmt: skip
    branches = [(wire["from"], wire["to"], solution.amps[wire["id"]]) for wire in data["wires"]]
    for item in data["components"]:
        if item["kind"] in through:
            first, second = through[item["kind"]].split()
            branches.append((f"{item['id']}.{first}", f"{item['id']}.{second}", solution.amps[item["id"]]))
    for name, amps in solution.amps.items():
        part_id, dot, contact = name.partition(".")
        if dot and "-" in contact:
            first, second = contact.split("-")
            branches.append((f"{part_id}.{first}", f"{part_id}.{second}", amps))
    return branches


def test_the_line_search_arrives_where_newton_does() -> None:
    """The fallback on its own, on every state of some random looms: the same volts."""
    compared = 0
    for seed in range(40):
        data = random_looms.loom(seed, 40)
        circuit = Circuit(document.read(data))
        for chosen in random_looms.settings(data)[:2]:
            positions = circuit.loom.positions(chosen)
            state = circuit._state(positions, circuit._rest, None)
            newton, downhill = state.solve(None), state._descend()
            assert np.abs(newton.nodes() - downhill.nodes()).max() < 1e-5
            compared += bool(state.live)
    assert compared > 30


def test_every_single_fault_of_a_random_loom_solves() -> None:
    data = random_looms.loom(7, 40)
    loom = document.read(data)
    for fault in single_faults(loom):
        for chosen in random_looms.settings(data)[:2]:
            solution = Circuit(loom, [fault]).solve(chosen, turning=True, blow_fuses=True)
            assert all(value is None or abs(value) < 40.0 for value in solution.volts.values()), fault
            assert isinstance(fault, Fault)
