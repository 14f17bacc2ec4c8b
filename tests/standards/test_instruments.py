"""Instruments: the GUM's rectangular distribution, published error limits, a good enough choice."""

from __future__ import annotations

import math

import pytest

from tickover.standards.instruments import INSTRUMENTS, ONE_JOB, good_enough, uncertainty
from tickover.units import DIMENSIONS, BadInput


def test_a_rectangular_half_width_counts_over_root_three() -> None:
    # JCGM 100:2008 (GUM), 4.3.7: bounds ±a, nothing more known, give a/√3; F.2.2.1: a step δ gives δ/√12.
    digital = INSTRUMENTS["digital_calliper"]
    expected = math.sqrt((20e-6) ** 2 / 3 + (10e-6) ** 2 / 12)
    assert digital.uncertainty(0.05) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("instrument", "value", "permissible"),
    [
        ("steel_rule", 0.5, 0.4e-3),  # 2014/32/EU annex X class II: 0.3 mm + 0.2 mm/m
        ("tape_measure", 2.0, 0.7e-3),
        ("vernier_calliper", 0.1, 50e-6),  # DIN 862: 50 µm for 0.05 mm
        ("digital_calliper", 0.1, 20e-6),  # DIN 862: 20 µm up to 100 mm for 0.01 mm
        ("compression_gauge", 1e6, 0.5e5),  # EN 837-1 class 2.5 of 20 bar
        ("torque_wrench", 50.0, 2.0),  # ISO 6789-1: 4 %
        ("feeler_gauge", 0.4e-3, 8e-6),  # DIN 2275: 3 µm + t/80
    ],
)
def test_permissible_errors_are_the_standards(instrument: str, value: float, permissible: float) -> None:
    assert INSTRUMENTS[instrument].permissible(value) == pytest.approx(permissible)


def test_every_instrument_is_whole() -> None:
    for name, instrument in INSTRUMENTS.items():
        assert instrument.id == name
        assert instrument.dimension in DIMENSIONS
        assert instrument.low < instrument.high
        assert instrument.step > 0
        assert instrument.error + instrument.relative > 0
        assert instrument.source
    assert set(INSTRUMENTS) >= ONE_JOB


def test_the_plainest_good_enough_stands_first() -> None:
    names = [i.id for i in good_enough("length", 0.05, 35e-6)]
    assert names[:2] == ["vernier_calliper", "digital_calliper"]
    assert "bore_gauge" not in names
    assert [i.id for i in good_enough("length", 0.05, 9e-6, ("bore_gauge", "steel_rule"))] == ["bore_gauge"]
    assert good_enough("length", 0.05, 1e-9) == []
    assert good_enough("length", 0.5, 35e-6) == []


def test_an_unknown_instrument_is_named() -> None:
    with pytest.raises(BadInput, match="'sextant' is not known"):
        uncertainty("sextant", 1.0)
