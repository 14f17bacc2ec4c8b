"""Voltage drop: the wire that is just thick enough, and the standard's own resistance limits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.electrics.voltage_drop import voltage_drop
from tickover.sheets import work
from tickover.standards.wire import GREATEST_RESISTANCE


@given(st.floats(0.1, 10), st.floats(0.5e-6, 10e-6), st.floats(0.1, 30), st.floats(0, 0.005), st.floats(253, 393))
def test_least_area_loses_just_what_is_allowed(
    length: float, area: float, current: float, contacts: float, temperature: float
) -> None:
    first = voltage_drop(length, area, current, 0.0, contacts, temperature)
    if first.least_area is None:
        assert contacts * current >= 0.03 * 12.0
        return
    again = voltage_drop(length, first.least_area, current, 0.0, contacts, temperature)
    assert again.share == pytest.approx(0.03, rel=1e-9)


@given(st.floats(0.1, 10), st.floats(0.5e-6, 10e-6), st.floats(0.1, 30))
def test_nothing_is_lost_that_does_not_turn_to_heat(length: float, area: float, current: float) -> None:
    found = voltage_drop(length, area, current, way_back=length)
    assert found.heat == pytest.approx(found.drop**2 / found.ohms)
    assert found.left + found.drop == pytest.approx(12.0)


@pytest.mark.parametrize(("area", "ohms"), GREATEST_RESISTANCE.items())
def test_the_standards_wire_loses_up_to_a_sixth_more(area: float, ohms: float) -> None:
    """IEC 60228 class 5 gives the greatest resistance a metre; the sheet's copper is solid and exact."""
    found = voltage_drop(1.0, area, 1.0).ohms
    assert found < ohms < 1.17 * found


def test_words() -> None:
    fine = work("electrics.voltage_drop", {"length": "3 m", "area": "1.5 mm²", "current": "5 A"})
    assert fine.verdicts[0].verdict == "inside"
    thin = work("electrics.voltage_drop", {"length": "3 m", "area": "0.5 mm²", "current": "10 A"})
    assert thin.verdicts[0].verdict == "outside"
    assert "1.5 mm² (about 15 AWG) is the smallest usual size" in thin.notes[0]
    dirty = work("electrics.voltage_drop", {"length": "3 m", "area": "2.5 mm²", "current": "10 A", "contacts": "0.1 Ω"})
    assert "clean or renew them" in dirty.notes[0]
    far = work("electrics.voltage_drop", {"length": "50 m", "area": "25 mm²", "current": "200 A"})
    assert "loses more than is allowed" in far.notes[0]
    lost = work("electrics.voltage_drop", {"length": "50 m", "area": "0.35 mm²", "current": "20 A"})
    assert "cannot flow" in lost.warnings[0]
