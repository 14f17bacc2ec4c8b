"""The volts a wire run loses on its way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from tickover.chapters.cautions import BATTERY
from tickover.sheets import Limit, Quantity, sheet
from tickover.standards.wire import (
    COPPER_PER_KELVIN,
    COPPER_RESISTIVITY,
    SIZES,
    TWENTY_CELSIUS,
    awg_number,
    next_size,
    resistance,
)

IEC_60028 = "IEC 60028: resistance of copper, 1.7241e-8 Ω·m at 20 °C, 0.00393 per kelvin"
OHM = "Ohm's law over the wire there, the way back and the contacts in series"

Length = Annotated[
    float,
    Quantity("length", metric="m", inch_pound="ft", low=0.0, high=50.0, says="length of the wire, one way"),
]
WayBack = Annotated[
    float,
    Quantity(
        "length",
        metric="m",
        inch_pound="ft",
        low=0.0,
        high=50.0,
        says="length of the earth wire back, of the same size; nought where the frame carries it",
    ),
]
Area = Annotated[
    float,
    Quantity("area", inch_pound="AWG", low=0.05e-6, high=120e-6, says="cross-section of the copper, in mm² or AWG"),
]
Amps = Annotated[
    float,
    Quantity(
        "current",
        low=0.0,
        high=500.0,
        says="current in the wire",
        read_with=("multimeter_amps", "clamp_meter"),
    ),
]
Warmth = Annotated[
    float,
    Quantity("temperature", low=233.15, high=473.15, usual=(253.15, 393.15), says="temperature of the wire"),
]
Contacts = Annotated[
    float,
    Quantity(
        "resistance",
        low=0.0,
        high=100.0,
        usual=(0.0, 0.2),
        says="all contacts of the run together: plugs, switch, fuse; about 0.005 Ω each when clean",
    ),
]
Supply = Annotated[float, Quantity("voltage", low=1.0, high=60.0, says="voltage at the start of the run")]
Allowed = Annotated[
    float,
    Quantity("ratio", metric="%", inch_pound="%", low=0.001, high=0.5, says="drop that is allowed, of the supply"),
]
Ohms = Annotated[float, Quantity("resistance", says="resistance of the whole run")]
Drop = Annotated[float, Quantity("voltage", says="volts lost on the way")]
Left = Annotated[float, Quantity("voltage", says="volts left at the end")]
Share = Annotated[float, Quantity("ratio", metric="%", inch_pound="%", says="volts lost, of the supply")]
Heat = Annotated[float, Quantity("power", metric="W", inch_pound="W", says="power that warms the run")]
LeastArea = Annotated[
    float, Quantity("area", inch_pound="AWG", says="cross-section at which the drop is just what is allowed")
]


@dataclass(frozen=True)
class VoltageDrop:
    """Drop of a wire run: ohms, volts, watts, m²."""

    drop: Drop
    share: Share
    left: Left
    ohms: Ohms
    heat: Heat
    least_area: LeastArea | None
    limits: Mapping[str, Limit] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@sheet(title="Voltage drop of a wire run", sources=[IEC_60028, OHM], cautions=[BATTERY])
def voltage_drop(
    length: Length,
    area: Area,
    current: Amps,
    way_back: WayBack = 0.0,
    contacts: Contacts = 0.0,
    temperature: Warmth = TWENTY_CELSIUS,
    supply: Supply = 12.0,
    allowed: Allowed = 0.03,
) -> VoltageDrop:
    """The volts that a wire run and its contacts lose before they reach the consumer.

    A lamp that lacks a tenth of its volts lacks about a third of its light; a coil that lacks a tenth makes a
    weaker spark when the starter pulls the battery down already. Old contacts often lose more than the wire:
    type the reading of your meter across them, or leave nought to see the wire alone. Allowed is what you set
    yourself;
    three per cent is a common aim for lamps and ignition.

    R = ρ·(length + way back)/area·(1 + α·(T − 20 °C)) + contacts; drop = R·I.
    Metres, m², amperes, ohms, kelvin, volts.

    >>> result = voltage_drop(length=3.0, area=1.5e-6, current=5.0)
    >>> round(result.ohms, 5), round(result.drop, 4), round(result.share, 4)
    (0.03448, 0.1724, 0.0144)
    """
    wire = resistance(length + way_back, area, temperature)
    ohms = wire + contacts
    drop = ohms * current
    spare = allowed * supply - contacts * current
    per_area = COPPER_RESISTIVITY * (1 + COPPER_PER_KELVIN * (temperature - TWENTY_CELSIUS))
    least = per_area * (length + way_back) * current / spare if spare > 0 and current > 0 and length > 0 else None
    notes: list[str] = []
    if least is not None:
        size = next_size(least)
        if size is not None:
            notes.append(f"{_size(size)} is the smallest usual size that keeps the drop within what is allowed.")
        else:
            notes.append(f"Even {_size(SIZES[-1])} loses more than is allowed: shorten the run or use a relay.")
    elif spare <= 0:
        notes.append("The contacts alone lose more than is allowed: no thicker wire helps; clean or renew them.")
    warnings = (
        (f"The whole supply would be lost: {current:g} A cannot flow through this run.",) if drop >= supply else ()
    )
    return VoltageDrop(
        drop=drop,
        share=drop / supply,
        left=supply - drop,
        ohms=ohms,
        heat=drop * current,
        least_area=least,
        limits={"share": Limit(None, allowed, "allowed drop")},
        warnings=warnings,
        notes=tuple(notes),
    )


def _size(area: float) -> str:
    return f"{area * 1e6:g} mm² (about {round(awg_number(area))} AWG)"
