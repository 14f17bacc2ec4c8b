"""Gearing: engine speed to road speed, and the chain that joins the sprockets."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from tickover.chapters.cautions import NO_APPROVAL, TURNING_PARTS
from tickover.drawing import CentreLine, Circle, Dimension, Drawing, Line
from tickover.sheets import Quantity, sheet

GEARING = "Gear ratios in series; one turn of the wheel rolls one circumference"
ISO_606 = "ISO 606:2015, annex: chain length of a two-sprocket drive; pitch diameter p / sin(π/z)"

RPM = 2 * math.pi / 60

EngineSpeed = Annotated[
    float,
    Quantity("rotation", low=0.0, high=20000 * RPM, usual=(500 * RPM, 12000 * RPM), says="crankshaft speed"),
]
Ratio = Annotated[
    float,
    Quantity("ratio", low=0.3, high=10.0, says="turns in for one turn out; teeth work too, as in 72:31"),
]
FrontTeeth = Annotated[int, Quantity("count", low=7, high=40, usual=(11, 30), says="teeth of the gearbox sprocket")]
RearTeeth = Annotated[int, Quantity("count", low=15, high=90, usual=(28, 60), says="teeth of the wheel sprocket")]
Rolling = Annotated[
    float,
    Quantity(
        "length",
        low=0.8,
        high=3.0,
        usual=(1.5, 2.3),
        says="way rolled in one turn of the loaded wheel: chalk the tyre and measure",
        read_with=("tape_measure",),
    ),
]
Pitch = Annotated[float, Quantity("length", low=6e-3, high=0.026, says="pitch of the chain, pin to pin")]
Apart = Annotated[
    float,
    Quantity("length", low=0.1, high=1.5, says="from gearbox shaft to wheel spindle, for the chain's length"),
]
RoadSpeed = Annotated[float, Quantity("speed", says="road speed at this engine speed")]
PerThousand = Annotated[float, Quantity("speed", says="road speed for each 1000 rpm")]
FinalRatio = Annotated[float, Quantity("ratio", says="wheel sprocket over gearbox sprocket")]
WholeRatio = Annotated[float, Quantity("ratio", says="crankshaft turns for one turn of the wheel")]
Links = Annotated[float, Quantity("count", says="links from pin to pin, to be rounded up to an even number")]


@dataclass(frozen=True)
class Gearing:
    """Road speed in m/s, ratios, and the chain's links."""

    speed: RoadSpeed
    per_thousand: PerThousand
    overall_ratio: WholeRatio
    final_ratio: FinalRatio
    links: Links | None
    notes: tuple[str, ...] = ()


def chain_links(front: int, rear: int, pitch: float, apart: float) -> float:
    """Links of a chain round two sprockets, not rounded; pitch and centre distance in metres.

    L = 2·C/p + (z₁ + z₂)/2 + ((z₂ − z₁)/2π)²·p/C, ISO 606.

    >>> round(chain_links(20, 63, 1.0, 36.0), 1)
    114.8
    """
    return 2 * apart / pitch + (front + rear) / 2 + ((rear - front) / math.tau) ** 2 * pitch / apart


def pitch_radius(teeth: int, pitch: float) -> float:
    """Radius of a sprocket's pitch circle in metres: p / (2·sin(π/z)), ISO 606.

    >>> round(2 * pitch_radius(17, 0.015875) * 1e3, 2)
    86.39
    """
    return pitch / (2 * math.sin(math.pi / teeth))


def draw(result: Gearing, *, front: int, rear: int, pitch: float, apart: float | None, **_: float) -> Drawing | None:
    """Both sprockets' pitch circles and the chain's two straight runs; nothing without their distance."""
    if apart is None:
        return None
    mm = 1000.0
    small, large, far = (
        mm * pitch_radius(front, pitch),
        mm * pitch_radius(rear, pitch),
        mm * apart,
    )
    if far <= abs(large - small):
        return None
    lean = math.asin((large - small) / far)
    runs = []
    for side in (1, -1):
        normal = (math.sin(lean) * 1.0, side * math.cos(lean))
        runs.append(
            Line(
                (far + small * normal[0] * 1.0, small * normal[1]),
                (large * normal[0], large * normal[1]),
            )
        )
    return Drawing(
        "Sprockets and chain",
        (
            Circle((0.0, 0.0), large, "centre", cross=True),
            Circle((far, 0.0), small, "centre", cross=True),
            CentreLine((0.0, 0.0), (far, 0.0)),
            *runs,
            Dimension((0.0, 0.0), (far, 0.0), away=-(large / 5 + 8.0), name="apart"),
            Dimension((0.0, -large), (0.0, large), away=large / 5 + 8.0, diameter=True),
            Dimension((far, -small), (far, small), away=-(small / 5 + 10.0), diameter=True),
        ),
        scale=5.0,
    )


@sheet(
    title="Sprockets and road speed",
    sources=[GEARING, ISO_606],
    cautions=[TURNING_PARTS, NO_APPROVAL],
    draws=draw,
)
def road_speed(
    engine_speed: EngineSpeed,
    primary: Ratio,
    gear: Ratio,
    front: FrontTeeth,
    rear: RearTeeth,
    rolling: Rolling,
    pitch: Pitch = 0.015875,
    apart: Apart | None = None,
) -> Gearing:
    """How fast the bike goes at an engine speed in one gear, and how long its chain must be.

    One tooth more at the gearbox does about as much as two or three fewer at the wheel. Measure the rolling
    circumference with the rider on; a tyre's printed size tells it only to a few per cent. Other sprockets or
    tyres change what the speedometer shows where it is driven from the gearbox or the front wheel.

    overall = primary · gear · rear / front; speed = engine speed / 2π / overall · rolling circumference.
    Radians a second, metres, metres a second.

    >>> result = road_speed(5000 * RPM, primary=2.32, gear=1.04, front=16, rear=38, rolling=1.95)
    >>> round(result.overall_ratio, 3), round(result.speed * 3.6, 1)
    (5.73, 102.1)
    """
    final = rear / front
    overall = primary * gear * final
    per_radian = rolling / math.tau / overall
    links = None if apart is None else chain_links(front, rear, pitch, apart)
    notes: tuple[str, ...] = ()
    if links is not None:
        even = 2 * math.ceil(links / 2 - 1e-9)
        notes = (f"Take {even} links: an even number needs no cranked link; the adjusters take up the rest.",)
    return Gearing(engine_speed * per_radian, 1000 * RPM * per_radian, overall, final, links, notes)
