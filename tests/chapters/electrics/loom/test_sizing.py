"""Every wire of a loom, sized: what is too thin, what its fuse lets through, and who is told."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from tests.chapters.electrics.loom import random_looms
from tests.chapters.electrics.loom.build import battery, loom_data, part, resistor

from tickover.chapters.electrics.conductors import (
    COPPER_HEAT,
    Surroundings,
    adiabatic_k,
    greatest_resistance,
    heat_given_off,
)
from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.faults import parse
from tickover.chapters.electrics.loom.fuses import opening_seconds
from tickover.chapters.electrics.loom.sizing import WireSize, settings_that_matter, size
from tickover.records import demo
from tickover.standards.wire import resistance
from tickover.units import BadInput

DEMO = Path(demo.__file__).with_name("loom.json")


def lamp(watts_ohms: float, rated: float, **wire: Any) -> dict[str, Any]:
    """A battery, a fuse and a load: W1 to the fuse, W2 to the load, W3 and W4 back to the frame."""
    fuse = part("F1", "fuse", amps=rated, ohms=0.005)
    parts = [battery(12.6, 0.015), fuse, resistor("R1", watts_ohms)]
    data = loom_data(parts, "BAT.+ F1.a", "F1.b R1.a", "R1.b FRAME.x", "BAT.- FRAME.y")
    data["wires"][0] |= {"mm2": 6.0, "length_mm": 150.0}
    data["wires"][1] |= {"mm2": 1.0, "length_mm": 1500.0} | wire
    data["wires"][2] |= {"mm2": 6.0, "length_mm": 100.0}
    data["wires"][3] |= {"mm2": 16.0, "length_mm": 300.0}
    return data


def rows(data: dict[str, Any], **how: Any) -> dict[str, WireSize]:
    return {row.wire: row for row in size(document.read(data), **how).wires}


def test_a_sound_feed_holds() -> None:
    row = rows(lamp(3.0, 7.5))["W2"]
    assert row.holds, row.verdict
    assert row.amps == pytest.approx(12.6 / (3.0 + 0.015 + 0.005 + 0.0265), rel=0.002)
    assert row.drop_volts == pytest.approx(row.amps * 1.7241e-8 * 1.5 / 1e-6, rel=1e-6)
    assert (row.fuse, row.rated_amps, row.guarded) == ("F1", 7.5, True)
    assert row.short is not None
    assert row.short.pin == "R1.a"
    assert row.short.safe


def test_the_short_is_what_the_circuit_drives() -> None:
    loom = document.read(lamp(3.0, 7.5))
    shorted = Circuit(loom, [parse("grounded:R1.a", loom)]).solve()
    short = rows(lamp(3.0, 7.5))["W2"].short
    assert short is not None
    assert short.amps == pytest.approx(shorted.amps["W2"])
    cold = opening_seconds(short.amps, 7.5)[1]
    assert short.seconds is not None
    assert cold < short.seconds < 1.3 * cold  # the wire is warm by then, and takes some of the current back


def test_too_much_fuse_on_a_thin_wire_is_told() -> None:
    row = rows(lamp(12.0, 40, mm2=0.35, length_mm=1500))["W2"]
    assert not row.holds
    assert "ruins its insulation before F1 (40 A) blows" in row.verdict
    assert row.mm2_needed is not None
    assert row.mm2_needed > 0.35
    assert rows(lamp(12.0, 40, mm2=row.mm2_needed, length_mm=1500))["W2"].holds


def test_a_long_thin_wire_takes_the_current_back_and_the_fuse_never_blows() -> None:
    """Twelve volts over a third of an ohm: less than 1.35 times 30 A, and far more than 0.5 mm² stands."""
    row = rows(lamp(12.0, 30, mm2=0.5, length_mm=12000))["W2"]
    assert row.short is not None
    assert row.short.amps < 1.35 * 30
    assert row.short.seconds is None
    assert not row.holds


def test_a_wire_that_carries_too_much_gets_a_size() -> None:
    row = rows(lamp(0.5, 30))["W2"]
    assert not row.holds
    assert row.amps > row.capacity_amps
    assert row.celsius > 100.0
    assert f"take {row.mm2_needed:g} mm²" in row.verdict


def test_a_drop_that_is_the_terminals_is_not_mended_with_copper() -> None:
    row = rows(lamp(3.0, 7.5, contact_ohms=0.3))["W2"]
    assert not row.holds
    assert row.mm2_needed is None
    assert "terminals alone" in row.verdict


def test_a_fuse_that_its_load_would_blow_is_told() -> None:
    row = rows(lamp(2.0, 5))["W2"]
    assert not row.fuse_lives
    assert "F1 has to carry" in row.verdict


def test_a_feed_without_a_fuse_is_told_and_the_lead_to_the_first_fuse_is_not() -> None:
    data = lamp(3.0, 7.5)
    data["components"].append(resistor("R2", 5.0))
    data["wires"] += [
        {"id": "W5", "from": "BAT.+", "to": "R2.a", "mm2": 1.0, "length_mm": 500},
        {"id": "W6", "from": "R2.b", "to": "FRAME.z", "mm2": 1.0, "length_mm": 100},
    ]
    found = rows(data)
    assert "put a fuse in its feed" in found["W5"].verdict
    assert found["W1"].holds
    assert "no fuse feeds it" in found["W1"].verdict.lower()
    assert found["W6"].short is None


def test_a_wire_that_two_fuses_feed_is_told() -> None:
    data = lamp(3.0, 10)
    data["components"].append(part("F2", "fuse", amps=10, ohms=0.005))
    data["wires"] += [
        {"id": "W5", "from": "BAT.+", "to": "F2.a", "mm2": 6.0, "length_mm": 150},
        {"id": "W6", "from": "F2.b", "to": "F1.b", "mm2": 6.0, "length_mm": 50},
    ]
    row = rows(data)["W2"]
    assert not row.holds
    assert "fed past F1 as well" in row.verdict or "fed past F2 as well" in row.verdict


@pytest.mark.parametrize(
    ("rated", "mm2", "length"), [(30, 0.5, 5000), (30, 1.0, 6000), (15, 0.5, 8000), (20, 0.75, 9000)]
)
def test_a_fuse_and_a_wire_heat_together_as_another_integrator_says(rated: float, mm2: float, length: float) -> None:
    """Temperature and the share of the opening time that is spent, as two equations in time."""
    row = rows(lamp(12.0, rated, mm2=mm2, length_mm=length))["W2"]
    assert row.short is not None
    short, area, around = row.short, mm2 * 1e-6, Surroundings()
    cold = resistance(length * 1e-3, area)

    def slope(_: float, state: Any) -> list[float]:
        kelvin = state[0]
        now = short.amps / (1 + (resistance(length * 1e-3, area, kelvin) - cold) * short.amps / 12.6)
        spare = now**2 * greatest_resistance(area, kelvin) - heat_given_off(area, kelvin, around)
        blow = opening_seconds(now * short.fuse_amps / short.amps, rated)[1]
        return [spare / (COPPER_HEAT * area), 1.0 / blow]

    def blown(_: float, state: Any) -> float:
        return float(state[1] - 1.0)

    def ruined(_: float, state: Any) -> float:
        return float(state[0] - around.limits.short)

    blown.terminal = ruined.terminal = True  # type: ignore[attr-defined]
    start = [row.celsius + 273.15, 0.0]
    there = solve_ivp(slope, (0.0, 5000.0), start, events=[blown, ruined], rtol=1e-7, atol=1e-9, max_step=1.0)
    if there.t_events[1].size or not there.t_events[0].size:
        assert short.seconds is None
        assert not short.safe
    else:
        assert short.seconds == pytest.approx(there.t_events[0][0], rel=0.03)
        assert short.celsius == pytest.approx(there.y[0][-1] - 273.15, abs=2.0)


def test_the_earth_lead_is_held_against_the_shorts_of_the_others() -> None:
    data = lamp(3.0, 30)
    data["wires"][3] |= {"mm2": 0.35, "length_mm": 400.0}
    row = rows(data)["W4"]
    assert row.short is not None
    assert row.short.fuse == "F1"
    assert not row.holds


@given(st.floats(0.6, 20.0), st.sampled_from([5.0, 10.0, 15.0, 30.0]), st.floats(1.0, 1.5), st.floats(300, 4000))
def test_more_current_never_needs_a_smaller_conductor(ohms: float, rated: float, more: float, length: float) -> None:
    less = rows(lamp(ohms, rated, length_mm=length))["W2"].mm2_needed or math.inf
    greater = rows(lamp(ohms / more, rated, length_mm=length))["W2"].mm2_needed or math.inf
    assert greater >= less


@given(st.sampled_from([5.0, 10.0, 20.0, 40.0]), st.sampled_from([0.35, 0.5, 1.0, 2.5]), st.floats(200, 6000))
def test_a_safe_short_stays_below_the_adiabatic_limit(rated: float, mm2: float, length: float) -> None:
    """The air only helps: a short that the standard's I²·t = k²·S² allows for the whole opening time is found safe."""
    row = rows(lamp(50.0, rated, mm2=mm2, length_mm=length))["W2"]
    assert row.short is not None
    seconds = opening_seconds(row.short.amps, rated)[1]
    worst = 1.16  # what the greatest resistance of IEC 60228 is above ideal copper
    k = adiabatic_k(row.celsius + 273.15, 433.15) * mm2 * 1e-6
    if seconds < 0.5 and worst * row.short.amps**2 * seconds < 0.8 * k**2:
        assert row.short.safe


