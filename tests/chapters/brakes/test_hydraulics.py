"""Brakes: energy and proportion."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.brakes.hydraulics import lever_force
from tickover.sheets import work

FORCE = st.floats(1, 400)
BORE = st.floats(0.008, 0.02)
PISTON = st.floats(0.02, 0.045)


@given(FORCE, st.floats(2, 8), BORE, PISTON, st.integers(1, 4), st.integers(1, 2))
def test_no_more_work_comes_out_than_goes_in(
    force: float, lever: float, bore: float, piston: float, pistons: int, callipers: int
) -> None:
    """Force by travel is the same at the fingers and at the pads: fluid that is pushed out arrives."""
    found = lever_force(force, lever, bore, piston, pistons, callipers)
    fingers = 0.001
    volume = fingers / lever * bore**2
    pads = volume / (piston**2 * pistons * callipers)
    assert found.clamp * pads == pytest.approx(force * fingers, rel=1e-9)
    assert found.whole_ratio == pytest.approx(found.clamp / force, rel=1e-9)


@given(FORCE, BORE, PISTON)
def test_the_force_needed_is_the_inverse(force: float, bore: float, piston: float) -> None:
    found = lever_force(force, 5.0, bore, piston, disc_radius=0.12, tyre_radius=0.31)
    again = lever_force(force, 5.0, bore, piston, disc_radius=0.12, tyre_radius=0.31, wanted=found.at_tyre)
    assert again.needed_at_lever == pytest.approx(force, rel=1e-9)


def test_the_regulations_control_force() -> None:
    inputs = {
        "force": "100 N",
        "lever_ratio": "5",
        "master_bore": "15.9 mm",
        "piston_bore": "38 mm",
        "friction": "0.4",
        "disc_radius": "120 mm",
        "tyre_radius": "310 mm",
        "wanted": "2500 N",
    }
    by_hand = work("brakes.lever_force", inputs)
    by_foot = work("brakes.lever_force", {**inputs, "control": "foot"})
    assert by_hand.verdicts[0].verdict == "outside"
    assert by_foot.verdicts[0].verdict == "inside"
    assert "200 N" in by_hand.verdicts[0].why
    assert "350 N" in by_foot.verdicts[0].why


def test_too_much_pressure_is_a_warning() -> None:
    found = work(
        "brakes.lever_force",
        {"force": "400 N", "lever_ratio": "6", "master_bore": "11 mm", "piston_bore": "38 mm"},
    )
    assert "100 bar" in found.warnings[0]
