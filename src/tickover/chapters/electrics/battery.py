"""A 12 V battery: what it may be charged with, what it takes, what it gives, and how the cold stiffens it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from tickover.units import ZERO_CELSIUS, BadInput

Kind = Literal["lead-acid", "lithium"]
"""Lead and sulphuric acid, six cells; or lithium iron phosphate, four cells."""

PEUKERT_1897 = (
    "W. Peukert, Über die Abhängigkeit der Kapazität von der Entladestromstärke bei Bleiakkumulatoren, "
    "Elektrotechnische Zeitschrift 20 (1897) 287-288"
)
COPETTI_1993 = (
    "J. B. Copetti, E. Lorenzo, F. Chenlo, A general battery model for PV system simulation, "
    "Progress in Photovoltaics 1 (1993) 283-292: charge efficiency; "
    "resistance 0.7 % greater for each kelvin below 25 °C"
)
EN_50342 = "EN 50342-1: at -18 °C the battery gives its cold cranking current for 10 s and still has 7.5 V"
WARM = ZERO_CELSIUS + 25.0
COLD_TEST = ZERO_CELSIUS - 18.0
"""Temperatures (K) at which resistance is written down and at which a plate's cold cranking current holds."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a kind of battery stands: volts across it on charge, the least temperature (K) at which it may be
    charged, the share of its charge below which it is harmed. Usual figures of the trade, rounded to the safe
    side: the battery's own sheet counts before these.
    """

    least_volts: float
    most_volts: float
    coldest_charge: float | None
    least_charge: float
    says: str


LIMITS: dict[Kind, Limits] = {
    "lead-acid": Limits(
        13.5,
        14.8,
        None,
        0.5,
        "Lead-acid: above about 14.8 V it gasses and dries out, under 13.5 V it never fills. "
        "Left half empty its plates turn hard and it can freeze; charge it within days.",
    ),
    "lithium": Limits(
        13.6,
        14.6,
        ZERO_CELSIUS,
        0.2,
        "Lithium iron phosphate: never above 14.6 V (3.65 V a cell), never charged below 0 °C, never drained flat; "
        "any of these can ruin it or set it on fire. It needs its own charger and a regulator that holds its volts.",
    ),
}


def charging_warnings(kind: Kind, volts: float) -> tuple[str, ...]:
    """What charging a 12 V battery of this kind at so many volts does to it, where that is not good."""
    limits = LIMITS[kind]
    if volts > limits.most_volts:
        return (
            f"{volts:.1f} V overcharges a {kind} battery, which stands {limits.most_volts:.1f} V: "
            "it can burst or burn. See to the regulator before it is used.",
        )
    if volts < limits.least_volts:
        return (f"{volts:.1f} V does not fill a {kind} battery, which needs {limits.least_volts:.1f} V.",)
    return ()


def peukert_rate(amps: float, capacity: float, rated_time: float, exponent: float) -> float:
    """The current (A) that would empty the battery as fast as ``amps`` does, if none of its charge stayed behind.

    ``capacity`` in coulombs is what it gives in ``rated_time`` seconds; ``exponent`` is 1.1 to 1.3 for lead and
    acid, 1 where nothing stays behind. t = H·(C/(I·H))^k, so C/t = I·(I·H/C)^(k − 1). Below the rated current
    no more than the rated capacity is counted on.

    100 Ah at 1 A, exponent 1.2: 5 A last 14.5 h.

    >>> rate = peukert_rate(5.0, 100 * 3600.0, 100 * 3600.0, 1.2)
    >>> round(100 / rate, 1)
    14.5
    """
    return amps * math.pow(max(1.0, amps * rated_time / capacity), exponent - 1.0)


def charge_efficiency(amps: float, charge: float, capacity: float) -> float:
    """The share of a charging current that a lead-acid battery keeps; the rest makes gas.

    η = 1 − exp(20.73/(I/I₁₀ + 0.55)·(s − 1)) with the ten-hour current I₁₀ (Copetti and others 1993);
    ``charge`` is s, 0 to 1, ``capacity`` in coulombs.

    >>> round(charge_efficiency(1.2, 0.9, 12 * 3600.0), 4), round(charge_efficiency(1.2, 0.5, 12 * 3600.0), 4)
    (0.7375, 0.9988)
    """
    return -math.expm1(_steepness(amps, capacity) * (charge - 1.0))


def charge_after(time: float, amps: float, charge: float, capacity: float) -> float:
    """The state of charge after ``time`` seconds at ``amps``, by `charge_efficiency`, solved in closed form.

    ds/dt = (I/C)·(1 − e^(a(s − 1))) has ln(e^(a(1 − s)) − 1) falling by a·I·t/C.

    >>> round(charge_after(3600.0, 1.2, 0.5, 12 * 3600.0), 4)
    0.5997
    """
    steep = _steepness(amps, capacity)
    empty = steep * (1.0 - charge)
    if empty <= 0.0:
        return 1.0
    left = math.log(math.expm1(empty)) if empty < 30.0 else empty + math.log1p(-math.exp(-empty))
    left -= steep * amps * time / capacity
    return 1.0 - (left + math.log1p(math.exp(-left)) if left > 0 else math.log1p(math.exp(left))) / steep


def _steepness(amps: float, capacity: float) -> float:
    return 20.73 / (amps * 36000.0 / capacity + 0.55)


def colder(ohms: float, read_at: float, temperature: float, per_kelvin: float = 0.007) -> float:
    """A lead-acid battery's resistance at another temperature (K) than it was read at.

    R = R₂₅·(1 − 0.007·(T − 25 °C)) (Copetti and others 1993).

    >>> round(colder(0.010, WARM, COLD_TEST), 5)
    0.01301
    """
    here, there = (1.0 - per_kelvin * (t - WARM) for t in (read_at, temperature))
    if here <= 0 or there <= 0:
        raise BadInput("the battery's resistance cannot shrink to nothing: check temperature and growth per kelvin")
    return ohms * there / here


def plate_ohms(rest_volts: float, amps: float, volts: float = 7.5) -> float:
    """Most resistance at −18 °C of a battery that keeps what its plate promises: (E − U)/I (EN 50342-1).

    >>> round(plate_ohms(12.7, 200.0), 4)
    0.026
    """
    if rest_volts <= volts:
        raise BadInput(
            f"the volts at rest, {rest_volts:g} V, must lie above the {volts:g} V of the cold test: "
            "read a charged battery"
        )
    return (rest_volts - volts) / amps
