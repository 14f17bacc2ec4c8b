"""Copper wire against published tables."""

from __future__ import annotations

import pytest

from tickover.standards.wire import (
    COLOURS,
    GREATEST_RESISTANCE,
    awg_area,
    colours,
    next_size,
    resistance,
    spoken,
)
from tickover.units import BadInput

# NBS Handbook 100 (1966), Copper Wire Tables, table 5: annealed copper at 20 °C, ohms in 1000 ft by gauge.
OHMS_PER_1000_FT = {10: 0.9989, 12: 1.588, 14: 2.525, 16: 4.016, 18: 6.385, 20: 10.15, 24: 25.67, 30: 103.2}


@pytest.mark.parametrize(("gauge", "ohms"), OHMS_PER_1000_FT.items())
def test_resistance_of_the_wire_gauges(gauge: int, ohms: float) -> None:
    assert resistance(304.8, awg_area(gauge)) == pytest.approx(ohms, rel=1e-3)


@pytest.mark.parametrize(("area", "ohms"), GREATEST_RESISTANCE.items())
def test_the_standard_allows_a_little_more_than_solid_copper(area: float, ohms: float) -> None:
    # IEC 60228 class 5 limits lie 9 % to 16 % over solid copper of the nominal area (stranding and lay).
    assert 1.08 < ohms / resistance(1.0, area) < 1.17


def test_warm_copper_by_the_published_coefficient() -> None:
    # IEC 60028: the resistance at 100 °C is 1 + 0.00393·80 = 1.3144 times that at 20 °C.
    assert resistance(1, 1e-6, 373.15) / resistance(1, 1e-6) == pytest.approx(1.3144)


def test_next_size() -> None:
    assert next_size(1.6e-6) == 2e-6
    assert next_size(1.5e-6) == 1.5e-6
    assert next_size(1e-3) is None


def test_colour_codes() -> None:
    assert set(COLOURS) == {"BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "TQ"}
    assert colours("gn/ye") == ["GN", "YE"]
    assert spoken("BU/WH/RD") == "blue with a white and red stripe"
    with pytest.raises(BadInput, match="'XX' is none of BK"):
        colours("RD/XX")
    with pytest.raises(BadInput, match="more than"):
        colours("RD/BK/WH/GN")
