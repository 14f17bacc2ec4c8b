"""Trail against geometry done another way, and the laws it must follow."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.chassis.steering import trail

RAKE = st.floats(math.radians(10), math.radians(50))
OFFSET = st.floats(-0.05, 0.12)
RADIUS = st.floats(0.2, 0.45)


@given(RAKE, OFFSET, RADIUS)
def test_against_points_in_the_plane(rake: float, offset: float, radius: float) -> None:
    """Steering axis and ground as lines through points; intersection and distance by cross products."""
    spindle = (0.0, radius)
    up = (-math.sin(rake), math.cos(rake))
    on_axis = (spindle[0] - offset * math.cos(rake), spindle[1] - offset * math.sin(rake))
    steps = on_axis[1] / up[1]
    meets_ground = on_axis[0] - steps * up[0]
    square = abs(up[0] * (0.0 - on_axis[1]) - up[1] * (0.0 - on_axis[0]))
    found = trail(rake, offset, radius)
    assert found.trail == pytest.approx(meets_ground, abs=1e-12)
    assert abs(found.normal_trail) == pytest.approx(square, abs=1e-12)


@given(RAKE, OFFSET, RADIUS)
def test_laws(rake: float, offset: float, radius: float) -> None:
    found = trail(rake, offset, radius)
    assert found.normal_trail == pytest.approx(found.trail * math.cos(rake), abs=1e-12)
    step = 1e-5
    slope = (trail(rake + step, offset, radius).trail - trail(rake - step, offset, radius).trail) / (2 * step)
    assert found.per_degree == pytest.approx(slope * math.pi / 180, rel=1e-6)
    assert trail(rake, offset + 0.001, radius).trail < found.trail
    assert bool(found.warnings) == (found.trail <= 0)
