"""A reading as it is typed at the bench: its value, its uncertainty, and the unit a bare figure was taken to have."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tickover import units
from tickover.standards.instruments import INSTRUMENTS
from tickover.units import DIMENSIONS, BadInput

_BARE = re.compile(r"[\d\s.,/±()+−-]+")
"""A figure without a unit; it is kept with the one it was taken to have."""

LONGEST = 60


@dataclass(frozen=True, slots=True)
class Taken:
    """What was typed, with its unit, and the SI value with one standard uncertainty."""

    typed: str
    value: float
    plus_minus: float


def as_taken(typed: str, dimension: str, instrument_id: str = "", system: str = "metric") -> Taken:
    """Read what was typed, in any unit of ``dimension``; a bare figure is in the build's own unit.

    The uncertainty is the one typed with ±, else the instrument's, else 0. `BadInput` where it cannot be read,
    where the instrument reads another kind of quantity, or where the figure is beyond its range.

    >>> as_taken("67.05", "length", "bore_gauge").typed
    '67.05 mm'
    """
    typed = typed.strip()
    own = DIMENSIONS[dimension].default("metric" if system == "metric" else "inch-pound").symbol
    measure = units.parse(typed, dimension, unit=own)
    instrument = INSTRUMENTS.get(instrument_id)
    plus_minus = measure.plus_minus
    if instrument is not None:
        if instrument.dimension != dimension:
            raise BadInput(
                f"A {instrument.name} reads {instrument.dimension.replace('_', ' ')}, and this is a "
                f"{dimension.replace('_', ' ')}; choose another instrument or none."
            )
        if not instrument.low <= measure.value <= instrument.high:
            low, high = (units.show(end, dimension, system=system) for end in (instrument.low, instrument.high))  # type: ignore[arg-type]
            raise BadInput(f"A {instrument.name} reads from {low} to {high}; check the figure and the instrument.")
        plus_minus = plus_minus or instrument.uncertainty(measure.value)
    with_unit = f"{typed} {own}".strip()
    keeps_unit = _BARE.fullmatch(typed) and len(with_unit) <= LONGEST
    return Taken(with_unit if keeps_unit else typed, measure.value, plus_minus)
