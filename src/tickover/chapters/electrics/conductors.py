"""What current a copper wire carries, how warm it gets, and how soon.

A wire is one lump per metre: I²·R heats it, still air cools it. The cooling is a heat balance of a round, horizontal
wire: conduction through its insulation, then free convection and radiation. Wires that lie together and carry current
together cool worse, by the table of IEC 60364-5-52.

SI: metres, m², kelvin, amperes, seconds; per metre of wire where it says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from tickover.standards.wire import (
    COPPER_PER_KELVIN,
    COPPER_RESISTIVITY,
    GREATEST_RESISTANCE,
    SIZES,
    TWENTY_CELSIUS,
    resistance,
)
from tickover.units import BadInput

_ZERO_CELSIUS = 273.15

#: Volumetric heat capacity of copper at 20 °C in J/(m³·K), and the reciprocal of its temperature coefficient of
#: resistance at 0 °C in kelvin: IEC 60949 table I, as IEC 60364-5-54 annex A uses them for k.
COPPER_HEAT = 3.45e6
COPPER_BETA = 234.5

#: Share of a stranded conductor's round that is copper, and thickness of the insulation in metres: our assumption, near
#: the thin-wall cable of ISO 6722-1. A wall twice as thick changes the capacity by less than a tenth.
FILL = 0.75
WALL_SMALL, WALL_LARGE, WALL_LARGE_FROM = 0.3e-3, 0.6e-3, 8e-6
#: Conductivity of PVC in W/(m·K), and emissivity of a matt surface: usual handbook values, F. P. Incropera and others,
#: "Fundamentals of Heat and Mass Transfer", tables A.3 and A.11.
INSULATION_CONDUCTIVITY = 0.17
EMISSIVITY = 0.9

STEFAN_BOLTZMANN = 5.670374e-8  # W/(m²·K⁴), SI of 2019
GRAVITY = 9.80665
AIR_PRESSURE, AIR_GAS_CONSTANT, AIR_PRANDTL = 101325.0, 287.05, 0.71

#: What is left of the current of a single wire, by the number of wires together that carry current: IEC 60364-5-52
#: table B.52.17, bunched in air. More than 20 are taken as 20.
BUNDLE_FACTORS = {
    1: 1.00, 2: 0.80, 3: 0.70, 4: 0.65, 5: 0.60, 6: 0.57, 7: 0.54, 8: 0.52, 9: 0.50, 12: 0.45, 16: 0.41, 20: 0.38,
}  # fmt: skip

#: A short that is over by then may warm the insulation up to its short-circuit limit (IEC 60364-4-43, 434.5.2).
SHORT_SECONDS = 5.0

_STEPS = 160


@dataclass(frozen=True)
class Insulation:
    """A temperature class of road vehicle cable, in kelvin.

    ``lasting``: what it stands for its life (3000 h). ``overload``: for hours, 50 K above (6 h in the test).
    ``short``: for five seconds, by its material.
    """

    lasting: float
    overload: float
    short: float


def _insulation(celsius: float, short_celsius: float) -> Insulation:
    kelvin = celsius + _ZERO_CELSIUS
    return Insulation(kelvin, kelvin + 50.0, short_celsius + _ZERO_CELSIUS)


#: Classes of ISO 6722-1 (85, 100, 125 °C); short-circuit limits of IEC 60364-4-43 table 43A: PVC 160 °C for A and B,
#: cross-linked polyethylene 250 °C for C.
INSULATIONS = {"A": _insulation(85.0, 160.0), "B": _insulation(100.0, 160.0), "C": _insulation(125.0, 250.0)}


@dataclass(frozen=True)
class Surroundings:
    """Where a wire lies: ambient kelvin, wires of its bundle that carry current together, its insulation's class."""

    ambient: float = 50.0 + _ZERO_CELSIUS
    bundle: int = 6
    insulation: str = "B"

    def __post_init__(self) -> None:
        if self.insulation not in INSULATIONS:
            raise BadInput(f"Insulation class {self.insulation!r} is not known; it may be {', '.join(INSULATIONS)}.")
        if self.bundle < 1:
            raise BadInput(f"A bundle of {self.bundle} wires cannot be; the wire itself makes one.")
        ambient, limit = self.ambient - _ZERO_CELSIUS, self.limits.lasting - _ZERO_CELSIUS
        if not -60.0 <= ambient < limit:
            raise BadInput(
                f"Ambient {ambient:g} °C does not do for insulation of class {self.insulation}; "
                f"it must be from -60 °C to below {limit:g} °C."
            )

    @property
    def limits(self) -> Insulation:
        return INSULATIONS[self.insulation]


