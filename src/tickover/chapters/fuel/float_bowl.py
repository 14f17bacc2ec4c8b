"""Fuel level in a carburettor's float bowl."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from tickover.chapters.cautions import PETROL_VAPOUR
from tickover.drawing import Dimension, Drawing, Item, Line, Polyline, Text
from tickover.sheets import Limit, Quantity, sheet

LEVER = "Similar triangles at the float pivot: tang and float move as their distances from the pivot"

_TUBE = ("fuel_level_tube", "depth_calliper", "digital_calliper")

Level = Annotated[
    float,
    Quantity(
        "length",
        low=-0.05,
        high=0.08,
        usual=(-0.01, 0.03),
        says="how far the fuel stands below the joint face of the bowl; above it is negative",
        read_with=_TUBE,
    ),
]
Target = Annotated[
    float, Quantity("length", low=-0.05, high=0.08, says="level of the workshop manual, below the joint face")
]
Tolerance = Annotated[float, Quantity("length", low=0.0, high=0.01, says="how far the level may be off, either way")]
FloatArm = Annotated[float, Quantity("length", low=5e-3, high=0.1, says="from the float's pivot to its middle")]
TangArm = Annotated[
    float,
    Quantity("length", low=1e-3, high=0.05, says="from the float's pivot to where the tang meets the needle"),
]
Below = Annotated[
    float,
    Quantity("length", says="how far the fuel stands below its target; negative stands above", digits=3),
]
TangMove = Annotated[
    float,
    Quantity("length", says="how far to bend the tang away from the needle; negative is towards it", digits=3),
]


@dataclass(frozen=True)
class BowlLevel:
    """Fuel level against its target, in metres."""

    below_target: Below | None
    tang_move: TangMove | None
    limits: Mapping[str, Limit] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def draw(result: BowlLevel, *, target: float, level: float | None = None, **_: float | None) -> Drawing:
    """A section of the bowl with the joint face, the target and the fuel as it stands in the clear tube."""
    mm = 1000.0
    wide, deep = 40.0, max(28.0, 1.4 * mm * max(target, level or 0.0))
    items: list[Item] = [
        Polyline(((0.0, 0.0), (0.0, -deep), (wide, -deep), (wide, 0.0))),
        Line((-6.0, 0.0), (wide + 16.0, 0.0)),
        Text((3.0, 1.5), "joint face", height=3.0),
        Line((-4.0, -target * mm), (wide, -target * mm), "centre"),
        Dimension((-4.0, 0.0), (-4.0, -target * mm), away=-8.0, name="target", along="y"),
        Line((wide, 3.0 - deep), (wide + 8.0, 3.0 - deep), "thin"),
        Line((wide, 6.0 - deep), (wide + 5.0, 6.0 - deep), "thin"),
        Line((wide + 8.0, 3.0 - deep), (wide + 8.0, 10.0), "thin"),
        Line((wide + 5.0, 6.0 - deep), (wide + 5.0, 10.0), "thin"),
    ]
    if level is not None:
        items += [
            Line((0.0, -level * mm), (wide, -level * mm), "hidden"),
            Line((wide + 5.0, -level * mm), (wide + 8.0, -level * mm), "thin"),
            Dimension((wide + 8.0, 0.0), (wide + 8.0, -level * mm), away=14.0, name="fuel", along="y"),
        ]
    return Drawing("Fuel level in the bowl", tuple(items))


@sheet(title="Fuel level in the bowl", sources=[LEVER], cautions=[PETROL_VAPOUR], draws=draw)
def bowl_level(
    target: Target,
    tolerance: Tolerance = 1e-3,
    level: Level | None = None,
    float_arm: FloatArm | None = None,
    tang_arm: TangArm | None = None,
) -> BowlLevel:
    """Whether the fuel in the bowl stands where it should, and which way to bend the float's tang.

    Stand the bike upright, join a clear tube to the bowl's drain, hold it against the bowl, open the drain
    and the fuel tap, and wait until the level stands still. Read below the joint face, at the foot of the
    fuel's curve in the tube. Fuel too low runs the engine weak and starves it under load; too high runs it
    rich and floods it.

    below target = level − target; tang move = below target · tang arm / float arm. All in metres.

    >>> result = bowl_level(target=0.004, level=0.0065, float_arm=0.030, tang_arm=0.006)
    >>> round(result.below_target * 1e3, 2), round(result.tang_move * 1e3, 2)
    (2.5, 0.5)
    """
    limits = {"below_target": Limit(-tolerance, tolerance, "tolerance")}
    if level is None:
        return BowlLevel(None, None, limits)
    below = level - target
    tang = below * tang_arm / float_arm if float_arm is not None and tang_arm is not None else None
    notes: tuple[str, ...] = ()
    if below > tolerance:
        notes = (
            "The fuel stands too low: the needle shuts too early. See first that the tank's vent, tap and "
            "filter let enough through. Then bend the tang away from the needle, a little at a time, "
            "and read again.",
        )
    elif below < -tolerance:
        notes = (
            "The fuel stands too high: the needle shuts too late. Look for a worn needle or seat and a "
            "float that holds fuel. Then bend the tang towards the needle, a little at a time, "
            "and read again.",
        )
    return BowlLevel(below, tang, limits, notes)
