"""Screw threads: pitches, tapping drills and stress areas of metric and inch threads.

>>> thread = designation("M8")
>>> thread.pitch, round(thread.stress_area * 1e6, 1), round(thread.tapping_drill * 1e3, 2)
(0.00125, 36.6, 6.75)
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from tickover.units import INCH, BadInput

ISO_261 = "ISO 261:1998, ISO general purpose metric screw threads, general plan"
ASME_B1_1 = "ASME B1.1-2019, Unified inch screw threads"

COARSE = {
    3.0: 0.5, 3.5: 0.6, 4.0: 0.7, 5.0: 0.8, 6.0: 1.0, 7.0: 1.0, 8.0: 1.25, 10.0: 1.5, 12.0: 1.75, 14.0: 2.0,
    16.0: 2.0, 18.0: 2.5, 20.0: 2.5, 22.0: 2.5, 24.0: 3.0,
}  # fmt: skip
"""Coarse pitch in mm by nominal diameter in mm (ISO 261)."""

FINE = {
    4.0: (0.5,), 5.0: (0.5,), 6.0: (0.75,), 7.0: (0.75,), 8.0: (1.0, 0.75), 10.0: (1.25, 1.0, 0.75),
    12.0: (1.5, 1.25, 1.0), 14.0: (1.5, 1.25, 1.0), 16.0: (1.5, 1.0), 18.0: (2.0, 1.5, 1.0),
    20.0: (2.0, 1.5, 1.0), 22.0: (2.0, 1.5, 1.0), 24.0: (2.0, 1.5, 1.0),
}  # fmt: skip
"""Fine pitches in mm by nominal diameter in mm (ISO 261)."""

UNIFIED = {
    "#4": (0.112, 40, 48), "#6": (0.138, 32, 40), "#8": (0.164, 32, 36), "#10": (0.190, 24, 32),
    "1/4": (0.25, 20, 28), "5/16": (0.3125, 18, 24), "3/8": (0.375, 16, 24), "7/16": (0.4375, 14, 20),
    "1/2": (0.5, 13, 20), "9/16": (0.5625, 12, 18), "5/8": (0.625, 11, 18), "3/4": (0.75, 10, 16),
    "7/8": (0.875, 9, 14), "1": (1.0, 8, 12),
}  # fmt: skip
"""Diameter in inches and threads an inch, coarse (UNC) and fine (UNF), by size (ASME B1.1, table 1)."""


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread of the 60° profile: nominal diameter and pitch in metres."""

    name: str
    diameter: float
    pitch: float
    source: str

    @property
    def stress_area(self) -> float:
        """Tensile stress area in m².

        π/4·(d − 0.9382·P)² for metric threads (ISO 898-1), π/4·(d − 0.9743·P)² for inch threads (ASME B1.1).

        >>> round(designation("M10").stress_area * 1e6, 1)
        58.0
        """
        less = 0.9382 if self.source == ISO_261 else 0.9743
        return math.pi / 4 * (self.diameter - less * self.pitch) ** 2

    @property
    def tapping_drill(self) -> float:
        """Diameter in metres that leaves about 77 % thread: nominal diameter less the pitch (trade rule)."""
        return self.diameter - self.pitch


_METRIC = re.compile(r"M\s*(\d+(?:\.\d+)?)(?:\s*[x×*]\s*(\d+(?:\.\d+)?))?", re.IGNORECASE)
_UNIFIED = re.compile(r"(#\d+|\d+/\d+|\d)\s*(?:\"|in)?\s*-?\s*(?:(\d+)\s*)?(UNC|UNF)?", re.IGNORECASE)


def designation(text: str) -> Thread:
    """The thread of a designation as written on a drawing: ``M8``, ``M10x1.25``, ``1/4-20``, ``5/16 UNF``.

    Raises `BadInput` where the size or the pitch is in neither standard.

    >>> designation("M10x1.25").name
    'M10×1.25'
    >>> round(designation("5/16 UNF").pitch * 1e3, 4)
    1.0583
    """
    metric = _METRIC.fullmatch(text.strip())
    if metric:
        size = float(metric[1])
        if size not in COARSE:
            raise BadInput(f"thread '{text}': M{size:g} is no size of ISO 261 from M3 to M24")
        pitch = float(metric[2]) if metric[2] else COARSE[size]
        known = (COARSE[size], *FINE.get(size, ()))
        if pitch not in known:
            raise BadInput(f"thread '{text}': M{size:g} has pitches {', '.join(f'{p:g}' for p in known)} mm in ISO 261")
        name = f"M{size:g}" if pitch == COARSE[size] else f"M{size:g}×{pitch:g}"
        return Thread(name, size / 1000, pitch / 1000, ISO_261)
    unified = _UNIFIED.fullmatch(text.strip())
    if unified and unified[1] in UNIFIED:
        diameter, coarse, fine = UNIFIED[unified[1]]
        series = (unified[3] or "").upper()
        count = int(unified[2]) if unified[2] else {"UNC": coarse, "UNF": fine}.get(series, 0)
        if count not in (coarse, fine) or (series and count != {"UNC": coarse, "UNF": fine}[series]):
            raise BadInput(f"thread '{text}': {unified[1]} in is {coarse} UNC or {fine} UNF (ASME B1.1)")
        series = "UNC" if count == coarse else "UNF"
        return Thread(f"{unified[1]}-{count} {series}", diameter * INCH, INCH / count, ASME_B1_1)
    raise BadInput(f"thread '{text}' is not known; write it as M8, M10x1.25, 1/4-20 or 5/16 UNF")
