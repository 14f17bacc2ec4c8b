"""Readings of a multimeter between two pins: what it shows, how far that may be off, and what can lie between.

>>> read_ohms("OL").ohms
inf
>>> kinds_between(read_ohms("85"))
{'coil': 1.0}
>>> kinds_between(read_ohms("0.3 ohm"))
{'joined': 1.0}
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tickover.standards.instruments import uncertainty
from tickover.units import BadInput, parse, show

#: What a meter shows where nothing conducts, in the spellings of the usual meters.
OVER_RANGE = frozenset({"ol", "o.l", "o.l.", "0l", "0.l", "open", "inf", "∞", "no path"})


@dataclass(frozen=True)
class Ohms:
    """A reading in ohms with its standard uncertainty; ``inf`` is over range."""

    ohms: float
    plus_minus: float = 0.0

    def __str__(self) -> str:
        return "OL" if math.isinf(self.ohms) else show(self.ohms, "resistance", self.plus_minus)

    @property
    def low(self) -> float:
        """The least it can be, two standard uncertainties down."""
        return self.ohms if math.isinf(self.ohms) else max(0.0, self.ohms - 2 * self.plus_minus)

    @property
    def high(self) -> float:
        """The most it can be, two standard uncertainties up."""
        return self.ohms + 2 * self.plus_minus


def read_ohms(typed: str) -> Ohms:
    """What a person types for a reading between two pins: ohms in any unit, or OL where nothing conducts.

    Without ± of its own it takes the usual uncertainty of a hand multimeter. `BadInput` for anything else.

    >>> round(read_ohms("85").plus_minus, 2), read_ohms("2.2k ± 0.1k").plus_minus
    (0.68, 100.0)
    """
    text = typed.strip()
    if text.casefold() in OVER_RANGE:
        return Ohms(math.inf)
    if not text[:1].isdigit() and text[:1] not in ("-", "+", "."):
        raise BadInput(f"“{text}” is no reading in ohms; write it as 85, 0.3 or 2.2k, or OL where nothing conducts")
    try:
        measure = parse(text, "resistance")
    except BadInput as problem:
        raise BadInput(f"{problem} (where nothing conducts write OL)") from None
    if not 0 <= measure.value < math.inf:
        raise BadInput(f"{text} is no reading in ohms; give one of nought or more, or OL where nothing conducts")
    meter = "multimeter_ohms" if measure.value <= 200 else "multimeter_kilohms"
    return Ohms(measure.value, measure.plus_minus or uncertainty(meter, measure.value))


#: How well each kind of thing between two pins explains a reading up to so many ohms. A closed contact with the meter's
#: leads reads under 2 Ω, with tarnish up to 20 Ω. The coil of a 12 V relay reads 40 to 200 Ω, of a starter relay from
#: 3 Ω, of a small one up to 2 kΩ. Above 20 kΩ there is nothing but damp and fingers. Our own choice, wide on purpose.
_BANDS: tuple[tuple[float, dict[str, float]], ...] = (
    (2.0, {"joined": 1.0}),
    (20.0, {"joined": 0.05, "coil": 0.3}),
    (2e3, {"coil": 1.0}),
    (20e3, {"coil": 0.01, "open": 0.01}),
    (math.inf, {"open": 1.0}),
)
JOINED, LOOSE, OPEN = 2.0, 20.0, 20e3
"""Ω: up to here joined; up to here joined by a poor contact; from here open."""
USUAL_COIL = (40.0, 200.0)
"""Ω of the coil of a 12 V relay of the usual size."""


def kinds_between(reading: Ohms) -> dict[str, float]:
    """What can lie between the two pins (``joined``, ``coil``, ``open``), and how well it explains the reading.

    A reading that stands within its uncertainty of the edge of a band can be of either side.

    >>> kinds_between(Ohms(6.0, 0.3))
    {'joined': 0.05, 'coil': 0.3}
    >>> kinds_between(Ohms(1.9, 0.3))
    {'joined': 1.0, 'coil': 0.3}
    """
    found: dict[str, float] = {}
    floor = -1.0
    for ceiling, kinds in _BANDS:
        if reading.low <= ceiling and reading.high > floor:
            for kind, weight in kinds.items():
                found[kind] = max(weight, found.get(kind, 0.0))
        floor = ceiling
    return found
