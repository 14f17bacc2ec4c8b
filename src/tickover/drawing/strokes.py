"""A drawing laid out on paper: dimensions, balloons and centre lines become plain strokes and words.

Everything here is millimetres on paper, x to the right, y upwards. Arrow, extension line and letter sizes
follow ISO 129-1 and ISO 3098 for letters 3.5 mm high and line widths 0.5 and 0.25 mm (ISO 128-2).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from tickover.drawing.items import (
    Anchor,
    AngleDimension,
    Arc,
    Balloon,
    CentreLine,
    Circle,
    Dimension,
    Drawing,
    Item,
    Line,
    Pen,
    Point,
    Polyline,
    Text,
)
from tickover.units import System, show

LETTER = 3.5
ARROW = 3.5
BEYOND = 2.0
"""How far an extension line runs past its dimension line: eight line widths (ISO 129-1)."""
LETTER_WIDTH = 0.62
"""Mean width of a letter over its height, for finding room."""

Use = Literal["shape", "dimension", "words"]


@dataclass(frozen=True, slots=True)
class Path:
    """Straight strokes through points."""

    points: tuple[Point, ...]
    pen: Pen
    closed: bool = False
    filled: bool = False
    use: Use = "shape"


@dataclass(frozen=True, slots=True)
class Round:
    """A circle, or an arc from ``start`` anticlockwise to ``end``."""

    centre: Point
    radius: float
    pen: Pen
    start: float = 0.0
    end: float = math.tau
    use: Use = "shape"

    @property
    def whole(self) -> bool:
        """Whether it goes all the way round."""
        return self.end - self.start >= math.tau

    def at(self, angle: float) -> Point:
        """The point of the circle at this angle."""
        return (
            self.centre[0] + self.radius * math.cos(angle),
            self.centre[1] + self.radius * math.sin(angle),
        )


@dataclass(frozen=True, slots=True)
class Words:
    """Words with their baseline through ``at``, turned by ``angle`` radians."""

    at: Point
    words: str
    height: float
    anchor: Anchor
    angle: float = 0.0


Stroke = Path | Round | Words


def lay_out(drawing: Drawing) -> list[Stroke]:
    """The strokes of a drawing at its scale."""
    return [stroke for item in drawing.items for stroke in _strokes(item, 1 / drawing.scale, drawing.system)]


def extent(strokes: list[Stroke]) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of the strokes, the room for their words included."""
    xs: list[float] = []
    ys: list[float] = []
    for stroke in strokes:
        for x, y in _corners(stroke):
            xs.append(x)
            ys.append(y)
    if not xs:
        return 0.0, 0.0, 1.0, 1.0
    return min(xs), min(ys), max(xs), max(ys)


def _corners(stroke: Stroke) -> Iterator[Point]:
    if isinstance(stroke, Path):
        yield from stroke.points
    elif isinstance(stroke, Round):
        yield from (stroke.at(a) for a in (stroke.start, stroke.end))
        quarter = math.pi / 2
        first = math.ceil(stroke.start / quarter)
        for step in range(first, first + 5):
            if step * quarter <= stroke.end:
                yield stroke.at(step * quarter)
    else:
        length = LETTER_WIDTH * stroke.height * len(stroke.words)
        start = {"start": 0.0, "middle": -length / 2, "end": -length}[stroke.anchor]
        c, s = math.cos(stroke.angle), math.sin(stroke.angle)
        for along in (start, start + length):
            for up in (-0.3 * stroke.height, stroke.height):
                yield stroke.at[0] + along * c - up * s, stroke.at[1] + along * s + up * c


def _strokes(item: Item, k: float, system: System) -> Iterator[Stroke]:
    if isinstance(item, Line):
        yield Path((_on(item.a, k), _on(item.b, k)), item.pen)
    elif isinstance(item, Polyline):
        yield Path(tuple(_on(p, k) for p in item.points), item.pen, item.closed)
    elif isinstance(item, Circle):
        yield Round(_on(item.centre, k), item.radius * k, item.pen)
        if item.cross:
            x, y = _on(item.centre, k)
            reach = item.radius * k + BEYOND
            yield Path(((x - reach, y), (x + reach, y)), "centre")
            yield Path(((x, y - reach), (x, y + reach)), "centre")
    elif isinstance(item, Arc):
        end = item.end if item.end >= item.start else item.end + math.tau
        yield Round(_on(item.centre, k), item.radius * k, item.pen, item.start, end)
    elif isinstance(item, Text):
        yield Words(_on(item.at, k), item.words, item.height, item.anchor)
    elif isinstance(item, CentreLine):
        a, b = _on(item.a, k), _on(item.b, k)
        (ux, uy), _ = _way(a, b)
        yield Path(((a[0] - BEYOND * ux, a[1] - BEYOND * uy), (b[0] + BEYOND * ux, b[1] + BEYOND * uy)), "centre")
    elif isinstance(item, Dimension):
        yield from _dimension(item, k, system)
    elif isinstance(item, AngleDimension):
        yield from _angle(item, k, system)
    else:
        yield from _balloon(item, k)


def _on(point: Point, k: float) -> Point:
    return point[0] * k, point[1] * k


