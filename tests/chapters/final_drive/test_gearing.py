"""Gearing: pitch circles from a published table, chain length from the exact tangent line."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.final_drive.gearing import RPM, chain_links, pitch_radius, road_speed
from tickover.drawing import Line
from tickover.sheets import work

# Pitch diameters in mm for 1 inch pitch by teeth, as chain makers' tables print them (DIN 8196 / ISO 606).
PITCH_DIAMETERS = {
    9: 74.26,
    12: 98.14,
    16: 130.20,
    17: 138.23,
    30: 243.00,
    38: 307.58,
    40: 323.74,
    60: 485.33,
}


@pytest.mark.parametrize(("teeth", "diameter"), PITCH_DIAMETERS.items())
def test_pitch_circles_of_the_tables(teeth: int, diameter: float) -> None:
    assert 2 * pitch_radius(teeth, 0.0254) * 1e3 == pytest.approx(diameter, abs=0.012)


@given(st.integers(11, 25), st.integers(28, 60), st.floats(25, 60))
def test_chain_length_against_the_tangent_line(front: int, rear: int, apart: float) -> None:
    """Two straight runs, two arcs round circles of z/2π pitches: within a tenth of a link."""
    small, large = front / math.tau, rear / math.tau
    lean = math.asin((large - small) / apart)
    exact = 2 * apart * math.cos(lean) + large * (math.pi + 2 * lean) + small * (math.pi - 2 * lean)
    assert chain_links(front, rear, 0.015875, 0.015875 * apart) == pytest.approx(exact, abs=0.1)


@given(st.integers(11, 25), st.integers(28, 60), st.floats(0.3, 10), st.floats(100, 12000))
def test_speed_is_the_wheels_turns(front: int, rear: int, gear: float, rpm: float) -> None:
    found = road_speed(rpm * RPM, 2.0, gear, front, rear, 1.9)
    turns_a_minute = rpm / 2.0 / gear * front / rear
    assert found.speed == pytest.approx(turns_a_minute * 1.9 / 60, rel=1e-12)
    assert found.per_thousand * rpm / 1000 == pytest.approx(found.speed, rel=1e-12)


def test_the_drawn_chain_touches_both_circles() -> None:
    inputs = {
        "engine_speed": "5000",
        "primary": "2",
        "gear": "1",
        "front": "16",
        "rear": "38",
        "rolling": "1950",
    }
    assert work("final_drive.road_speed", inputs).drawing is None
    drawing = work("final_drive.road_speed", {**inputs, "apart": "560 mm"}).drawing
    assert drawing is not None
    runs = [item for item in drawing.items if isinstance(item, Line)]
    assert len(runs) == 2
    small, large = 1e3 * pitch_radius(16, 0.015875), 1e3 * pitch_radius(38, 0.015875)
    for run in runs:
        (ax, ay), (bx, by) = run.a, run.b
        assert math.hypot(ax - 560, ay) == pytest.approx(small)
        assert math.hypot(bx, by) == pytest.approx(large)
        assert (ax - bx) * bx + (ay - by) * by == pytest.approx(0, abs=1e-6)


def test_links_are_rounded_up_to_an_even_number() -> None:
    inputs = {
        "engine_speed": "5000",
        "primary": "2",
        "gear": "1",
        "front": "17",
        "rear": "17",
        "rolling": "1950",
    }
    odd = work("final_drive.road_speed", {**inputs, "apart": "25 in"})
    assert "Take 98 links" in odd.notes[0]
