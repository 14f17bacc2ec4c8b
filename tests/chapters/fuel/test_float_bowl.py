"""Fuel level: which way to bend the tang, against a lever that is really turned."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.fuel.float_bowl import bowl_level
from tickover.sheets import work


@given(st.floats(-0.003, 0.003), st.floats(0.02, 0.05), st.floats(0.003, 0.01))
def test_tang_against_a_lever_that_is_turned(below: float, float_arm: float, tang_arm: float) -> None:
    angle = math.asin(below / float_arm)
    found = bowl_level(target=0.004, level=0.004 + below, float_arm=float_arm, tang_arm=tang_arm)
    assert found.tang_move == pytest.approx(tang_arm * math.sin(angle), abs=1e-12)


def test_words() -> None:
    low = work("fuel.bowl_level", {"target": "4 mm", "level": "6.5 ± 0.2 mm"})
    assert low.verdicts[0].verdict == "outside"
    assert "away from the needle" in low.notes[0]
    high = work("fuel.bowl_level", {"target": "4 mm", "level": "1.5 ± 0.2 mm"})
    assert high.verdicts[0].verdict == "outside"
    assert "towards the needle" in high.notes[0]
    right = work("fuel.bowl_level", {"target": "4 mm", "level": "4.1 ± 0.2 mm"})
    assert right.verdicts[0].verdict == "inside"
    assert right.notes == ()
    unread = work("fuel.bowl_level", {"target": "4 mm"})
    assert unread.verdicts[0].verdict == "not measured"
    assert unread.drawing is not None