def _way(a: Point, b: Point) -> tuple[Point, float]:
    """Unit vector and distance from a to b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    distance = math.hypot(dx, dy)
    return ((dx / distance, dy / distance), distance) if distance else ((1.0, 0.0), 0.0)


def _arrow(tip: Point, towards: Point) -> Path:
    """A filled arrowhead of 20 degrees at ``tip``, pointing along the unit vector ``towards``."""
    ux, uy = towards
    half = ARROW * math.tan(math.radians(10))
    back = (tip[0] - ARROW * ux, tip[1] - ARROW * uy)
    sides = ((back[0] - half * uy, back[1] + half * ux), (back[0] + half * uy, back[1] - half * ux))
    return Path((tip, *sides), "thin", closed=True, filled=True, use="dimension")


def _upright(angle: float) -> float:
    """The angle turned so that words read from below or from the right (ISO 129-1)."""
    while angle > math.pi / 2 + 1e-9:
        angle -= math.pi
    while angle <= -math.pi / 2 + 1e-9:
        angle += math.pi
    return angle


def _dimension(item: Dimension, k: float, system: System) -> Iterator[Stroke]:
    a, b = _on(item.a, k), _on(item.b, k)
    if item.along == "straight":
        (ux, uy), distance = _way(a, b)
        feet = (a, b)
    else:
        axis = 0 if item.along == "x" else 1
        step = b[axis] - a[axis]
        distance = abs(step)
        sign = math.copysign(1.0, step)
        ux, uy = (sign, 0.0) if axis == 0 else (0.0, sign)
        feet = (a, (b[0], a[1]) if axis == 0 else (a[0], b[1]))
    nx, ny = -uy, ux
    ends = tuple((f[0] + item.away * nx, f[1] + item.away * ny) for f in feet)
    for foot, end in zip((a, b), ends, strict=True):
        (vx, vy), reach = _way(foot, end)
        if reach > 0.5:
            beyond = (end[0] + BEYOND * vx, end[1] + BEYOND * vy)
            yield Path((foot, beyond), "thin", use="dimension")
    figure = item.figure
    if figure is None:
        figure = show(distance / k / 1000, "length", system=system, digits=4)
        if system == "metric" and not item.name:
            figure = figure.removesuffix(" mm")
    words = f"{item.name} {'Ø' if item.diameter else ''}{figure}".strip()
    room = LETTER_WIDTH * LETTER * len(words)
    inside = distance >= 2 * ARROW + 1
    first, last = ends
    if inside:
        yield Path(ends, "thin", use="dimension")
        yield _arrow(first, (-ux, -uy))
        yield _arrow(last, (ux, uy))
    else:
        tail = 2 * ARROW
        yield Path(
            (
                (first[0] - tail * ux, first[1] - tail * uy),
                (last[0] + tail * ux, last[1] + tail * uy),
            ),
            "thin",
            use="dimension",
        )
        yield _arrow(first, (ux, uy))
        yield _arrow(last, (-ux, -uy))
    angle = _upright(math.atan2(uy, ux))
    c, s = math.cos(angle), math.sin(angle)
    lift = (-1.0 * s, 1.0 * c)
    if inside and room <= distance - 1:
        middle = ((first[0] + last[0]) / 2 + lift[0], (first[1] + last[1]) / 2 + lift[1])
        yield Words(middle, words, LETTER, "middle", angle)
        return
    tail = 2 * ARROW if not inside else 0.0
    forward = ux * c + uy * s > 0
    reach = tail + room
    far = (last[0] + reach * ux, last[1] + reach * uy)
    start = (last[0] + tail * ux, last[1] + tail * uy)
    yield Path((last, far), "thin", use="dimension")
    at = start if forward else far
    gap = ARROW * 0.4
    at = (at[0] + lift[0] + (gap * ux if forward else 0.0), at[1] + lift[1] + (gap * uy if forward else 0.0))
    yield Words(at, words, LETTER, "start", angle)


def _angle(item: AngleDimension, k: float, system: System) -> Iterator[Stroke]:
    end = item.end if item.end >= item.start else item.end + math.tau
    arc = Round(_on(item.centre, k), item.radius * k, "thin", item.start, end, use="dimension")
    yield arc
    lean = ARROW / (2 * arc.radius) if arc.radius else 0.0
    if (end - item.start) * arc.radius >= 2 * ARROW + 1:
        for angle, turn, back in ((item.start, -1, lean), (end, 1, -lean)):
            yield _arrow(arc.at(angle), (-turn * math.sin(angle + back), turn * math.cos(angle + back)))
    middle = (item.start + end) / 2
    words = f"{item.name} {show(end - item.start, 'angle', system=system, digits=4)}".strip()
    out = Round(arc.centre, arc.radius + 2.0, "thin")
    x, y = out.at(middle)
    c, s = math.cos(middle), math.sin(middle)
    anchor: Anchor = "start" if c > 0.3 else "end" if c < -0.3 else "middle"
    yield Words((x, y - LETTER * (1 - s) / 2), words, LETTER, anchor)


def _balloon(item: Balloon, k: float) -> Iterator[Stroke]:
    at, tip = _on(item.at, k), _on(item.points_to, k)
    radius = max(4.0, LETTER_WIDTH * LETTER * len(item.number) / 2 + 1.5)
    yield Round(at, radius, "thin", use="dimension")
    yield Words((at[0], at[1] - LETTER / 2), item.number, LETTER, "middle")
    (ux, uy), distance = _way(at, tip)
    if distance > radius:
        yield Path(((at[0] + radius * ux, at[1] + radius * uy), tip), "thin", use="dimension")
        yield Round(tip, 0.6, "thick", use="dimension")
