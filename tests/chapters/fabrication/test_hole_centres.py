"""Hole centres: from circles that are really there, and what cannot be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.fabrication.hole_centres import hole_centres
from tickover.drawing import Circle
from tickover.sheets import work
from tickover.units import BadInput


@given(st.floats(0.02, 0.5), st.floats(0.001, 0.009), st.floats(0.001, 0.009))
def test_any_two_circles(apart: float, first: float, second: float) -> None:
    edges = [-first, first, apart - second, apart + second]
    found = hole_centres(outer=edges[3] - edges[0], inner=edges[2] - edges[1])
    assert found.centres == pytest.approx(apart, rel=1e-12)
    assert found.mean_diameter == pytest.approx(first + second, rel=1e-9)


def test_the_drawing_is_at_full_size() -> None:
    drawing = work("fabrication.hole_centres", {"outer": "58 mm", "inner": "42 mm"}).drawing
    assert drawing is not None
    assert drawing.scale == 1
    left, right = (item for item in drawing.items if isinstance(item, Circle))
    assert right.centre[0] - left.centre[0] == pytest.approx(50)
    assert left.radius == pytest.approx(4)


def test_what_cannot_be() -> None:
    with pytest.raises(BadInput, match="outer must be more than inner"):
        work("fabrication.hole_centres", {"outer": "42 mm", "inner": "58 mm"})
    with pytest.raises(BadInput, match="tolerance needs wanted"):
        work("fabrication.hole_centres", {"outer": "58 mm", "inner": "42 mm", "tolerance": "0.1 mm"})
