"""Wear: both directions, and what is not measured."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.engine.wear import wear
from tickover.sheets import work
from tickover.units import BadInput

SIZE = st.floats(0.01, 0.1)
STEP = st.floats(1e-6, 1e-3)


@given(SIZE, STEP, st.floats(-1, 2))
def test_a_bore_and_a_pin_are_mirror_images(standard: float, allowed: float, used: float) -> None:
    bore = wear(standard + allowed, standard + used * allowed, standard)
    pin = wear(standard - allowed, standard - used * allowed, standard, "at least")
    assert bore.worn == pytest.approx(pin.worn, abs=1e-12)
    assert bore.left == pytest.approx(pin.left, abs=1e-12)
    assert bore.used == pytest.approx(used, abs=1e-6 + 1e-10 / allowed)
    assert bore.warnings == pin.warnings or used == pytest.approx(-0.25, abs=1e-3)


def test_not_measured_is_said() -> None:
    worked = work("engine.wear", {"service_limit": "67.1 mm"})
    assert worked.verdicts[0].verdict == "not measured"
    assert all(result is None for result in worked.results.values())


def test_a_limit_on_the_wrong_side_is_refused() -> None:
    with pytest.raises(BadInput, match="wrong side"):
        work("engine.wear", {"service_limit": "67.1 mm", "reading": "67 mm", "standard": "67.2 mm"})
    with pytest.raises(BadInput, match="wrong side"):
        work("engine.wear", {"service_limit": "67.3 mm", "standard": "67.2 mm", "may_be": "at least"})


def test_better_than_new_is_suspicious() -> None:
    found = work("engine.wear", {"service_limit": "67.1 mm", "reading": "66.9 mm", "standard": "67.0 mm"})
    assert "new side" in found.warnings[0]