def test_switches_are_looked_at_alone_all_on_and_two_changed() -> None:
    def switch(name: str) -> dict[str, Any]:
        return part(name, "switch", positions={"off": [], "on": [["a", "b"]]})

    parts = [battery(), switch("S1"), switch("S2"), switch("S3")]
    joints = [f"S{at}.{pin} FRAME.p{at}{pin}" for at in (1, 2, 3) for pin in "ab"]
    stands = {tuple(stand.values()) for stand in settings_that_matter(document.read(loom_data(parts, *joints)))}
    assert stands == {(a, b, c) for a in ("off", "on") for b in ("off", "on") for c in ("off", "on")}


def test_the_demo_answer_can_be_followed_by_hand() -> None:
    sized = size(document.load(DEMO))
    found = {row.wire: row for row in sized.wires}
    assert found["W42"].fuse == "F3"
    assert found["W10"].fuse == "F2"
    assert found["W31"].fuse == "F1"
    assert found["W42"].amps == pytest.approx(60 / 12, rel=0.05)  # the high beam
    assert found["W1"].cranking_amps > 100 > found["W1"].capacity_amps
    assert found["W1"].holds
    assert {row.wire for row in sized.wires if not row.holds} == {"W4", "W5", "W6"}  # all loads at once
    assert all(row.short.safe for row in sized.wires if row.short and row.short.fuse)
    json.dumps(sized.as_json(), allow_nan=False)
    assert "3 of 73 wires do not hold." in sized.as_text()


