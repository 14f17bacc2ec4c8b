"""What is left of the battery's volts while the starter turns a cold engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from tickover.chapters.cautions import BATTERY, CRANKING
from tickover.chapters.electrics.battery import (
    COLD_TEST,
    COPETTI_1993,
    EN_50342,
    LIMITS,
    WARM,
    Kind,
    colder,
    plate_ohms,
)
from tickover.sheets import Choice, Limit, Quantity, sheet
from tickover.units import BadInput

OHM = "Ohm's law over battery, leads and starter in series"

_VOLTS = ("multimeter_volts",)

Rest = Annotated[
    float,
    Quantity(
        "voltage",
        low=4.0,
        high=16.0,
        usual=(12.0, 13.6),
        says="battery at rest, an hour after charging",
        read_with=_VOLTS,
    ),
]
StarterOhms = Annotated[
    float,
    Quantity(
        "resistance",
        low=1e-3,
        high=2.0,
        usual=(0.02, 0.3),
        says="the starter while it turns the engine, read as cold as can be: volts across it over its amperes",
    ),
]
Cold = Annotated[
    float, Quantity("temperature", low=223.15, high=333.15, usual=(243.15, 318.15), says="temperature of the battery")
]
BatteryOhms = Annotated[
    float,
    Quantity(
        "resistance",
        low=5e-4,
        high=1.0,
        usual=(3e-3, 0.1),
        says="battery's own resistance: the volts it loses under a heavy load, over the amperes of that load",
    ),
]
ReadAt = Annotated[
    float, Quantity("temperature", low=223.15, high=333.15, says="temperature of the battery when that was read")
]
PlateAmps = Annotated[
    float, Quantity("current", low=10.0, high=2000.0, says="cold cranking current on the battery's plate, at −18 °C")
]
PlateVolts = Annotated[
    float,
    Quantity("voltage", low=3.0, high=9.0, says="volts it keeps in that test: 7.5 V by EN 50342-1, 7.2 V by SAE J537"),
]
Leads = Annotated[
    float,
    Quantity(
        "resistance",
        low=0.0,
        high=0.5,
        usual=(0.0, 0.02),
        says="both battery leads and the starter relay together",
        assumed=0.002,
    ),
]
Growth = Annotated[
    float,
    Quantity(
        "ratio",
        metric="%",
        inch_pound="%",
        low=0.0,
        high=0.02,
        says="how much a lead-acid battery's resistance grows for each kelvin colder, of that at 25 °C",
        assumed=0.004,
    ),
]
Least = Annotated[
    float, Quantity("voltage", low=1.0, high=13.0, says="least volts at which the igniter still works, from its data")
]
Amps = Annotated[float, Quantity("current", says="starter current", digits=3)]
Left = Annotated[float, Quantity("voltage", says="volts at the battery while it cranks", digits=3)]
AtStarter = Annotated[float, Quantity("voltage", says="volts at the starter", digits=3)]
ColdOhms = Annotated[float, Quantity("resistance", says="battery's resistance at this temperature", digits=3)]
Power = Annotated[float, Quantity("power", inch_pound="W", says="what the starter takes", digits=3)]


@dataclass(frozen=True)
class ColdCranking:
    """Volts, amperes, ohms and watts while cranking."""

    cranking_volts: Left
    starter_volts: AtStarter
    current: Amps
    starter_power: Power
    cold_ohms: ColdOhms
    limits: Mapping[str, Limit] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@sheet(
    title="Cold cranking",
    sources=[OHM, COPETTI_1993, EN_50342],
    cautions=[BATTERY, CRANKING],
)
def cold_cranking(
    rest_volts: Rest,
    starter_ohms: StarterOhms,
    temperature: Cold = COLD_TEST,
    battery_ohms: BatteryOhms | None = None,
    read_at: ReadAt = WARM,
    plate_amps: PlateAmps | None = None,
    plate_volts: PlateVolts = 7.5,
    leads: Leads = 0.005,
    min_volts: Least | None = None,
    growth: Growth = 0.007,
    battery: Annotated[Kind, Choice("kind of battery")] = "lead-acid",
) -> ColdCranking:
    """The volts that the ignition still gets while the starter turns a cold engine.

    Give the battery's resistance as you read it, or the cold cranking current on its plate; where both stand,
    the reading counts. An old battery keeps less than its plate says. The resistance of a lithium battery grows too
    steeply in the cold to be carried over: read it at the temperature you ask for. Cold oil loads the starter
    more, so its resistance while cranking is lower than on a warm day. Between battery and igniter more volts are
    lost: see the voltage drop of that run.

    current = rest volts/(battery + leads + starter); cranking volts = rest volts − current · battery.
    Volts, ohms, kelvin.

    >>> result = cold_cranking(rest_volts=12.7, starter_ohms=0.0325, plate_amps=200.0)
    >>> round(result.current, 3), round(result.cranking_volts, 3)
    (200.0, 7.5)
    """
    if battery_ohms is not None:
        own, at = battery_ohms, read_at
    elif plate_amps is not None:
        own, at = plate_ohms(rest_volts, plate_amps, plate_volts), COLD_TEST
    else:
        raise BadInput(
            "cold cranking needs battery_ohms as read, or plate_amps, the cold cranking current on its plate"
        )
    if battery == "lead-acid":
        own = colder(own, at, temperature, growth)
    elif abs(at - temperature) > 3.0:
        raise BadInput(
            "a lithium battery's resistance must be known within 3 K of the temperature asked for: "
            "read battery_ohms there, and write read_at"
        )
    current = rest_volts / (own + leads + starter_ohms)
    cranking = rest_volts - current * own
    notes = [LIMITS[battery].says]
    if plate_amps is not None and battery_ohms is not None and battery == "lead-acid":
        promised = colder(plate_ohms(rest_volts, plate_amps, plate_volts), COLD_TEST, temperature, growth)
        if own > promised:
            notes.append(
                f"Its plate promises {promised * 1e3:.1f} mΩ or less; this battery is weaker: charge it, read again."
            )
    return ColdCranking(
        cranking_volts=cranking,
        starter_volts=current * starter_ohms,
        current=current,
        starter_power=current**2 * starter_ohms,
        cold_ohms=own,
        limits={} if min_volts is None else {"cranking_volts": Limit(min_volts, None, "igniter's least volts")},
        notes=tuple(notes),
    )
