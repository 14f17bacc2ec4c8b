"""What the generator gives over engine speed, held against what the bike draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated

from tickover.chapters.cautions import BATTERY, RUNNING_INDOORS
from tickover.chapters.electrics.battery import LIMITS, Kind, charging_warnings
from tickover.chapters.electrics.generator import FRITSCH_BUTLAND, RPM, Generator
from tickover.drawing import Drawing, Item, Line, Polyline, Text
from tickover.sheets import Choice, Limit, Quantity, sheet
from tickover.units import BadInput

CHARGE = "Balance of currents at the battery (Kirchhoff's first law); amperes are watts over volts"

_AMPS = ("clamp_meter", "multimeter_amps")

_SPEED = Quantity("rotation", low=50 * RPM, high=20000 * RPM, usual=(300 * RPM, 12000 * RPM))

LowSpeed = Annotated[float, replace(_SPEED, says="engine speed of the first point, not far above idle")]
MiddleSpeed = Annotated[float, replace(_SPEED, says="engine speed of a point between, where there is one")]
FullSpeed = Annotated[float, replace(_SPEED, says="engine speed from which the output hardly rises")]
Idle = Annotated[float, replace(_SPEED, says="engine speed at idle, warm")]
Cruise = Annotated[float, replace(_SPEED, says="engine speed on the open road")]
CutIn = Annotated[
    float,
    Quantity("rotation", low=50 * RPM, high=20000 * RPM, says="engine speed at which the generator begins to give"),
]
Output = Annotated[
    float,
    Quantity(
        "current",
        low=0.0,
        high=200.0,
        usual=(0.0, 60.0),
        says="amperes behind the regulator at this speed, from the book or read at the bike",
        read_with=_AMPS,
    ),
]
Steady = Annotated[
    float,
    Quantity("power", inch_pound="W", low=0.0, high=1000.0, says="what is always on: ignition, pump, instruments"),
]
Headlamp = Annotated[float, Quantity("power", inch_pound="W", low=0.0, high=300.0, says="headlamp as it is lit")]
Lamps = Annotated[
    float, Quantity("power", inch_pound="W", low=0.0, high=300.0, says="tail, number plate and instrument lamps")
]
Now = Annotated[
    float,
    Quantity("power", inch_pound="W", low=0.0, high=500.0, says="what is on now and then: brake lamp, flashers, horn"),
]
Duty = Annotated[
    float, Quantity("ratio", metric="%", inch_pound="%", low=0.0, high=1.0, says="share of the time that it is on")
]
Led = Annotated[
    float,
    Quantity(
        "power", inch_pound="W", low=0.0, high=600.0, says="all lamps together once they are LED, with the duty above"
    ),
]
Volts = Annotated[
    float,
    Quantity(
        "voltage",
        low=5.0,
        high=18.0,
        usual=(12.0, 15.0),
        says="volts at the battery while it charges",
        read_with=("multimeter_volts",),
    ),
]
Load = Annotated[float, Quantity("current", says="what the bike draws, on the average")]
BreakEven = Annotated[
    float, Quantity("rotation", says="engine speed from which the generator carries all of it", digits=3)
]
AtIdle = Annotated[
    float, Quantity("current", says="what is left for the battery at idle; negative drains it", digits=3)
]
Cruising = Annotated[
    float, Quantity("current", says="what is left for the battery on the open road; negative drains it", digits=3)
]
AtIdleLed = Annotated[float, Quantity("current", says="the same at idle, with LED lamps", digits=3)]
BreakEvenLed = Annotated[float, Quantity("rotation", says="the same with LED lamps", digits=3)]
Saved = Annotated[float, Quantity("current", says="amperes that LED lamps save", digits=3)]


@dataclass(frozen=True)
class ChargeBalance:
    """Amperes and rad/s; what cannot be had is None."""

    load: Load
    break_even: BreakEven | None
    at_idle: AtIdle
    cruising: Cruising
    saved: Saved | None
    break_even_led: BreakEvenLed | None
    at_idle_led: AtIdleLed | None
    limits: Mapping[str, Limit] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def draw(
    result: ChargeBalance,
    *,
    cut_in: float,
    low_speed: float,
    low_output: float,
    full_speed: float,
    full_output: float,
    idle: float,
    cruise: float,
    middle_speed: float | None = None,
    middle_output: float | None = None,
    **_: float | str | None,
) -> Drawing:
    """Output and load over engine speed, 120 × 70 mm; the load dashed."""
    generator = _generator(cut_in, low_speed, low_output, middle_speed, middle_output, full_speed, full_output)
    wide, high = 120.0, 70.0
    fastest = max(full_speed, cruise, idle)
    most = max(result.load, *(amps for _, amps in generator.points), 1.0) * 1.1

    def at(speed: float, amps: float) -> tuple[float, float]:
        return wide * speed / fastest, high * amps / most

    curve = tuple(at(s, generator.output(s)) for s in (cut_in + k * (fastest - cut_in) / 80 for k in range(81)))
    items: list[Item] = [
        Line((0.0, 0.0), (wide + 4.0, 0.0), "thin"),
        Line((0.0, 0.0), (0.0, high + 4.0), "thin"),
        Polyline((at(0.0, 0.0), at(cut_in, 0.0), *curve)),
        Line(at(0.0, result.load), at(fastest, result.load), "hidden"),
        Text((2.0, high + 5.0), "A", height=3.0),
        Text((wide + 5.0, -1.0), "rpm", height=3.0),
        Text((wide, at(0.0, result.load)[1] + 1.5), f"load {result.load:.1f} A", height=3.0, anchor="end"),
    ]
    items += [Text((at(s, 0.0)[0], -6.0), f"{s / RPM:.0f}", height=3.0, anchor="middle") for s in (idle, cruise)]
    items += [Line((at(s, 0.0)[0], 0.0), (at(s, 0.0)[0], -1.5), "thin") for s in (idle, cruise)]
    for amps in (0.0, full_output):
        items.append(Text((-2.0, at(0.0, amps)[1] - 1.5), f"{amps:.3g}", height=3.0, anchor="end"))
    if result.break_even:
        x, y = at(result.break_even, result.load)
        items += [
            Line((x, 0.0), (x, y), "centre"),
            Text((x, -11.0), f"breaks even at {round(result.break_even / RPM, -1):.0f}", height=3.0, anchor="middle"),
        ]
    return Drawing("Charge balance over engine speed", tuple(items))


@sheet(
    title="Charge balance over engine speed",
    sources=[CHARGE, FRITSCH_BUTLAND],
    cautions=[BATTERY, RUNNING_INDOORS],
    draws=draw,
)
def charge_balance(
    *,
    cut_in: CutIn,
    low_speed: LowSpeed,
    low_output: Output,
    middle_speed: MiddleSpeed | None = None,
    middle_output: Output | None = None,
    full_speed: FullSpeed,
    full_output: Output,
    idle: Idle,
    cruise: Cruise,
    always: Steady,
    headlamp: Headlamp = 0.0,
    other_lamps: Lamps = 0.0,
    now_and_then: Now = 0.0,
    duty: Duty = 0.1,
    led_lamps: Led | None = None,
    volts: Volts = 13.5,
    battery: Annotated[Kind, Choice("kind of battery")] = "lead-acid",
) -> ChargeBalance:
    """From which engine speed the generator carries what the bike draws, and what is left for the battery.

    Take the generator's points from the book, or read them at the bike: clamp meter on the lead from the
    regulator, all loads on and the battery not quite full, so that nothing is held back. Watts are those written on
    the lamps. Above the last point the curve stays where it was.

    load = (always + headlamp + other lamps + duty · now and then) / volts; balance = output − load.
    rad/s, amperes, watts, volts.

    >>> result = charge_balance(
    ...     cut_in=1000 * RPM, low_speed=2000 * RPM, low_output=5.0, full_speed=4000 * RPM, full_output=15.0,
    ...     idle=1200 * RPM, cruise=4500 * RPM, always=33.0, headlamp=55.0, other_lamps=10.0, now_and_then=21.0,
    ...     duty=0.2, volts=13.5)
    >>> round(result.load, 3), round(result.cruising, 3)
    (7.57, 7.43)
    """
    generator = _generator(cut_in, low_speed, low_output, middle_speed, middle_output, full_speed, full_output)
    lamps = headlamp + other_lamps
    load = (always + lamps + duty * now_and_then) / volts
    break_even = generator.speed_for(load)
    led = None if led_lamps is None else (always + led_lamps + duty * now_and_then) / volts
    warnings = list(charging_warnings(battery, volts))
    if break_even is None:
        warnings.append("The generator never carries this load: the battery drains at any speed.")
    notes = [LIMITS[battery].says]
    if generator.output(idle) < load:
        notes.append("The battery drains at idle; what counts is the whole ride.")
    if led_lamps is not None:
        notes.append(
            "LED lamps in the flashers need a flasher unit that works on their low load; "
            "whether an LED lamp may be fitted on the road is told by your country's vehicle rules."
        )
    return ChargeBalance(
        load=load,
        break_even=break_even,
        at_idle=generator.output(idle) - load,
        cruising=generator.output(cruise) - load,
        saved=None if led is None else load - led,
        break_even_led=None if led is None else generator.speed_for(led),
        at_idle_led=None if led is None else generator.output(idle) - led,
        limits={"cruising": Limit(0.0, None, "balance that keeps the battery full")},
        warnings=tuple(warnings),
        notes=tuple(notes),
    )


def _generator(
    cut_in: float,
    low_speed: float,
    low_output: float,
    middle_speed: float | None,
    middle_output: float | None,
    full_speed: float,
    full_output: float,
) -> Generator:
    if (middle_speed is None) != (middle_output is None):
        raise BadInput("middle_speed and middle_output make one point together: give both or neither")
    between = () if middle_speed is None or middle_output is None else ((middle_speed, middle_output),)
    return Generator(((cut_in, 0.0), (low_speed, low_output), *between, (full_speed, full_output)))
