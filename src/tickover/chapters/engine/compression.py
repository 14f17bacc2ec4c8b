"""Cranking compression: what a gauge should show, against what it shows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from tickover.chapters.cautions import CRANKING, HIGH_TENSION
from tickover.sheets import Limit, Quantity, sheet
from tickover.units import BadInput

HEYWOOD = "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), equation 2.6: cylinder volume by crank angle"
POLYTROPE = "Polytropic compression, p·Vⁿ constant (Heywood 1988, chapter 9)"
ISO_2533 = "ISO 2533:1975, standard atmosphere: air pressure by altitude"
TRADE = "Trade rules: no cylinder below three quarters of what is expected, none more than 15 % below its neighbour"

DEGREE = math.pi / 180
LEAST_SHARE = 0.75
GREATEST_DIFFERENCE = 0.15

_GAUGE = ("compression_gauge",)

CompressionRatio = Annotated[
    float,
    Quantity("ratio", low=3.0, high=20.0, usual=(6.0, 13.0), says="geometric compression ratio, as in 9 or 9:1"),
]
InletCloses = Annotated[
    float,
    Quantity(
        "angle",
        low=0.0,
        high=120 * DEGREE,
        usual=(20 * DEGREE, 80 * DEGREE),
        says="crank angle after bottom dead centre at which the inlet valve is shut",
        read_with=("timing_disc",),
        assumed=10 * DEGREE,
    ),
]
RodRatio = Annotated[
    float,
    Quantity("ratio", low=1.2, high=3.0, says="connecting rod, centre to centre, over the stroke", assumed=0.1),
]
Exponent = Annotated[
    float,
    Quantity(
        "ratio",
        low=1.0,
        high=1.4,
        says="polytropic exponent: 1.4 loses no heat; a cold engine cranked slowly has 1.2 to 1.3",
        assumed=0.05,
    ),
]
Altitude = Annotated[
    float,
    Quantity("length", metric="m", inch_pound="ft", low=-400.0, high=5000.0, says="height above the sea"),
]
GaugeReading = Annotated[
    float,
    Quantity(
        "pressure",
        low=0.0,
        high=3e6,
        says="gauge reading of this cylinder, warm, throttle open",
        read_with=_GAUGE,
    ),
]
Expected = Annotated[float, Quantity("pressure", says="what the gauge should show on a sound cylinder")]
Lowest = Annotated[float, Quantity("pressure", says="lowest gauge reading", read_with=_GAUGE)]
Difference = Annotated[
    float, Quantity("ratio", metric="%", inch_pound="%", says="lowest below highest reading, of the highest")
]
Effective = Annotated[float, Quantity("ratio", says="compression ratio from where the inlet valve shuts")]
Ambient = Annotated[float, Quantity("pressure", says="air pressure at this height")]


@dataclass(frozen=True)
class Compression:
    """Gauge pressures in pascals, and ratios."""

    expected: Expected
    effective_ratio: Effective
    ambient: Ambient
    lowest: Lowest | None
    difference: Difference | None
    limits: Mapping[str, Limit] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def air_pressure(altitude: float) -> float:
    """Air pressure in Pa by height in metres, up to 11 km (ISO 2533).

    p = 101 325 Pa·(1 − 0.0065·h / 288.15)^5.25588; 1000 m: 898.75 hPa in its table.

    >>> round(air_pressure(1000.0) / 100, 2)
    898.75
    """
    pressure: float = 101_325.0 * (1 - 0.0065 * altitude / 288.15) ** 5.255_88
    return pressure


def effective_ratio(compression_ratio: float, inlet_closes: float, rod_ratio: float) -> float:
    """Volume where the inlet valve shuts over the volume at top dead centre.

    V/Vc = 1 + (rc − 1)/2·(R + 1 − cos θ − √(R² − sin² θ)), Heywood 1988 equation 2.6, with R rod over crank
    throw (twice the rod over the stroke) and θ from top dead centre. Shut at bottom dead centre, all of it
    counts:

    >>> round(effective_ratio(9.0, 0.0, 1.8), 9)
    9.0
    """
    theta = math.pi + inlet_closes
    r = 2 * rod_ratio
    return 1 + (compression_ratio - 1) / 2 * (r + 1 - math.cos(theta) - math.sqrt(r**2 - math.sin(theta) ** 2))


@sheet(
    title="Cranking compression, expected against read",
    sources=[HEYWOOD, POLYTROPE, ISO_2533, TRADE],
    cautions=[CRANKING, HIGH_TENSION],
)
def cranking_compression(
    compression_ratio: CompressionRatio,
    inlet_closes: InletCloses = 50 * DEGREE,
    rod_ratio: RodRatio = 1.8,
    exponent: Exponent = 1.25,
    altitude: Altitude = 0.0,
    read_1: GaugeReading | None = None,
    read_2: GaugeReading | None = None,
    read_3: GaugeReading | None = None,
    read_4: GaugeReading | None = None,
) -> Compression:
    """What a compression gauge should show while the starter turns the engine, and what its readings say.

    Take the readings warm, all plugs out, throttle held open, the carburettors with their slides lifted, and
    crank until the needle stands still. A long-duration cam shuts the inlet late and shows less on the gauge
    of a sound engine. The exponent and the gauge's hose make the expected figure rough; the difference
    between cylinders is the stronger sign. A low cylinder that rises with a spoonful of oil has worn rings or
    bore; one that does not has a leaking valve or gasket.

    gauge = p·(r^n − 1), with p the air pressure at this height and r the compression ratio from the point
    where the inlet valve shuts. Pascals, radians, metres.

    >>> result = cranking_compression(compression_ratio=9.0, read_1=1.05e6, read_2=0.82e6)
    >>> round(result.effective_ratio, 2), round(result.expected / 1e5, 1), round(result.difference, 3)
    (7.9, 12.4, 0.219)
    """
    effective = effective_ratio(compression_ratio, inlet_closes, rod_ratio)
    if effective <= 1:
        raise BadInput("inlet_closes leaves nothing to compress; it is counted from bottom dead centre")
    ambient = air_pressure(altitude)
    expected = ambient * (effective**exponent - 1)
    reads = [r for r in (read_1, read_2, read_3, read_4) if r is not None]
    lowest = min(reads) if reads else None
    highest = max(reads) if reads else 0.0
    difference = (highest - lowest) / highest if lowest is not None and len(reads) > 1 and highest > 0 else None
    limits = {"lowest": Limit(LEAST_SHARE * expected, None, "three quarters of what is expected")}
    if len(reads) > 1:
        limits["difference"] = Limit(None, GREATEST_DIFFERENCE, "greatest difference between cylinders")
    notes = ("No cylinder gave any pressure: look at the gauge's seal and valve before the engine.",)
    return Compression(
        expected, effective, ambient, lowest, difference, limits, notes if reads and highest == 0 else ()
    )
