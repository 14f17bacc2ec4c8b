"""Compression against a slider-crank built from points and a step-by-step compression."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.engine.compression import air_pressure, cranking_compression, effective_ratio
from tickover.sheets import work
from tickover.units import BadInput

RATIO = st.floats(4, 15)
CLOSES = st.floats(0, math.radians(90))
ROD = st.floats(1.3, 2.9)


def stroke_left(closes: float, rod_ratio: float) -> float:
    """Way to top dead centre, over the stroke, from the crank pin's place and Pythagoras; stroke 1."""
    angle = math.pi + closes
    pin = (0.5 * math.sin(angle), 0.5 * math.cos(angle))
    piston = pin[1] + math.sqrt(rod_ratio**2 - pin[0] ** 2)
    return 0.5 + rod_ratio - piston


@given(RATIO, CLOSES, ROD)
def test_effective_ratio_against_a_slider_crank(ratio: float, closes: float, rod: float) -> None:
    clearance = 1 / (ratio - 1)
    volume = clearance + stroke_left(closes, rod)
    assert effective_ratio(ratio, closes, rod) == pytest.approx(volume / clearance, rel=1e-12)


@given(st.floats(5, 12), st.floats(0, 1.4), st.floats(1.0, 1.4))
def test_pressure_against_many_small_steps(ratio: float, closes: float, exponent: float) -> None:
    """dp/dV = −n·p/V from the inlet's closing to top dead centre, by midpoint steps."""
    found = cranking_compression(ratio, closes, 1.8, exponent)
    volume, pressure, steps = found.effective_ratio, 101_325.0, 2000
    width = (1 - volume) / steps
    for _ in range(steps):
        middle = pressure - exponent * pressure / volume * width / 2
        pressure -= exponent * middle / (volume + width / 2) * width
        volume += width
    assert found.expected == pytest.approx(pressure - 101_325.0, rel=1e-3, abs=50)


@given(st.floats(0, 4000), st.floats(1, 500))
def test_air_gets_thinner(height: float, more: float) -> None:
    assert air_pressure(height + more) < air_pressure(height)


def test_readings() -> None:
    good = work("engine.cranking_compression", {"compression_ratio": "9", "read_1": "12 bar", "read_2": "11.6 bar"})
    assert [v.on for v in good.verdicts] == ["lowest", "difference"]
    low = work("engine.cranking_compression", {"compression_ratio": "9", "read_1": "12 bar", "read_2": "4 bar"})
    assert {v.on: v.verdict for v in low.verdicts} == {"lowest": "outside", "difference": "outside"}
    none = work("engine.cranking_compression", {"compression_ratio": "9"})
    assert {v.verdict for v in none.verdicts} == {"not measured"}
    dead = work("engine.cranking_compression", {"compression_ratio": "9", "read_1": "0", "read_2": "0"})
    assert "gauge's seal" in dead.notes[0]


def test_what_is_assumed_makes_the_expected_figure_rough() -> None:
    """Exponent 1.25 ± 0.05 alone is ± 10 % of the absolute pressure (ln 7.9 · 0.05): never a sharp limit."""
    worked = work("engine.cranking_compression", {"compression_ratio": "9"})
    expected = worked.results["expected"]
    assert expected is not None
    assert 0.1 < expected.plus_minus / expected.value < 0.2
    assert {"exponent", "inlet_closes", "rod_ratio"} <= worked.assumed


def test_an_inlet_that_never_compresses_is_refused() -> None:
    with pytest.raises(BadInput, match="out of range"):
        work("engine.cranking_compression", {"compression_ratio": "9", "inlet_closes": "180 deg"})
