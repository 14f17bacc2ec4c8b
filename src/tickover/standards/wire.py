"""Copper wire: its resistance, its sizes and its colours.

>>> round(resistance(length=1.0, area=2.5e-6), 6)
0.006896
>>> spoken("GN/YE")
'green with a yellow stripe'
"""

from __future__ import annotations

from tickover.units import BadInput, awg_area, awg_number

__all__ = [
    "COLOURS",
    "COPPER_PER_KELVIN",
    "COPPER_RESISTIVITY",
    "GREATEST_RESISTANCE",
    "SIZES",
    "awg_area",
    "awg_number",
    "colours",
    "next_size",
    "resistance",
    "spoken",
]

COPPER_RESISTIVITY = 1.7241e-8
"""Ω·m of annealed copper at 20 °C (IEC 60028)."""
COPPER_PER_KELVIN = 0.00393
"""Temperature coefficient of that resistance at 20 °C, per kelvin (IEC 60028)."""
TWENTY_CELSIUS = 293.15

SIZES = tuple(a * 1e-6 for a in (0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 10.0, 16.0, 25.0))
"""Cross-sections of road vehicle cable in m² (ISO 6722-1)."""

GREATEST_RESISTANCE = {
    0.5e-6: 39.0e-3,
    0.75e-6: 26.0e-3,
    1.0e-6: 19.5e-3,
    1.5e-6: 13.3e-3,
    2.5e-6: 7.98e-3,
    4.0e-6: 4.95e-3,
    6.0e-6: 3.30e-3,
    10.0e-6: 1.91e-3,
    16.0e-6: 1.21e-3,
    25.0e-6: 0.780e-3,
}
"""Greatest resistance in Ω/m at 20 °C of plain flexible copper, by size in m² (IEC 60228, class 5)."""


def resistance(length: float, area: float, temperature: float = TWENTY_CELSIUS) -> float:
    """Resistance in Ω of a copper wire: metres, m², kelvin.

    R = ρ·l/A·(1 + α·(T − 293.15 K)), IEC 60028.

    >>> round(1000 * resistance(304.8, awg_area(14)))  # 1000 ft of 14 AWG: 2.525 Ω in NBS Handbook 100
    2525
    """
    return COPPER_RESISTIVITY * length / area * (1 + COPPER_PER_KELVIN * (temperature - TWENTY_CELSIUS))


def next_size(area: float) -> float | None:
    """The smallest usual cross-section (m²) of at least this area, or None where there is none."""
    return next((size for size in SIZES if size >= area * (1 - 1e-9)), None)


COLOURS = {
    "BK": ("black", "#1d1d1b"),
    "BN": ("brown", "#7a4a2b"),
    "RD": ("red", "#bf2b23"),
    "OG": ("orange", "#dd7a1e"),
    "YE": ("yellow", "#e0bc22"),
    "GN": ("green", "#3b7d45"),
    "BU": ("blue", "#2f5f9e"),
    "VT": ("violet", "#75509a"),
    "GY": ("grey", "#83868a"),
    "WH": ("white", "#f4f1ea"),
    "PK": ("pink", "#dd93a3"),
    "TQ": ("turquoise", "#2f9c98"),
}
"""Colour codes of IEC 60757, each with its word and the colour it is drawn in (our own choice)."""


def colours(code: str) -> list[str]:
    """The colour codes of a wire, main colour first, as in ``GN/YE``; `BadInput` for an unknown one.

    >>> colours("gn/ye")
    ['GN', 'YE']
    """
    parts = [part.strip().upper() for part in code.split("/")]
    for part in parts:
        if part not in COLOURS:
            raise BadInput(f"wire colour '{code}': '{part}' is none of {', '.join(COLOURS)} (IEC 60757)")
    if len(parts) > 3:
        raise BadInput(f"wire colour '{code}' has more than a main colour and two stripes")
    return parts


def spoken(code: str) -> str:
    """A wire's colours in words.

    >>> spoken("BK")
    'black'
    """
    main, *stripes = (COLOURS[part][0] for part in colours(code))
    return main if not stripes else f"{main} with a {' and '.join(stripes)} stripe"
