"""Conductors against published tables, against another integrator, and against the laws that must hold."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tickover.chapters.electrics import conductors
from tickover.chapters.electrics.conductors import (
    COPPER_HEAT,
    INSULATIONS,
    Surroundings,
    adiabatic_k,
    bundle_factor,
    capacity,
    greatest_resistance,
    heat_given_off,
    heating,
    warmth,
)
from tickover.chapters.electrics.loom.fuses import opening_seconds, seconds_to_blow
from tickover.standards.wire import COPPER_RESISTIVITY, GREATEST_RESISTANCE, SIZES, awg_area, resistance
from tickover.units import BadInput

REFERENCE: dict[str, Any] = json.loads(Path(__file__).with_name("reference").joinpath("conductors.json").read_text())
KELVIN = 273.15
AREA = st.sampled_from(SIZES)
AMBIENT = st.floats(273.15, 350.0)
AROUND = st.builds(Surroundings, AMBIENT, st.integers(1, 30), st.sampled_from(sorted(INSULATIONS)))


def air(celsius: float, bundle: int, conductor: float, monkeypatch: pytest.MonkeyPatch) -> Surroundings:
    """Surroundings with the conductor temperature of the table; aircraft wire is of other classes than ours."""
    monkeypatch.setitem(INSULATIONS, "table", conductors._insulation(conductor, conductor))
    return Surroundings(celsius + KELVIN, bundle, "table")


def test_one_wire_in_free_air_carries_what_the_faa_reads_off(monkeypatch: pytest.MonkeyPatch) -> None:
    case = REFERENCE["free_air"]
    around = air(case["ambient"], 1, case["conductor"], monkeypatch)
    assert capacity(awg_area(case["awg"]), around) == pytest.approx(case["amps"], rel=0.05)


@pytest.mark.parametrize(("awg", "column"), [(awg, at) for awg in REFERENCE["bundled"]["amps"] for at in range(3)])
def test_a_bundle_follows_the_faa_table(awg: str, column: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The table is for 60000 ft and for whole amperes: at sea level a wire carries more, up to 1.4 times."""
    case = REFERENCE["bundled"]
    around = air(case["ambient"], case["loaded"], case["conductor"][column], monkeypatch)
    ratio = capacity(awg_area(int(awg)), around) / case["amps"][awg][column]
    assert 1.0 < ratio < 1.4


def test_bundle_factors_are_the_standards() -> None:
    for wires, factor in REFERENCE["bundle_factors"]["factors"].items():
        assert bundle_factor(int(wires)) == factor


@pytest.mark.parametrize(("start", "end", "k"), REFERENCE["k"]["cases"])
def test_k_is_the_standards(start: float, end: float, k: float) -> None:
    assert adiabatic_k(start + KELVIN, end + KELVIN) * 1e-6 == pytest.approx(k, rel=0.005)


@pytest.mark.parametrize(("overload", "shortest", "longest"), REFERENCE["blade_fuses"]["cases"])
def test_fuses_open_between_the_standards_times(overload: float, shortest: float, longest: float) -> None:
    assert opening_seconds(overload * 7.5, 7.5) == pytest.approx((shortest, longest))
    assert shortest < seconds_to_blow(overload * 7.5, 7.5) < longest


@given(st.floats(1.0, 60.0), st.floats(1.0001, 2.0))
def test_more_current_never_blows_later(overload: float, more: float) -> None:
    for later, sooner in zip(opening_seconds(overload, 1.0), opening_seconds(overload * more, 1.0), strict=True):
        assert sooner <= later


@given(st.floats(6.0, 60.0))
def test_heavy_shorts_let_through_the_same_energy(overload: float) -> None:
    assert overload**2 * opening_seconds(overload, 1.0)[1] == pytest.approx(36 * 0.1)


@given(AREA, AROUND)
def test_at_its_capacity_a_wire_is_as_warm_as_its_insulation_stands(area: float, around: Surroundings) -> None:
    assert warmth(area, capacity(area, around), around) == pytest.approx(around.limits.lasting, abs=0.01)


@given(AREA, AROUND, st.floats(0.1, 100.0), st.floats(1.0, 3.0))
def test_more_current_is_never_cooler(area: float, around: Surroundings, amps: float, more: float) -> None:
    assert warmth(area, amps * more, around) >= warmth(area, amps, around)


@given(AROUND)
def test_a_larger_wire_carries_more_and_a_bundle_less(around: Surroundings) -> None:
    carried = [capacity(area, around) for area in SIZES]
    assert carried == sorted(carried)
    crowded = Surroundings(around.ambient, around.bundle + 1, around.insulation)
    hotter = Surroundings(around.ambient + 5.0, around.bundle, around.insulation)
    assert capacity(SIZES[3], crowded) <= carried[3]
    assert capacity(SIZES[3], hotter) < carried[3]


@pytest.mark.parametrize("area", GREATEST_RESISTANCE)
def test_a_brief_short_warms_as_k_says(area: float) -> None:
    """So heavy that the air takes nothing: I²·t = k²·S², with the standard's greatest resistance for ideal copper."""
    start, end, amps = 343.15, 433.15, 3e9 * area
    seconds = sum(now.seconds for now in heating(area, 1.0, amps, math.inf, start, end, Surroundings()))
    worse = greatest_resistance(area, 293.15) * area / COPPER_RESISTIVITY
    assert seconds * worse == pytest.approx((adiabatic_k(start, end) * area / amps) ** 2, rel=0.01)


@pytest.mark.parametrize(("area", "amps"), [(0.5e-6, 40.0), (1.0e-6, 45.0), (2.5e-6, 90.0), (16e-6, 300.0)])
def test_a_slow_short_warms_as_another_integrator_says(area: float, amps: float) -> None:
    around, length, volts, start, end = Surroundings(), 2.0, 12.0, 330.0, 430.0
    cold = resistance(length, area)

    def slope(_: float, state: Any) -> list[float]:
        now = amps / (1 + (resistance(length, area, state[0]) - cold) * amps / volts)
        spare = now**2 * greatest_resistance(area, state[0]) - heat_given_off(area, state[0], around)
        return [spare / (COPPER_HEAT * area)]

    def arrived(_: float, state: Any) -> float:
        return float(state[0] - end)

    arrived.terminal = True  # type: ignore[attr-defined]
    there = solve_ivp(slope, (0.0, 1e4), [start], events=arrived, rtol=1e-8, atol=1e-8)
    seconds = sum(now.seconds for now in heating(area, length, amps, volts, start, end, around))
    assert seconds == pytest.approx(there.t_events[0][0], rel=0.005)


def test_a_current_that_the_wire_stands_settles() -> None:
    around = Surroundings()
    amps = 0.8 * capacity(1e-6, around)
    last = list(heating(1e-6, 1.0, amps, math.inf, around.ambient, around.limits.short, around))[-1]
    assert math.isinf(last.seconds)
    assert last.kelvin == pytest.approx(warmth(1e-6, amps, around), abs=1.0)


@pytest.mark.parametrize(
    ("around", "says"),
    [
        ((323.15, 0, "B"), "bundle of 0"),
        ((323.15, 6, "Q"), "A, B, C"),
        ((400.0, 6, "A"), "below 85 °C"),
        ((math.nan, 6, "A"), "nan"),
    ],
)
def test_surroundings_that_cannot_be_are_refused(around: tuple[float, int, str], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        Surroundings(*around)
