"""What a drawing is made of: points and lengths in millimetres of the real thing, x right, y upwards."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from tickover.units import System

Point = tuple[float, float]

Pen = Literal["thick", "thin", "hidden", "centre"]
"""Line types of ISO 128-2: continuous thick and thin, dashed thin, long-dashed dotted thin."""

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    a: Point
    b: Point
    pen: Pen = "thick"


@dataclass(frozen=True, slots=True)
class CentreLine:
    """A centre line or axis: long-dashed dotted thin, drawn a little beyond both ends."""

    a: Point
    b: Point


@dataclass(frozen=True, slots=True)
class Polyline:
    """A line through points; closed it is an outline."""

    points: tuple[Point, ...]
    closed: bool = False
    pen: Pen = "thick"


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; ``cross`` draws its two centre lines."""

    centre: Point
    radius: float
    pen: Pen = "thick"
    cross: bool = False


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc from ``start`` anticlockwise to ``end``, in radians from the x axis."""

    centre: Point
    radius: float
    start: float
    end: float
    pen: Pen = "thick"


@dataclass(frozen=True, slots=True)
class Text:
    """Words at a point; ``height`` is of the capitals, in millimetres on paper (ISO 3098)."""

    at: Point
    words: str
    height: float = 3.5
    anchor: Anchor = "start"


@dataclass(frozen=True, slots=True)
class Dimension:
    """The distance from ``a`` to ``b`` with extension lines and arrows (ISO 129-1).

    The dimension line stands ``away`` millimetres on paper to the left of the way from a to b, or to the
    right where that is negative. ``along`` measures the distance's part along ``x`` or ``y`` only.
    The figure comes from the points; ``name`` stands before it, ``diameter`` puts Ø before it, and
    ``figure`` replaces it.
    """

    a: Point
    b: Point
    away: float = 8.0
    along: Literal["straight", "x", "y"] = "straight"
    name: str = ""
    diameter: bool = False
    figure: str | None = None


@dataclass(frozen=True, slots=True)
class AngleDimension:
    """The angle at ``centre`` from ``start`` anticlockwise to ``end`` (radians), its arc at ``radius``."""

    centre: Point
    radius: float
    start: float
    end: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Balloon:
    """A numbered mark with a leader to the point it names."""

    number: str
    at: Point
    points_to: Point


Item = Line | CentreLine | Polyline | Circle | Arc | Text | Dimension | AngleDimension | Balloon


@dataclass(frozen=True, slots=True)
class Drawing:
    """Items in millimetres with a title; ``scale`` is the reduction it is usually drawn at (5 is 1:5, 0.5 is
    2:1), ``system`` the one its dimensions are written in.
    """

    title: str
    items: tuple[Item, ...]
    scale: float = 1.0
    system: System = "metric"

    def at_scale(self, scale: float) -> Drawing:
        """The same drawing, to be drawn at another reduction."""
        return replace(self, scale=scale)
