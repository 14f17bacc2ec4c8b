"""A sketchbook page: ink lines by a slightly unsteady hand, wash colours under them, on paper with a grain.

Coordinates are those of a page of 1200 by 900, from the top left. The same page drawn twice is the same to
the last pixel.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Sequence
from functools import cache
from itertools import pairwise

import numpy as np
from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

WIDTH, HEIGHT = 1200, 900
FINER = 2
"""The ink is drawn this many times finer and reduced, so that its edges are soft."""
COARSER = 2
"""The wash is laid this many times coarser and spread, so that it runs a little past the line."""

Point = tuple[float, float]

INK = (38, 36, 44)
PAPER = (247, 242, 230)
WASHES = {
    "steel": (196, 202, 206),
    "aluminium": (218, 220, 216),
    "dark": (120, 122, 128),
    "black": (88, 88, 94),
    "rubber": (104, 100, 100),
    "rust": (196, 128, 92),
    "oxide": (182, 92, 72),
    "wood": (226, 200, 156),
    "card": (214, 186, 142),
    "brass": (222, 196, 110),
    "copper": (214, 150, 104),
    "green": (150, 176, 140),
    "blue": (140, 166, 196),
    "red": (204, 96, 84),
    "yellow": (236, 210, 112),
    "white": (250, 249, 244),
    "shade": (212, 204, 190),
    "fuel": (240, 214, 140),
    "brown": (164, 122, 88),
    "orange": (226, 150, 84),
    "violet": (164, 134, 178),
    "pink": (230, 170, 176),
    "grey": (168, 168, 168),
    "turquoise": (140, 196, 190),
}
WIRE_WASHES = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green",
    "BU": "blue", "VT": "violet", "GY": "grey", "WH": "white", "PK": "pink", "TQ": "turquoise",
    "GD": "brass", "SR": "steel",
}  # fmt: skip


@cache
def _paper() -> Image.Image:
    grain = np.random.default_rng(450).normal(0.0, 3.2, (HEIGHT, WIDTH, 1))
    down = np.linspace(0.0, 1.0, HEIGHT)[:, None, None]
    across = np.linspace(-1.0, 1.0, WIDTH)[None, :, None]
    light = 4.0 - 9.0 * down - 5.0 * across**2
    return Image.fromarray(np.clip(np.array(PAPER) + light + grain, 0, 255).astype(np.uint8), "RGB")


@cache
def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size=size)


class Sketch:
    """One page in the making. ``points`` collects the named places that balloons may point at."""

    def __init__(self, seed: str) -> None:
        self.hand = random.Random(seed)
        self.ink = Image.new("L", (WIDTH * FINER, HEIGHT * FINER), 255)
        self.wash = Image.new("RGB", (WIDTH // COARSER, HEIGHT // COARSER), "white")
        self.pen = ImageDraw.Draw(self.ink)
        self.brush = ImageDraw.Draw(self.wash)
        self.points: dict[str, Point] = {}

    # -- marks ---------------------------------------------------------------------------------------------

    def point(self, name: str, x: float, y: float) -> None:
        """A place that a balloon may point at."""
        self.points[name] = (x / WIDTH, y / HEIGHT)

    def _steady(self, points: Sequence[Point], closed: bool) -> list[Point]:
        """The points as a hand would draw them: in short strokes that drift a little off and come back."""
        walked: list[Point] = []
        ends = [*points, points[0]] if closed else list(points)
        for (x0, y0), (x1, y1) in pairwise(ends):
            steps = max(1, int(math.hypot(x1 - x0, y1 - y0) / 45))
            for step in range(steps):
                share = step / steps
                off = 0.0 if step == 0 else 1.1
                walked.append(
                    (
                        x0 + (x1 - x0) * share + self.hand.gauss(0, off),
                        y0 + (y1 - y0) * share + self.hand.gauss(0, off),
                    )
                )
        walked.append(ends[-1])
        return walked

    def line(self, points: Sequence[Point], width: float = 2.4, *, closed: bool = False, grey: int = 0) -> None:
        """An ink line through the points."""
        drawn = [(x * FINER, y * FINER) for x, y in self._steady(points, closed)]
        self.pen.line(drawn, fill=grey, width=max(1, round(width * FINER)), joint="curve")

    def fill(self, points: Sequence[Point], colour: str) -> None:
        """A wash inside the points; ink of what lies behind is covered."""
        self.pen.polygon([(x * FINER, y * FINER) for x, y in points], fill=255)
        self.brush.polygon([(x / COARSER, y / COARSER) for x, y in points], fill=WASHES[colour])

    def shape(self, points: Sequence[Point], colour: str = "", width: float = 2.6) -> None:
        """A closed outline, washed inside where a colour is given."""
        if colour:
            self.fill(points, colour)
        self.line(points, width, closed=True)

    def box(
        self,
        x: float,
        y: float,
        w: float,
        h: float,
        colour: str = "",
        width: float = 2.6,
        round_by: float = 0,
    ) -> None:
        self.shape(
            rounded(x, y, w, h, round_by) if round_by else [(x, y), (x + w, y), (x + w, y + h), (x, y + h)],
            colour,
            width,
        )

    def disc(
        self,
        x: float,
        y: float,
        r: float,
        colour: str = "",
        width: float = 2.6,
        squash: float = 1.0,
        turn: float = 0.0,
    ) -> None:
        """A circle, or an ellipse ``squash`` times as high as wide."""
        self.shape(ellipse(x, y, r, r * squash, turn), colour, width)

    def tube(self, points: Sequence[Point], thick: float, colour: str, width: float = 2.2) -> None:
        """A bent tube or a wire seen from the side: wash between two lines."""
        self.pen.line(
            [(x * FINER, y * FINER) for x, y in points],
            fill=0,
            width=round((thick + width) * FINER),
            joint="curve",
        )
        self.pen.line(
            [(x * FINER, y * FINER) for x, y in points],
            fill=255,
            width=round((thick - width) * FINER),
            joint="curve",
        )
        self.brush.line(
            [(x / COARSER, y / COARSER) for x, y in points],
            fill=WASHES[colour],
            width=max(1, round(thick / COARSER)),
            joint="curve",
        )

    def wire(self, points: Sequence[Point], thick: float, code: str) -> None:
        """A wire in its colours by IEC 60757, as in GN/YE, the second as a stripe along it."""
        main, _, stripe = code.partition("/")
        self.tube(points, thick, WIRE_WASHES[main], 1.8)
        if stripe:
            along = [(x / COARSER, y / COARSER) for x, y in points]
            colour = WASHES[WIRE_WASHES[stripe]]
            self.brush.line(along, fill=colour, width=max(2, round(thick / COARSER / 2.6)), joint="curve")

    def hatch(self, x: float, y: float, w: float, h: float, gap: float = 11, lean: float = 0.5) -> None:
        """Shading strokes in a box."""
        at, slant = x, min(lean * h, 0.4 * w)
        while at < x + w - slant:
            self.line([(at, y + h), (at + slant, y)], 1.1, grey=110)
            at += gap * self.hand.uniform(0.8, 1.25)

    def shadow(self, x: float, y: float, w: float) -> None:
        """What a thing throws on the bench it stands on."""
        self.brush.ellipse(
            [(x / COARSER, (y - 9) / COARSER), ((x + w) / COARSER, (y + 13) / COARSER)], fill=WASHES["shade"]
        )
        self.hatch(x + 12, y - 3, w - 30, 11, 13, 1.2)

    def text(self, x: float, y: float, words: str, size: int = 26, *, middle: bool = False) -> None:
        """Lettering in ink."""
        self.pen.text((x * FINER, y * FINER), words, fill=20, font=_font(size * FINER), anchor="mm" if middle else "lm")

    def bolt(self, x: float, y: float, r: float = 15, colour: str = "steel") -> None:
        """A hexagon head, from above."""
        turn = self.hand.uniform(0, 1)
        self.disc(x, y, r * 1.35, "aluminium", 1.8)
        self.shape(
            [(x + r * math.cos(turn + k * math.pi / 3), y + r * math.sin(turn + k * math.pi / 3)) for k in range(6)],
            colour,
            2.2,
        )

    def tag(self, x: float, y: float, mark: str, fro: Point) -> None:
        """A paper tag on its string."""
        self.line([fro, ((fro[0] + x) / 2 + 8, (fro[1] + y) / 2), (x - 38, y)], 1.5)
        self.shape(
            [(x - 44, y), (x - 28, y - 24), (x + 48, y - 24), (x + 48, y + 24), (x - 28, y + 24)],
            "white",
            2.2,
        )
        self.disc(x - 28, y, 5, "", 1.6)
        self.text(x + 12, y, mark, 30, middle=True)
        self.point(f"tag {mark}", x + 10, y)

    def bench(self, y: float = 700, colour: str = "wood") -> None:
        """A bench top, or a floor, from this height down."""
        self.fill([(0, y), (WIDTH, y - 6), (WIDTH, HEIGHT), (0, HEIGHT)], colour)
        self.line([(0, y), (WIDTH, y - 6)], 3)
        for k in range(3):
            level = y + 45 + k * 58
            start = self.hand.uniform(0, 300)
            self.line(
                [(start, level), (start + self.hand.uniform(300, 800), level + self.hand.uniform(-5, 5))],
                1.1,
                grey=130,
            )

    # -- out -----------------------------------------------------------------------------------------------

    def image(self) -> Image.Image:
        """The page as it is photographed."""
        wash = self.wash.filter(ImageFilter.BoxBlur(1)).resize((WIDTH, HEIGHT), Image.Resampling.BILINEAR)
        beside = Image.new("RGB", wash.size, "white")
        beside.paste(wash, (3, 2))
        page = ImageChops.multiply(_paper(), beside)
        page.paste(INK, (0, 0), ImageChops.invert(self.ink.reduce(FINER)))
        return page


def ellipse(x: float, y: float, a: float, b: float, turn: float = 0.0) -> list[Point]:
    """Points of an ellipse with half-axes ``a`` and ``b``."""
    steps = max(22, int(max(a, b) / 3))
    cos, sin = math.cos(turn), math.sin(turn)
    angles = [2 * math.pi * k / steps for k in range(steps)]
    return [
        (x + a * math.cos(t) * cos - b * math.sin(t) * sin, y + a * math.cos(t) * sin + b * math.sin(t) * cos)
        for t in angles
    ]


def rounded(x: float, y: float, w: float, h: float, r: float) -> list[Point]:
    """Points of a box with rounded corners."""
    corners = [
        (x + w - r, y + r, -math.pi / 2),
        (x + w - r, y + h - r, 0.0),
        (x + r, y + h - r, math.pi / 2),
        (x + r, y + r, math.pi),
    ]
    return [
        (cx + r * math.cos(start + k * math.pi / 8), cy + r * math.sin(start + k * math.pi / 8))
        for cx, cy, start in corners
        for k in range(5)
    ]


def curve(points: Iterable[Point], steps: int = 14) -> list[Point]:
    """A smooth line through the points (Catmull and Rom's spline, 1974)."""
    given = list(points)
    ends = [given[0], *given, given[-1]]
    smooth: list[Point] = []
    for a, b, c, d in zip(ends, ends[1:], ends[2:], ends[3:], strict=False):
        for k in range(steps):
            t = k / steps
            smooth.append(
                tuple(  # type: ignore[arg-type]
                    0.5 * (2 * q + (r - p) * t + (2 * p - 5 * q + 4 * r - s) * t**2 + (3 * q - p - 3 * r + s) * t**3)
                    for p, q, r, s in zip(a, b, c, d, strict=True)
                )
            )
    return [*smooth, given[-1]]
