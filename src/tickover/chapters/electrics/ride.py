"""A simulated ride: what the battery holds after town, idling in the rain and the open road.

Charge is counted leg by leg, in closed form, so no step size enters. What was taken out and put in, what stayed
behind (Peukert) and what a nearly full battery does not keep add up to the change of charge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tickover.chapters.electrics.battery import (
    COPETTI_1993,
    LIMITS,
    PEUKERT_1897,
    WARM,
    Kind,
    charge_after,
    peukert_rate,
)
from tickover.chapters.electrics.generator import Generator
from tickover.drawing import Drawing, Item, Line, Polyline, Text
from tickover.units import BadInput

SOURCES = (PEUKERT_1897, COPETTI_1993)
TRACE = 60
"""Points of the state of charge that are kept of each leg."""


@dataclass(frozen=True)
class Battery:
    """Capacity in coulombs, given in ``rated_time`` seconds; state of charge 0 to 1; Peukert's exponent (leave it
    out: 1.2 for lead-acid, 1 for lithium); most amperes it may be charged with; temperature in kelvin.
    """

    capacity: float
    charge: float = 1.0
    kind: Kind = "lead-acid"
    exponent: float | None = None
    rated_time: float = 36000.0
    most_amps: float = math.inf
    temperature: float = WARM

    def __post_init__(self) -> None:
        if not (0 < self.capacity < math.inf and 0 < self.rated_time < math.inf):
            raise BadInput("the battery's capacity and the time it is rated for must be more than nought")
        if not 0 <= self.charge <= 1:
            raise BadInput(f"the battery's charge is {self.charge:g}; it lies between 0, flat, and 1, full")
        if not 1 <= self.peukert <= 2:
            raise BadInput(f"Peukert's exponent is {self.peukert:g}; it lies between 1 and 2")
        if not self.most_amps >= 0:
            raise BadInput("the most amperes the battery may be charged with must be nought or more")

    @property
    def peukert(self) -> float:
        """Peukert's exponent, as given or usual for the kind."""
        return self.exponent if self.exponent is not None else 1.2 if self.kind == "lead-acid" else 1.0


@dataclass(frozen=True)
class Leg:
    """A stretch of the ride: seconds, engine speed in rad/s (0 stands still), amperes drawn by the bike."""

    name: str
    time: float
    speed: float
    load: float

    def __post_init__(self) -> None:
        if not all(0 <= figure < math.inf for figure in (self.time, self.speed, self.load)):
            raise BadInput(f"{self.name}: time, engine speed and load must be numbers, nought or more")


@dataclass(frozen=True)
class LegDone:
    """What became of a leg: state of charge at its end, and coulombs.

    ``given`` by the generator = ``carried`` to the loads + ``taken`` by the battery + ``turned_away`` by the regulator;
    the load = ``carried`` + ``drawn`` from the battery + ``missing`` once it is flat;
    change of charge = ``taken`` − ``lost`` − ``drawn`` − ``stayed_behind``.
    ``lost`` made gas, or was not let in by a battery that is nearly full: what is kept is the same.
    """

    leg: Leg
    charge: float
    given: float
    carried: float
    taken: float
    turned_away: float
    lost: float
    drawn: float
    stayed_behind: float
    missing: float


@dataclass(frozen=True)
class Ride:
    """All legs, the trace of (seconds, state of charge), the lowest charge, and when the battery was flat."""

    battery: Battery
    legs: tuple[LegDone, ...]
    trace: tuple[tuple[float, float], ...]
    flat_after: float | None
    warnings: tuple[str, ...]

    @property
    def charge(self) -> float:
        """State of charge at the end."""
        return self.legs[-1].charge if self.legs else self.battery.charge

    @property
    def lowest(self) -> float:
        """The lowest state of charge on the way."""
        return min(charge for _, charge in self.trace)


def ride(generator: Generator, battery: Battery, legs: Sequence[Leg]) -> Ride:
    """Ride the legs one after another (Peukert 1897 on the way out, Copetti and others 1993 on the way in).

    The state of charge is that of the battery at 25 °C: in the cold a lead-acid battery gives less of it. Charging far
    above the ten-hour current lies outside what the source measured; there the charge kept is a low guess.

    >>> from tickover.chapters.electrics.generator import RPM
    >>> generator = Generator(((1000 * RPM, 0.0), (2000 * RPM, 5.0), (4000 * RPM, 15.0)))
    >>> done = ride(generator, Battery(12 * 3600.0, 0.9), [
    ...     Leg("town", 1200.0, 1800 * RPM, 7.0),
    ...     Leg("idle in the rain, lights on", 600.0, 1200 * RPM, 9.0),
    ...     Leg("open road", 2400.0, 4000 * RPM, 7.5)])
    >>> [round(leg.charge, 3) for leg in done.legs]
    [0.8, 0.638, 0.853]
    """
    charge, clock, flat_after = battery.charge, 0.0, None
    legs_done: list[LegDone] = []
    trace = [(0.0, charge)]
    for leg in legs:
        done, lasts = _go(generator, battery, charge, leg)
        if flat_after is None and lasts < leg.time:
            flat_after = clock + lasts
        trace += [
            (clock + part, _go(generator, battery, charge, Leg(leg.name, part, leg.speed, leg.load))[0].charge)
            for part in (leg.time * k / TRACE for k in range(1, TRACE))
        ]
        clock += leg.time
        charge = done.charge
        trace.append((clock, charge))
        legs_done.append(done)
    return Ride(battery, tuple(legs_done), tuple(trace), flat_after, _warnings(battery, trace, flat_after, legs_done))


