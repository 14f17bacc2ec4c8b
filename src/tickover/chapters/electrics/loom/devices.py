"""The laws of the two things in a loom whose current does not follow the voltage in proportion."""

from __future__ import annotations

import math

#: Thermal voltage k·T/q in volts at 300.15 K (constants of the SI of 2019).
THERMAL_VOLTS = 1.380649e-23 * 300.15 / 1.602176634e-19
#: Conductance in parallel with every diode, in siemens (the loom document's definition).
LEAK_SIEMENS = 1e-12
#: Below this share of its rated volts a filament counts as cold: a tenth of its hot resistance.
COLD_SHARE = 0.01

_EXPONENT_LIMIT = 600.0  # beyond it a double overflows


def filament(volts: float, hot_siemens: float, rated_volts: float) -> tuple[float, float]:
    """Amps through a bulb and the slope of its current, in siemens, at ``volts`` across it.

    R = V²/W at the rated volts and follows (V / rated)^0.5 down to a tenth of that, the cold filament: the
    loom document's definition. The current of a lit filament then goes with the root of the volts.

    Example: 12 V 55 W at 12 V takes its watts; cold, it takes ten times what its hot resistance would.

    >>> amps, slope = filament(12.0, 55 / 144, 12.0)
    >>> round(amps * 12.0, 6), round(slope * 12.0 / amps, 6)
    (55.0, 0.5)
    >>> round(filament(0.06, 1.0, 12.0)[0] / 0.06, 6)
    10.0
    """
    share = abs(volts) / rated_volts
    if share > COLD_SHARE:
        siemens = hot_siemens / math.sqrt(share)
        return siemens * volts, 0.5 * siemens
    siemens = hot_siemens / math.sqrt(COLD_SHARE)
    return siemens * volts, siemens


def junction(volts: float, saturation_amps: float, slope_volts: float) -> tuple[float, float]:
    """Amps through a diode and the slope of its current, in siemens; ``slope_volts`` is n·Vt.

    I = Is (exp(V / (n Vt)) − 1) + 1e-12 S · V (W. Shockley, "The theory of p-n junctions in semiconductors
    and p-n junction transistors", Bell System Technical Journal 28 (1949) 435-489).

    Example: at V = n Vt ln 2 the current is the saturation current.

    >>> amps, _ = junction(0.05 * math.log(2.0), 1e-9, 0.05)
    >>> round(amps * 1e9, 4)
    1.0
    """
    forward = saturation_amps * math.exp(min(volts / slope_volts, _EXPONENT_LIMIT))
    return forward - saturation_amps + LEAK_SIEMENS * volts, forward / slope_volts + LEAK_SIEMENS


def knee_volts(saturation_amps: float, slope_volts: float) -> float:
    """Where a junction's exponential bends most: the volts from which a step up it must be held back."""
    return slope_volts * math.log(slope_volts / (math.sqrt(2.0) * saturation_amps))


def held_back(old: float, new: float, knee: float, slope_volts: float) -> float:
    """``new`` volts across a junction, no further up its exponential than Newton's method can follow.

    A step up from ``old`` is taken by the logarithm of its current instead (Nagel 1975, on convergence).
    """
    if new <= knee or abs(new - old) <= 2.0 * slope_volts:
        return new
    if old <= 0.0:
        return slope_volts * math.log(new / slope_volts)
    growth = 1.0 + (new - old) / slope_volts
    return old + slope_volts * math.log(growth) if growth > 0.0 else knee


def filament_content(volts: float, hot_siemens: float, rated_volts: float) -> float:
    """The integral of a bulb's current over its volts, in watts."""
    bulb, cold = abs(volts), COLD_SHARE * rated_volts
    content = 0.5 * hot_siemens / math.sqrt(COLD_SHARE) * min(bulb, cold) ** 2
    if bulb > cold:
        content += hot_siemens * math.sqrt(rated_volts) * (2.0 / 3.0) * (bulb**1.5 - cold**1.5)
    return content


def junction_content(volts: float, saturation_amps: float, slope_volts: float) -> float:
    """The integral of a diode's current over its volts, in watts; infinite where it cannot be written."""
    if volts / slope_volts > _EXPONENT_LIMIT:
        return math.inf
    forward = saturation_amps * slope_volts * math.exp(volts / slope_volts)
    return forward - saturation_amps * volts + 0.5 * LEAK_SIEMENS * volts**2