def bundle_factor(wires: int) -> float:
    """What is left of a single wire's current when so many that carry current lie together.

    IEC 60364-5-52 table B.52.17; straight lines between its columns, the last one beyond it.

    >>> bundle_factor(6), round(bundle_factor(10), 3), bundle_factor(40)
    (0.57, 0.483, 0.38)
    """
    for (low, high_factor), (high, low_factor) in pairwise(BUNDLE_FACTORS.items()):
        if wires <= high:
            return high_factor + (low_factor - high_factor) * (wires - low) / (high - low)
    return BUNDLE_FACTORS[20]


def greatest_resistance(area: float, temperature: float) -> float:
    """Ω/m that a sound stranded wire may have at most: IEC 60228 class 5, IEC 60028 for its warmth.

    A size that the standard does not list is taken with its worst ratio to solid copper.

    >>> round(1000 * greatest_resistance(1.5e-6, 293.15), 2)
    13.3
    """
    worst = max(ohms * size / COPPER_RESISTIVITY for size, ohms in GREATEST_RESISTANCE.items())
    listed = next((ohms for size, ohms in GREATEST_RESISTANCE.items() if math.isclose(size, area)), None)
    cold = listed if listed is not None else worst * COPPER_RESISTIVITY / area
    return cold * (1 + COPPER_PER_KELVIN * (temperature - TWENTY_CELSIUS))


def diameters(area: float) -> tuple[float, float]:
    """Diameter of the stranded copper and over the insulation, in metres."""
    copper = math.sqrt(4 * area / (math.pi * FILL))
    return copper, copper + 2 * (WALL_SMALL if area < WALL_LARGE_FROM else WALL_LARGE)


def convection(diameter: float, surface: float, ambient: float) -> float:
    """W/(m²·K) from a horizontal cylinder to still air at sea level.

    Nu = (0.60 + 0.387·Ra^(1/6) / (1 + (0.559/Pr)^(9/16))^(8/27))²: S. W. Churchill, H. H. S. Chu, "Correlating
    equations for laminar and turbulent free convection from a horizontal cylinder", Int. J. Heat Mass Transfer 18
    (1975) 1049. Viscosity and conductivity of air: U.S. Standard Atmosphere, 1976.

    Example: a pipe of 0.1 m at 165 °C in a room of 23 °C, 7.29 W/(m²·K) with the air of Incropera's tables
    (example 9.4).

    >>> round(convection(0.1, 438.15, 296.15), 2)
    7.38
    """
    film = 0.5 * (surface + ambient)
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4) / (AIR_PRESSURE / (AIR_GAS_CONSTANT * film))
    conductivity = 2.64638e-3 * film**1.5 / (film + 245.4 * 10 ** (-12.0 / film))
    rayleigh = GRAVITY / film * abs(surface - ambient) * diameter**3 / viscosity**2 * AIR_PRANDTL
    nusselt = (0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / AIR_PRANDTL) ** (9 / 16)) ** (8 / 27)) ** 2
    return float(nusselt * conductivity / diameter)


