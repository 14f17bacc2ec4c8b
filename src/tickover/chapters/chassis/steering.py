"""Steering geometry: rake, offset and trail."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from tickover.chapters.cautions import STEERING
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


@sheet(title="Rake and trail", sources=[COSSALTER_2006], cautions=[STEERING])
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