def _go(generator: Generator, battery: Battery, charge: float, leg: Leg) -> tuple[LegDone, float]:
    """One leg from a state of charge, and the seconds until the battery is flat (for ever where it is charged)."""
    output = generator.output(leg.speed)
    over = output - leg.load
    if over >= 0:
        amps = min(over, battery.most_amps) if _may_charge(battery) else 0.0
        after = _charged(battery, charge, amps, leg.time)
        stored = (after - charge) * battery.capacity
        # A lithium battery's own switch or the regulator ends the charge when it is full; lead and acid gas on.
        taken = amps * leg.time if battery.kind == "lead-acid" else stored
        return (
            LegDone(
                leg=leg,
                charge=after,
                given=output * leg.time,
                carried=leg.load * leg.time,
                taken=taken,
                turned_away=over * leg.time - taken,
                lost=taken - stored,
                drawn=0.0,
                stayed_behind=0.0,
                missing=0.0,
            ),
            math.inf,
        )
    rate = peukert_rate(-over, battery.capacity, battery.rated_time, battery.peukert)
    lasts = charge * battery.capacity / rate
    time = min(leg.time, lasts)
    return (
        LegDone(
            leg=leg,
            charge=0.0 if lasts <= leg.time else charge - rate * time / battery.capacity,
            given=output * leg.time,
            carried=output * leg.time,
            taken=0.0,
            turned_away=0.0,
            lost=0.0,
            drawn=-over * time,
            stayed_behind=(rate + over) * time,
            missing=-over * (leg.time - time),
        ),
        lasts,
    )


def _may_charge(battery: Battery) -> bool:
    coldest = LIMITS[battery.kind].coldest_charge
    return coldest is None or battery.temperature >= coldest


def _charged(battery: Battery, charge: float, amps: float, time: float) -> float:
    if amps == 0:
        return charge
    if battery.kind == "lead-acid":
        return max(charge, charge_after(time, amps, charge, battery.capacity))
    return min(1.0, charge + amps * time / battery.capacity)


def _warnings(
    battery: Battery, trace: Sequence[tuple[float, float]], flat_after: float | None, legs: Sequence[LegDone]
) -> tuple[str, ...]:
    limits = LIMITS[battery.kind]
    said: list[str] = []
    if flat_after is not None:
        said.append(f"The battery is flat after {flat_after / 60:.0f} min: ignition and lights fail on the road.")
    elif (lowest := min(charge for _, charge in trace)) < limits.least_charge:
        said.append(
            f"The charge falls to {lowest * 100:.0f} %; below {limits.least_charge * 100:.0f} % "
            f"a {battery.kind} battery is harmed."
        )
    if not _may_charge(battery) and any(leg.turned_away > 0 for leg in legs):
        said.append(
            "A lithium battery must not be charged below 0 °C: it can be ruined or catch fire later. "
            "Warm it first, or ride with a battery that may be charged in the cold; this ride counts no charge for it."
        )
    return tuple(said)


def draw(ride: Ride) -> Drawing:
    """State of charge over time, 120 × 60 mm, with a thin line where each leg ends and a dashed one at the limit."""
    wide, high = 120.0, 60.0
    whole = max(ride.trace[-1][0], 1.0)
    least = LIMITS[ride.battery.kind].least_charge
    items: list[Item] = [
        Line((0.0, 0.0), (wide + 4.0, 0.0), "thin"),
        Line((0.0, 0.0), (0.0, high + 4.0), "thin"),
        Line((0.0, least * high), (wide, least * high), "hidden"),
        Text((2.0, high + 5.0), "charge, %", height=3.0),
        Text((wide + 5.0, -1.0), "min", height=3.0),
        Polyline(tuple((wide * time / whole, high * charge) for time, charge in ride.trace)),
    ]
    items += [
        Text((-2.0, high * share - 1.5), f"{share * 100:.0f}", height=3.0, anchor="end") for share in (0.0, least, 1.0)
    ]
    clock = 0.0
    for number, done in enumerate(ride.legs):
        begun, clock = clock, clock + done.leg.time
        x = wide * clock / whole
        items += [
            Line((x, 0.0), (x, high), "thin"),
            Text((x, -5.0), f"{clock / 60:.0f}", height=3.0, anchor="middle"),
            Text((wide * begun / whole + 1.0, -11.0 - 5.5 * number), done.leg.name, height=3.0),
        ]
    return Drawing("State of charge over the ride", tuple(items))