def heat_given_off(area: float, temperature: float, around: Surroundings) -> float:
    """W/m that a wire gives to the air while its copper has this temperature.

    In a bundle the square of the bundle's factor is left of it, so that the current is left with the factor.
    """
    copper, outside = diameters(area)
    wall = math.log(outside / copper) / (2 * math.pi * INSULATION_CONDUCTIVITY)
    surface, watts = temperature, 0.0
    for _ in range(6):  # the wall holds back a twentieth: each round is that much nearer
        radiated = EMISSIVITY * STEFAN_BOLTZMANN * (surface**4 - around.ambient**4)
        moved = convection(outside, surface, around.ambient) * (surface - around.ambient)
        watts = math.pi * outside * (radiated + moved)
        surface = temperature - watts * wall
    return watts * bundle_factor(around.bundle) ** 2


def capacity(area: float, around: Surroundings) -> float:
    """Amps that a wire carries for good: its copper is then as warm as its insulation stands for its life.

    I²·R(T) = heat given off at T. A larger wire carries more:

    >>> alone = Surroundings(ambient=293.15, bundle=1, insulation="B")
    >>> capacity(1.0e-6, alone) < capacity(1.5e-6, alone)
    True
    """
    limit = around.limits.lasting
    return math.sqrt(heat_given_off(area, limit, around) / greatest_resistance(area, limit))


def warmth(area: float, amps: float, around: Surroundings) -> float:
    """Kelvin at which a wire settles under a lasting current, at most a red heat of 1000 K."""
    low, high = around.ambient, 1000.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        heats = amps**2 * greatest_resistance(area, middle)
        low, high = (middle, high) if heats > heat_given_off(area, middle, around) else (low, middle)
    return 0.5 * (low + high)


def adiabatic_k(start: float, end: float) -> float:
    """k of a copper conductor in A·√s/m²: I²·t = k²·S² warms it from ``start`` to ``end`` kelvin with no heat lost.

    k = √(Qc·(β + 20 °C)/ρ20·ln((β + end)/(β + start))), IEC 60364-5-54 annex A and IEC 60949.

    Example: PVC from 70 °C to 160 °C, k = 115 A·√s/mm² in IEC 60364-4-43 table 43A.

    >>> round(adiabatic_k(343.15, 433.15) * 1e-6)
    115
    """
    beta = COPPER_BETA - _ZERO_CELSIUS
    warmer = math.log((beta + end) / (beta + start))
    return math.sqrt(COPPER_HEAT * (COPPER_BETA + 20.0) / COPPER_RESISTIVITY * warmer)


@dataclass(frozen=True)
class Instant:
    """A wire while a heavy current warms it: kelvin, amps, and seconds since the last instant (infinite: settled)."""

    kelvin: float
    amps: float
    seconds: float


def heating(
    area: float,
    length: float,
    amps: float,
    volts: float,
    start: float,
    end: float,
    around: Surroundings,
    cold: float = TWENTY_CELSIUS,
) -> Iterator[Instant]:
    """How a wire goes from ``start`` to ``end`` kelvin under a short.

    ``amps`` flow while it is at ``cold`` kelvin, from a source of ``volts``. Its own resistance grows and takes the
    current back; the rest of the circuit stays as it is. Heat goes into the copper alone, so the wire is a little
    quicker here than in life. The seconds of each step of temperature are C·dT / (I²·R − heat given off); where the
    air takes all, the last instant lasts for ever.
    """
    step = (end - start) / _STEPS
    ohms = resistance(length, area, cold)
    for number in range(_STEPS):
        kelvin = start + (number + 0.5) * step
        now = amps / (1 + (resistance(length, area, kelvin) - ohms) * amps / volts)
        spare = now**2 * greatest_resistance(area, kelvin) - heat_given_off(area, kelvin, around)
        if spare <= 0:
            yield Instant(kelvin, now, math.inf)
            return
        yield Instant(kelvin + 0.5 * step, now, COPPER_HEAT * area * step / spare)


def sizes_from(area: float = 0.0) -> tuple[float, ...]:
    """The usual sizes from ``area`` up, in m²."""
    return tuple(size for size in SIZES if size >= area * (1 - 1e-9))
