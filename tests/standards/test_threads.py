"""Threads against the published stress areas."""

from __future__ import annotations

import pytest

from tickover.standards.threads import COARSE, FINE, designation
from tickover.units import INCH, BadInput

# ISO 898-1:2013, tables 4 and 6: nominal stress area in mm².
STRESS_AREA = {
    "M3": 5.03,
    "M4": 8.78,
    "M5": 14.2,
    "M6": 20.1,
    "M8": 36.6,
    "M10": 58.0,
    "M12": 84.3,
    "M14": 115,
    "M16": 157,
    "M20": 245,
    "M24": 353,
    "M8x1": 39.2,
    "M10x1.25": 61.2,
    "M10x1": 64.5,
    "M12x1.25": 92.1,
    "M12x1.5": 88.1,
    "M14x1.5": 125,
    "M16x1.5": 167,
}
# ASME B1.1, table of tensile stress areas, in².
UNIFIED_AREA = {
    "1/4-20": 0.0318,
    "1/4-28": 0.0364,
    "5/16-18": 0.0524,
    "5/16-24": 0.0580,
    "3/8-16": 0.0775,
    "3/8-24": 0.0878,
    "7/16-14": 0.1063,
    "1/2-13": 0.1419,
    "1/2-20": 0.1599,
}


@pytest.mark.parametrize(("name", "area"), STRESS_AREA.items())
def test_metric_stress_areas(name: str, area: float) -> None:
    assert designation(name).stress_area * 1e6 == pytest.approx(area, rel=5e-3)


@pytest.mark.parametrize(("name", "area"), UNIFIED_AREA.items())
def test_unified_stress_areas(name: str, area: float) -> None:
    assert designation(name).stress_area / INCH**2 == pytest.approx(area, rel=2e-3)


def test_ways_to_write_them() -> None:
    assert designation("m8").pitch == 1.25e-3
    assert designation("M 10 × 1,25".replace(",", ".")).pitch == 1.25e-3
    assert designation("5/16 UNC").name == "5/16-18 UNC"
    assert designation("#10-32").name == "#10-32 UNF"


@pytest.mark.parametrize("text", ["M9", "M8x2", "1/4-24", "1/4-20 UNF", "3/10-20", "", "W 1/4"])
def test_what_no_standard_has(text: str) -> None:
    with pytest.raises(BadInput, match="thread"):
        designation(text)


def test_fine_is_finer() -> None:
    for size, pitches in FINE.items():
        assert all(pitch < COARSE[size] for pitch in pitches)