@pytest.mark.parametrize("make", [random_looms.loom, random_looms.extreme])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_any_loom_gets_an_answer_that_agrees_with_itself(make: Callable[[int], dict[str, Any]], seed: int) -> None:
    sized = size(document.read(make(seed)))
    json.dumps(sized.as_json(), allow_nan=False)
    for row in sized.wires:
        assert row.verdict.endswith(".")
        if row.holds:
            assert row.amps <= row.capacity_amps
            assert row.drop_share <= sized.allowed_drop
            assert row.fuse_lives
        if row.short and row.short.safe and row.short.seconds is None:
            assert row.short.celsius is not None
            assert row.short.celsius <= 100.0
        if row.short and row.short.fuse and row.mm2_needed == row.mm2:
            assert row.short.safe


def test_milder_surroundings_hold() -> None:
    assert size(document.load(DEMO), Surroundings(313.15, 1)).holds


@pytest.mark.parametrize("share", [0.0, -0.1, 1.0, math.nan])
def test_a_drop_that_cannot_be_is_refused(share: float) -> None:
    with pytest.raises(BadInput, match="between 0 and 100 %"):
        size(document.read(lamp(3.0, 7.5)), allowed_drop=share)


def test_a_loom_without_a_battery_is_refused() -> None:
    with pytest.raises(BadInput, match="no battery"):
        size(document.read(loom_data([resistor("R1", 1.0)], "R1.a FRAME.x", "R1.b FRAME.y")))
