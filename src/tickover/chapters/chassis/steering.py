"""Steering geometry: rake, offset and trail."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from tickover.chapters.cautions import STEERING
from tickover.drawing import (
    AngleDimension,
    CentreLine,
    Circle,
    Dimension,
    Drawing,
    Item,
    Line,
    Polyline,
)
from tickover.sheets import Quantity, sheet

COSSALTER_2006 = "V. Cossalter, Motorcycle Dynamics, 2nd edition (2006), chapter 1: trail and normal trail"

DEGREE = math.pi / 180

Rake = Annotated[
    float,
    Quantity(
        "angle",
        low=5 * DEGREE,
        high=60 * DEGREE,
        usual=(19 * DEGREE, 45 * DEGREE),
        says="angle of the steering axis from the vertical, the bike upright at its riding height",
        read_with=("angle_finder", "bevel_protractor"),
    ),
]
Offset = Annotated[
    float,
    Quantity(
        "length",
        low=-0.1,
        high=0.2,
        usual=(0.0, 0.1),
        says="distance from the steering axis forward to the wheel spindle, square to the axis",
    ),
]
FrontRadius = Annotated[
    float,
    Quantity(
        "length",
        low=0.1,
        high=0.6,
        usual=(0.2, 0.4),
        says="height of the front spindle above the ground, the bike loaded",
    ),
]
TrailLength = Annotated[
    float,
    Quantity(
        "length",
        usual=(0.04, 0.2),
        says="from the steering axis back to the tyre's contact, along the ground",
    ),
]
NormalTrail = Annotated[
    float, Quantity("length", says="from the tyre's contact to the steering axis, square to the axis")
]
TrailChange = Annotated[
    float,
    Quantity("length", metric="mm", inch_pound="in", says="how far the trail moves for one degree more rake"),
]


@dataclass(frozen=True)
class Trail:
    """Trail of a steering head, in metres."""

    trail: TrailLength
    normal_trail: NormalTrail
    per_degree: TrailChange
    warnings: tuple[str, ...] = ()


def draw_trail(result: Trail, *, rake: float, offset: float, front_radius: float) -> Drawing:
    """The steering head, front wheel and ground seen from the right, the bike travelling to the right."""
    mm = 1000.0
    radius, step = front_radius * mm, offset * mm
    along = (-math.sin(rake), math.cos(rake))  # up the steering axis
    across = (math.cos(rake), math.sin(rake))  # from the axis forward to the spindle
    spindle = (0.0, radius)
    foot = (-step * across[0], radius - step * across[1])
    meets = (result.trail * mm, 0.0)
    square = result.normal_trail * mm
    near = (square * across[0], square * across[1])

    def up(far: float, side: float = 0.0) -> tuple[float, float]:
        return (
            foot[0] + far * along[0] + side * across[0],
            foot[1] + far * along[1] + side * across[1],
        )

    head, tube = 1.6 * radius, 0.55 * radius
    wide = 0.09 * radius
    plumb = 2.15 * radius
    items: tuple[Item, ...] = (
        Circle(spindle, radius),
        Circle(spindle, 0.8 * radius, "thin"),
        Circle(spindle, 0.05 * radius, cross=True),
        Line((-1.25 * radius, 0.0), (1.35 * radius, 0.0)),
        CentreLine(meets, up(head + tube + 0.1 * radius)),
        Polyline((up(head, wide), up(head + tube, wide), up(head + tube, -wide), up(head, -wide)), closed=True),
        Line(up(0.0, step), up(head + tube, step)),
        Line(up(head, wide), up(head, step)),
        Line(up(head + tube, wide), up(head + tube, step)),
        Line(foot, spindle, "thin"),
        Line((0.0, 0.0), spindle, "thin"),
        Line((meets[0], 0.0), (meets[0], 1.05 * plumb), "thin"),
        Line((0.0, 0.0), near, "thin"),
        Dimension((0.0, 0.0), meets, away=-9.0, name="trail"),
        Dimension((0.0, 0.0), near, away=0.0, name="normal"),
        Dimension(up(head + 0.2 * radius), up(head + 0.2 * radius, step), away=0.0, name="offset"),
        Dimension((-1.2 * radius, 0.0), (-1.2 * radius, radius), away=0.0, name="R"),
        Line((-1.25 * radius, radius), spindle, "thin"),
        AngleDimension(meets, plumb, math.pi / 2, math.pi / 2 + rake, name="rake"),
    )
    return Drawing("Rake and trail", items, scale=10.0)


@sheet(title="Rake and trail", sources=[COSSALTER_2006], cautions=[STEERING], draws=draw_trail)
def trail(rake: Rake, offset: Offset, front_radius: FrontRadius) -> Trail:
    """How far the front tyre's contact trails behind the steering axis.

    Trail steers the wheel straight again: much of it is steady and heavy, little of it quick and nervous. It
    changes with everything that tips the bike: fork length, shock length, tyre size. Measure rake and spindle
    height with the bike upright and loaded as it is ridden.

    trail = R·tan(rake) − offset / cos(rake), along the ground;
    normal trail = R·sin(rake) − offset, square to the steering axis.

    Lengths in metres, the angle in radians. The tyre is taken as thin: its round section moves the contact
    only when the bike leans.

    >>> result = trail(rake=math.radians(27), offset=0.055, front_radius=0.305)
    >>> round(result.trail * 1e3, 1), round(result.normal_trail * 1e3, 1)
    (93.7, 83.5)
    """
    ground = front_radius * math.tan(rake) - offset / math.cos(rake)
    per_radian = (front_radius - offset * math.sin(rake)) / math.cos(rake) ** 2
    warnings = (
        ("The trail is negative: the wheel would flop round, not run straight. Check offset and rake.",)
        if ground <= 0
        else ()
    )
    return Trail(ground, front_radius * math.sin(rake) - offset, per_radian * DEGREE, warnings)
