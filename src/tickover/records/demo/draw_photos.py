"""The demo's photos, drawn: one function a scene, each on a page of the sketchbook.

A scene draws and names the places that balloons may point at; ``photos.toml`` says which scene each is of.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import datetime
from io import BytesIO
from typing import Any

from PIL import Image

from tickover.records.demo.sketch import WIDTH, Point, Sketch, curve, ellipse

_ORIENTATION, _DETAILS, _TAKEN = 0x0112, 0x8769, 0x9003

SCENES: dict[str, Callable[..., None]] = {}


def scene(draws: Callable[..., None]) -> Callable[..., None]:
    """Enter a scene under the function's name."""
    SCENES[draws.__name__] = draws
    return draws


def draw(item: dict[str, Any]) -> tuple[bytes, dict[str, Point]]:
    """The JPEG of one entry of ``photos.toml``, and its named places as shares of width and height."""
    page = Sketch(item["shows"])
    SCENES[item["scene"]](page, **item.get("with", {}))
    image = page.image()
    if item.get("turned", False):  # held upright, kept as the sensor lay: the viewer turns it by the EXIF
        image = image.transpose(Image.Transpose.ROTATE_90)
    return _jpeg(image, item["taken"], 6 if item.get("turned", False) else 1), page.points


def _jpeg(image: Image.Image, taken: datetime, orientation: int) -> bytes:
    exif = Image.Exif()
    exif[_ORIENTATION] = orientation
    exif.get_ifd(_DETAILS)[_TAKEN] = taken.strftime("%Y:%m:%d %H:%M:%S")
    out = BytesIO()
    image.save(out, "JPEG", quality=62, exif=exif)
    return out.getvalue()


# -- what several scenes are made of ------------------------------------------------------------


def _wheel(s: Sketch, x: float, y: float, r: float, spokes: int = 18) -> None:
    s.disc(x, y, r, "rubber", 3)
    s.disc(x, y, r * 0.8, "steel", 2)
    s.disc(x, y, r * 0.73, "white", 2)
    for k in range(spokes):
        angle = 2 * math.pi * k / spokes
        lean = 0.35 if k % 2 else -0.35
        s.line(
            [
                (x + 18 * math.cos(angle + lean), y + 18 * math.sin(angle + lean)),
                (x + r * 0.73 * math.cos(angle), y + r * 0.73 * math.sin(angle)),
            ],
            1.2,
        )
    s.disc(x, y, r * 0.2, "aluminium", 2.4)
    s.disc(x, y, r * 0.07, "steel", 2)


def _frame(s: Sketch, colour: str, x: float = 0, y: float = 0, *, loop: bool = True) -> None:
    def at(*points: Point) -> list[Point]:
        return [(px + x, py + y) for px, py in points]

    s.tube(at((800, 415), (700, 655), (640, 668), (450, 660), (415, 610)), 17, colour)
    s.tube(at((785, 345), (640, 352), (470, 398), (415, 610)), 19, colour)
    s.tube(at((470, 398), (440, 398), (400, 400)), 15, colour)
    if loop:
        s.tube(at((470, 398), (330, 385), (235, 372)), 15, colour)
        s.tube(at((415, 600), (330, 470), (270, 385)), 13, colour)
    s.tube(at((785, 345), (745, 400), (800, 415)), 12, colour)
    s.tube(at((772, 318), (808, 430)), 32, colour)
    s.point("headstock", 790 + x, 372 + y)
    s.point("frame", 560 + x, 372 + y)


def _engine(s: Sketch, x: float, y: float, k: float = 1.0) -> None:
    """The engine from its left side, its gearbox corner at (x, y), ``k`` times as large."""

    def at(*points: Point) -> list[Point]:
        return [(x + px * k, y + py * k) for px, py in points]

    s.shape(at((118, -150), (210, -158), (214, -128), (120, -120)), "aluminium")
    s.point("rocker cover", x + 165 * k, y - 142 * k)
    for row in range(4):
        s.shape(
            at(
                (108, -118 + row * 12), (222, -126 + row * 12), (222, -119 + row * 12),
                (108, -111 + row * 12),
            ),
            "aluminium", 1.8,
        )  # fmt: skip
    s.point("head", x + 165 * k, y - 96 * k)
    for row in range(7):
        s.shape(
            at(
                (112, -68 + row * 12), (218, -76 + row * 12), (218, -69 + row * 12), (112, -61 + row * 12)
            ),
            "steel", 1.8,
        )  # fmt: skip
    s.point("block", x + 165 * k, y - 30 * k)
    s.shape(
        at((0, 10), (60, -10), (108, 8), (232, 0), (262, 30), (262, 90), (220, 128), (60, 132), (0, 96)),
        "aluminium",
        3,
    )
    s.shape(ellipse(x + 205 * k, y + 62 * k, 50 * k, 50 * k), "aluminium")
    s.point("points cover", x + 205 * k, y + 62 * k)
    s.shape(at((8, 18), (96, 16), (120, 60), (100, 112), (10, 92)), "aluminium")
    s.point("sprocket cover", x + 56 * k, y + 62 * k)
    for px, py in ((16, 26), (88, 24), (94, 104), (18, 86), (205, 20), (166, 84), (244, 84)):
        s.disc(x + px * k, y + py * k, 5 * k, "steel", 1.4)
    s.shape(at((120, 2), (186, -2), (186, 22), (120, 26)), "dark", 2)
    s.point("starter", x + 152 * k, y + 12 * k)


def _carburettor(s: Sketch, x: float, y: float, k: float, colour: str) -> None:
    s.box(x - 70 * k, y - 34 * k, 140 * k, 68 * k, colour, 2.6, 10 * k)
    s.disc(x - 74 * k, y, 34 * k, colour, 2.6, 1.0)
    s.disc(x - 74 * k, y, 25 * k, "black", 2.0)
    s.box(x - 34 * k, y - 104 * k, 68 * k, 70 * k, colour, 2.6, 14 * k)
    s.box(x - 40 * k, y - 116 * k, 80 * k, 16 * k, "dark", 2.2, 5 * k)
    s.hatch(x + 4 * k, y - 96 * k, 24 * k, 52 * k, 8)
    s.box(x - 46 * k, y + 36 * k, 92 * k, 56 * k, colour, 2.6, 16 * k)
    s.line([(x - 54 * k, y + 37 * k), (x + 54 * k, y + 37 * k)], 3)
    s.disc(x, y + 96 * k, 9 * k, "brass", 2)
    for px in (-40, 40):
        s.disc(x + px * k, y + 44 * k, 6 * k, "steel", 1.6)
    s.box(x + 70 * k, y - 24 * k, 34 * k, 48 * k, colour, 2.2)


def _hands_note(s: Sketch, x: float, y: float, words: str) -> None:
    """A note pinned beside the thing."""
    width = 15.0 * len(words) + 50
    s.box(x, y, width, 58, "yellow", 1.8)
    s.text(x + 22, y + 30, words, 27)


def _wall(s: Sketch) -> None:
    for row in range(5):
        level = 70 + row * 118
        s.line([(0, level), (WIDTH, level + s.hand.uniform(-4, 4))], 0.9, grey=175)


# -- scenes --------------------------------------------------------------------------------


@scene
def whole_bike(s: Sketch, on: list[str], paint: str = "oxide") -> None:
    """The bike from its left, front to the left of the page's right edge, with what is on it."""
    _wall(s)
    s.bench(742, "shade")
    s.shadow(180, 748, 860)
    if "wheels" in on:
        _wheel(s, 318, 596, 146)
        _wheel(s, 916, 596, 148)
        s.tube([(430, 590), (318, 596)], 20, "dark")
        s.tube([(300, 420), (322, 570)], 24, "black")
        s.point("rear wheel", 318, 596)
    else:
        s.box(300, 690, 540, 52, "blue", 2.6)
        s.line([(420, 742), (700, 690)], 2)
        s.line([(420, 690), (700, 742)], 2)
        s.text(330, 716, "lift", 24)
    if "fork" in on:
        s.tube([(776, 300), (916, 596)], 24, "aluminium")
        s.tube([(800, 355), (862, 490)], 34, "dark")
        s.tube([(790, 300), (745, 262), (690, 268)], 10, "steel")
        s.point("fork", 850, 460)
    if "mudguards" in on:
        s.line([(318 + 164 * math.cos(a / 10), 596 + 164 * math.sin(a / 10)) for a in range(-31, -11)], 7)
        s.line([(916 + 164 * math.cos(a / 10), 596 + 164 * math.sin(a / 10)) for a in range(-27, -9)], 7)
    _frame(s, paint, loop="loop" in on)
    if "engine" in on:
        _engine(s, 440, 528)
    if "carburettors" in on:
        _carburettor(s, 505, 452, 0.42, "aluminium")
        s.point("carburettor", 505, 452)
    if "exhaust" in on:
        s.tube(curve([(660, 440), (716, 470), (724, 590), (660, 672), (520, 690), (300, 690)]), 24, "steel")
        if "silencers" in on:
            s.shape([(470, 672), (240, 658), (190, 690), (240, 712), (470, 706)], "rust")
        s.point("header", 724, 570)
    if "covers" in on:
        s.shape([(395, 420), (500, 408), (478, 540), (420, 540)], paint)
        s.text(440, 470, "450", 30, middle=True)
        s.point("left side cover", 445, 505)
    if "tank" in on:
        s.shape(curve([(500, 368), (520, 300), (640, 268), (760, 290), (790, 345), (700, 362), (500, 370)]), paint)
        s.text(640, 322, "Penhallow", 34, middle=True)
        s.disc(660, 268, 20, "steel", 2.2, 0.5)
        s.point("tank", 742, 330)
    if "seat" in on:
        s.shape(
            curve([(505, 372), (490, 335), (380, 330), (250, 318), (225, 345), (255, 372), (505, 374)]),
            "black",
        )
        s.hatch(300, 338, 150, 28, 12)
        s.point("seat", 370, 350)
    if "lamp" in on:
        s.line([(786, 320), (830, 326)], 4)
        s.line([(792, 350), (830, 346)], 4)
        s.disc(858, 330, 50, "dark", 3)
        s.disc(872, 330, 40, "white", 2.2)
        s.point("headlamp", 862, 330)
    if "wiring" in on:
        for k, code in enumerate(("OG", "BK", "GN", "BU", "RD")):
            path = [(792, 350 + k * 5), (690, 372 + k * 6), (560, 384 + k * 6), (455, 420 + k * 8)]
            s.wire(curve(path), 5, code)
        s.box(580, 388, 66, 40, "dark", 2.2)
        s.point("ignition box", 612, 408)
    if "bottle" in on:
        _bottle(s, 560, 120, 0.72)
        s.tube(curve([(560, 232), (576, 300), (524, 380), (508, 420)]), 8, "fuel", 1.6)
        s.point("bottle", 560, 170)
    if "strap" in on:
        s.tube([(560, 362), (470, 742)], 11, "orange", 1.6)
        s.tube([(640, 352), (760, 742)], 11, "orange", 1.6)
        s.point("strap", 508, 580)


@scene
def side_cover(s: Sketch) -> None:
    """The left side cover on the blanket, with its glued lug."""
    s.bench(120, "blue")
    for k in range(9):
        s.line([(0, 190 + k * 84), (WIDTH, 150 + k * 84)], 1, grey=150)
    s.shape(
        curve([(300, 250), (620, 210), (880, 270), (900, 420), (760, 690), (470, 700), (330, 480), (300, 250)]),
        "oxide",
        3.4,
    )
    s.line(curve([(350, 300), (620, 258), (840, 310), (850, 420), (730, 650)]), 1.8)
    s.text(600, 440, "450", 120, middle=True)
    for name, x, y in (("lug 1", 320, 240), ("lug 2", 905, 330), ("lug 3", 600, 716)):
        s.box(x - 24, y - 22, 48, 44, "rubber", 2.4, 10)
        s.disc(x, y, 10, "black", 2)
        s.point(name, x, y)
    s.line([(880, 300), (930, 312), (926, 350), (884, 356)], 2)
    s.point("cover", 520, 560)
    _hands_note(s, 800, 760, "glued, holds")


@scene
def tank_on_stand(s: Sketch) -> None:
    """The tank up in the loft, cap open."""
    for k in range(6):
        s.tube([(150 + k * 190, 0), (90 + k * 200, 300)], 26, "wood", 2)
    s.bench(640)
    for x in (390, 760):
        s.tube([(x, 520), (x - 60, 690)], 22, "wood")
        s.tube([(x, 520), (x + 70, 690)], 22, "wood")
    s.shape(
        curve([(250, 520), (280, 330), (520, 250), (820, 280), (930, 430), (900, 520), (600, 545), (250, 525)]),
        "oxide",
        3.4,
    )
    s.text(580, 410, "Penhallow", 78, middle=True)
    s.disc(640, 262, 46, "black", 3, 0.42)
    s.disc(760, 190, 44, "steel", 3, 0.5)
    s.line([(700, 235), (740, 208)], 2)
    s.disc(820, 440, 38, "brown", 1.4, 0.7)
    s.hatch(796, 420, 44, 36, 8)
    s.point("cap", 640, 262)
    s.point("dent", 820, 440)
    s.point("tank", 400, 440)


@scene
def carburettor_pair(s: Sketch, colour: str = "aluminium", note: str = "") -> None:
    """Both carburettors on the bench, joined by their linkage."""
    _wall(s)
    s.bench(640)
    s.shadow(180, 652, 820)
    s.tube([(330, 300), (900, 300)], 14, "steel")
    for name, x in (("left", 380), ("right", 820)):
        _carburettor(s, x, 440, 2.0, colour)
        s.point(name, x, 400)
        s.point(f"{name} bowl", x, 560)
    s.box(560, 286, 70, 60, "brass", 2.4, 12)
    s.point("linkage", 595, 316)
    if colour != "aluminium":
        for x in (340, 780):
            s.hatch(x, 500, 90, 60, 8)
    if note:
        _hands_note(s, 60, 750, note)


@scene
def bowl_open(s: Sketch) -> None:
    """A bowl off, with float, jets in the tray."""
    s.bench(0)
    s.box(120, 150, 430, 380, "aluminium", 3.2, 60)
    s.box(170, 200, 330, 280, "white", 2.4, 46)
    for y in (270, 410):
        s.shape(ellipse(335, y, 130, 48), "brass", 2.8)
    s.tube([(205, 340), (465, 340)], 12, "brass")
    s.point("float", 335, 410)
    s.disc(335, 340, 20, "steel", 2.4)
    s.disc(335, 340, 8, "black", 2)
    s.point("needle", 335, 340)
    s.box(660, 130, 440, 300, "card", 2.8)
    for row in range(2):
        for col in range(3):
            s.box(676 + col * 140, 146 + row * 136, 130, 126, "white", 2)
    names = ("main", "pilot", "needle", "air", "drain", "choke")
    for k, name in enumerate(names):
        x, y = 740 + k % 3 * 140, 196 + k // 3 * 136
        s.box(x - 14, y - 30, 28, 44, "brass", 2.2)
        s.disc(x, y - 30, 18, "brass", 2.2, 0.5)
        s.disc(x, y - 30, 5, "black", 1.4)
        s.text(x, y + 52, name, 22, middle=True)
        s.point(name, x, y)
    s.box(640, 560, 470, 200, "blue", 2.6, 18)
    s.text(875, 660, "bath", 60, middle=True)


@scene
def wire_ends(s: Sketch, marks: list[str], codes: list[str], ends: str = "brass", note: str = "") -> None:
    """Wire ends with their tags on the bench."""
    s.bench(0)
    s.tube(curve([(0, 110), (180, 160), (330, 150), (420, 190)]), 74, "black", 3)
    s.hatch(40, 90, 300, 60, 14)
    step = 620 / max(1, len(marks))
    for k, (mark, code) in enumerate(zip(marks, codes, strict=True)):
        y = 170 + k * step
        path = curve([(400, 190), (520, 170 + k * step * 0.7), (680, y), (840, y + 12)])
        s.wire(path, 18, code)
        s.shape([(836, y), (880, y - 12), (930, y - 12), (930, y + 38), (880, y + 38), (836, y + 26)], ends, 2)
        s.text(960, y + 14, code, 26)
        s.tag(640, y + 52, mark, (660, y + 4))
    if note:
        _hands_note(s, 60, 780, note)


@scene
def connector(s: Sketch, marks: list[str], codes: list[str], name: str) -> None:
    """A connector from its wire side, a tag on each wire."""
    s.bench(0)
    across = 3
    s.box(330, 250, 540, 80 + 150 * math.ceil(len(marks) / across), "white", 3.4, 18)
    s.box(560, 210, 120, 40, "white", 2.8)
    s.text(600, 170, name, 32, middle=True)
    for k, (mark, code) in enumerate(zip(marks, codes, strict=True)):
        x, y = 430 + k % across * 170, 330 + k // across * 150
        s.box(x - 44, y - 40, 88, 80, "black", 2.6)
        s.disc(x, y, 24, "white", 2.4)
        s.text(x - 62, y - 52, str(k + 1), 22)
        side = -1 if k % across == 0 else 1
        end = (x + side * 260 if k % across != 1 else x + 30, y + (40 if k % across != 1 else 330))
        s.wire(curve([(x, y), ((x + end[0]) / 2, y + 30), end]), 17, code)
        s.tag(min(1120, max(70, end[0])), min(850, end[1] + 36), mark, end)


@scene
def loom_coil(s: Sketch, marks: list[str], codes: list[str]) -> None:
    """The whole loom, coiled."""
    s.bench(90)
    for k in range(11):
        r = 180 + k * 14
        s.line(
            ellipse(
                590 + s.hand.uniform(-9, 9), 450 + s.hand.uniform(-7, 7), r * 1.2, r * 0.8, 0.03 * (k % 4)
            ),
            9, closed=True, grey=70,
        )  # fmt: skip
    for k, (mark, code) in enumerate(zip(marks, codes, strict=True)):
        angle = 2 * math.pi * k / len(marks)
        cos, sin = math.cos(angle), math.sin(angle)
        x, y = 590 + 350 * cos, 450 + 240 * sin
        s.wire(curve([(x, y), (x + 70 * cos, y + 40 * sin + 14), (x + 120 * cos, y + 70 * sin)]), 12, code)
        tag_at = (min(1090, max(90, x + 170 * cos)), min(840, max(60, y + 110 * sin)))
        s.tag(*tag_at, mark, (x + 118 * cos, y + 68 * sin))
    s.point("loom", 590, 300)


@scene
def engine_side(s: Sketch, note: str = "") -> None:
    """The engine from its left, large."""
    _wall(s)
    s.bench(716)
    s.shadow(260, 722, 680)
    _engine(s, 270, 410, 2.2)
    for x in (330, 690):
        s.box(x, 694, 120, 34, "wood", 2.4)
    s.tube([(390, 716), (470, 400), (760, 420), (800, 716)], 11, "orange", 1.8)
    if note:
        _hands_note(s, 60, 800, note)


@scene
def bores(s: Sketch) -> None:
    """The block from above, with both bores."""
    s.bench(0)
    for k in range(5):
        inset = k * 9
        s.box(120 + inset, 160 + inset, 960 - 2 * inset, 560 - 2 * inset, "steel", 1.8, 34)
    for name, x in (("left bore", 390), ("right bore", 810)):
        s.disc(x, 440, 178, "aluminium", 3)
        s.disc(x, 440, 160, "white", 3)
        s.hatch(x - 90, 340, 170, 200, 15, 0.9)
        s.point(name, x, 440)
    s.box(570, 300, 60, 280, "black", 2.6, 20)
    s.point("cam chain tunnel", 600, 440)
    for x in (190, 600, 1010):
        for y in (220, 660):
            s.disc(x, y, 16, "steel", 2.2)
    s.tube([(390, 440), (470, 250), (560, 90)], 12, "steel")
    s.disc(580, 66, 44, "white", 2.6)
    s.line([(580, 66), (604, 42)], 2.4)


@scene
def pistons(s: Sketch) -> None:
    """Both pistons side by side, rings beside them."""
    _wall(s)
    s.bench(640)
    for name, x in (("left piston", 340), ("right piston", 720)):
        s.shadow(x - 130, 650, 280)
        s.box(x - 120, 330, 240, 300, "aluminium", 3)
        s.shape(ellipse(x, 330, 120, 30), "steel", 3)
        for k in range(3):
            s.line([(x - 120, 372 + k * 26), (x + 120, 372 + k * 26)], 4.4)
        s.disc(x, 520, 36, "black", 2.6)
        s.shape([(x - 8, 322), (x + 8, 322), (x, 344)], "", 1.8)
        s.point(name, x, 440)
    s.hatch(740, 470, 60, 130, 9)
    s.point("marks", 775, 540)
    for k in range(3):
        s.line(ellipse(1010, 560 + k * 60, 90, 24)[1:], 4.2)
    s.point("rings", 1010, 600)


@scene
def feeler_at_rocker(s: Sketch) -> None:
    """A feeler gauge between rocker and valve stem."""
    s.bench(700, "aluminium")
    for row in range(4):
        s.box(60, 720 + row * 40, 1080, 18, "aluminium", 2)
    for x in (330, 800):
        s.box(x - 22, 470, 44, 240, "steel", 2.6)
        for k in range(6):
            s.line([(x - 62, 520 + k * 32), (x + 62, 536 + k * 32)], 6)
        s.shape(
            [(x - 70, 440), (x - 40, 400), (x + 120, 340), (x + 190, 370), (x + 180, 420), (x + 40, 470)],
            "dark",
            3,
        )
        s.disc(x + 130, 390, 24, "steel", 2.4)
        s.box(x - 26, 352, 34, 70, "brass", 2.2)
        s.bolt(x - 9, 390, 16)
    s.shape([(372, 462), (700, 200), (716, 220), (390, 476)], "steel", 2.2)
    s.box(690, 110, 300, 90, "steel", 2.6, 30)
    s.text(840, 156, "0.12", 40, middle=True)
    s.point("rocker", 420, 400)
    s.point("feeler", 560, 320)
    s.point("valve spring", 330, 610)


@scene
def cam_marks(s: Sketch) -> None:
    """The cam sprocket at its marks."""
    s.bench(640, "aluminium")
    teeth = 30
    s.shape(
        [
            (600 + (250 if k % 2 else 230) * math.cos(math.pi * k / teeth),
             400 + (250 if k % 2 else 230) * math.sin(math.pi * k / teeth))
            for k in range(2 * teeth)
        ],
        "steel", 2.6,
    )  # fmt: skip
    s.disc(600, 400, 190, "aluminium", 2.4)
    s.disc(600, 400, 60, "steel", 2.6)
    for angle in (0.0, math.pi):
        s.bolt(600 + 120 * math.cos(angle), 400 + 120 * math.sin(angle), 24)
    s.point("sprocket bolts", 720, 400)
    s.line([(330, 640), (870, 640)], 5)
    s.line([(385, 400), (460, 400)], 5)
    s.line([(740, 400), (815, 400)], 5)
    s.tube([(350, 400), (350, 900)], 26, "dark")
    s.tube([(850, 400), (850, 900)], 26, "dark")
    s.point("cam chain", 850, 700)
    _hands_note(s, 60, 90, "marks level with the face")


@scene
def shelf_with_boxes(s: Sketch, boxes: list[str], bags: list[str]) -> None:
    """A shelf with marked boxes, bags in front."""
    _wall(s)
    s.box(40, 500, 1120, 34, "wood", 3)
    for x in (150, 1030):
        s.tube([(x, 534), (x, 640), (x - 70, 534)], 12, "steel")
    width = 1040 / len(boxes)
    for k, name in enumerate(boxes):
        x = 70 + k * width
        s.box(x, 240, width - 26, 260, "card", 3)
        s.line([(x, 296), (x + width - 26, 290)], 2)
        s.box(x + 22, 340, width - 70, 74, "white", 2)
        s.text(x + (width - 26) / 2, 377, name, 36, middle=True)
        s.point(name, x + width / 2, 440)
    s.bench(700)
    for k, name in enumerate(bags):
        x = 110 + k * 1000 / len(bags)
        s.shape(
            curve([(x, 640), (x + 180, 630), (x + 200, 810), (x + 90, 836), (x - 14, 806), (x, 640)]),
            "white",
            2.4,
        )
        s.line([(x, 664), (x + 182, 654)], 3)
        for _ in range(6):
            s.bolt(x + s.hand.uniform(30, 150), s.hand.uniform(740, 800), 11)
        s.text(x + 92, 700, name, 32, middle=True)
        s.point(name, x + 92, 770)


@scene
def headstock(s: Sketch, colour: str = "oxide", masked: bool = False) -> None:
    """The headstock close up."""
    _wall(s)
    s.tube([(560, 330), (60, 420)], 92, colour, 3)
    s.tube([(620, 640), (330, 900)], 78, colour, 3)
    s.shape([(480, 420), (560, 420), (560, 610), (500, 640)], colour, 2.6)
    s.box(520, 170, 220, 560, colour, 3.4)
    for y in (170, 730):
        s.shape(ellipse(630, y, 126, 34), "white" if masked else "steel", 3)
        s.shape(ellipse(630, y, 84, 22), "black", 2.6)
    s.hatch(680, 220, 46, 470, 12)
    s.point("upper seat", 630, 170)
    s.point("lower seat", 630, 730)
    s.box(548, 470, 150, 40, "white", 2)
    s.text(623, 491, "PH45-007731", 20, middle=True)
    s.point("number", 623, 491)
    if masked:
        s.shape(ellipse(630, 170, 150, 46), "yellow", 2)
        s.text(630, 170, "bare", 30, middle=True)
        s.shape(ellipse(630, 730, 150, 46), "yellow", 2)
        s.text(630, 730, "bare", 30, middle=True)


@scene
def oval_bush(s: Sketch) -> None:
    """A worn swing-arm bush, end on."""
    s.bench(0, "shade")
    s.tube([(0, 470), (420, 450)], 250, "black", 4)
    s.disc(560, 450, 250, "black", 4)
    s.disc(560, 450, 190, "brass", 3.4)
    s.shape(ellipse(560, 450, 150, 132), "white", 3.4)
    s.disc(548, 450, 122, "steel", 3)
    s.hatch(470, 370, 150, 160, 14)
    s.point("bush", 735, 450)
    s.point("spindle", 548, 450)
    s.line([(410, 140), (410, 300)], 1.6)
    s.line([(710, 140), (710, 300)], 1.6)
    s.line([(410, 170), (710, 170)], 1.6)
    s.text(560, 140, "20.34", 40, middle=True)


@scene
def loop_drawing(s: Sketch) -> None:
    """The new rear loop, drawn full size on the bench paper."""
    s.bench(0)
    s.fill([(90, 70), (1120, 110), (1090, 830), (70, 800)], "white")
    s.line([(90, 70), (1120, 110), (1090, 830), (70, 800)], 2.4, closed=True)
    s.line(curve([(240, 300), (700, 280), (960, 330), (1010, 440), (960, 560), (700, 620), (230, 610)]), 3)
    s.line(curve([(240, 340), (690, 320), (930, 364), (970, 440), (930, 526), (690, 580), (230, 570)]), 3)
    s.line([(180, 450), (1060, 455)], 1.2)
    s.line([(240, 200), (240, 290)], 1.4)
    s.line([(1010, 210), (1010, 420)], 1.4)
    s.line([(240, 230), (1010, 236)], 1.4)
    s.text(625, 205, "420", 40, middle=True)
    s.line([(150, 320), (150, 590)], 1.4)
    s.text(112, 455, "180", 36, middle=True)
    s.text(820, 740, "25 x 2, two off", 34, middle=True)
    s.tube([(880, 660), (1160, 520)], 15, "yellow")
    s.point("loop", 960, 400)


@scene
def cut_tubes(s: Sketch) -> None:
    """The cut ends of the old loop, tennis balls on."""
    _wall(s)
    s.tube([(0, 250), (620, 290)], 78, "rust", 3)
    s.tube([(0, 600), (640, 560)], 78, "rust", 3)
    s.disc(690, 292, 96, "yellow", 3.2)
    s.line(curve([(620, 240), (690, 280), (700, 380)]), 2.4)
    s.disc(710, 556, 96, "yellow", 3.2)
    s.line(curve([(640, 500), (720, 540), (740, 640)]), 2.4)
    s.disc(330, 276, 34, "steel", 2.8)
    s.disc(330, 276, 15, "black", 2.4)
    s.disc(330, 584, 34, "steel", 2.8)
    s.disc(330, 584, 15, "black", 2.4)
    s.line([(360, 150), (360, 236)], 1.6)
    s.line([(600, 150), (600, 240)], 1.6)
    s.line([(360, 176), (600, 176)], 1.6)
    s.text(480, 146, "40", 38, middle=True)
    s.point("stub", 540, 290)
    s.point("shock mounting", 330, 276)


@scene
def frame_hanging(s: Sketch, colour: str, note: str = "") -> None:
    """The bare frame, hung from the beam."""
    _wall(s)
    s.tube([(0, 60), (1200, 50)], 60, "wood", 3)
    s.line([(640, 90), (640, 342)], 3.4)
    s.line([(470, 90), (470, 396)], 3.4)
    _frame(s, colour, loop=False)
    for x, y, name in ((700, 640, "engine mounting"), (430, 640, "rear mounting")):
        s.shape([(x - 34, y - 44), (x + 30, y - 40), (x + 20, y + 20), (x - 40, y + 20)], colour, 2.4)
        s.disc(x - 4, y - 10, 11, "white", 2.2)
        s.point(name, x - 4, y - 10)
    s.bench(800, "shade")
    if note:
        _hands_note(s, 60, 720, note)


@scene
def starter_bolts(s: Sketch) -> None:
    """The starter motor on the crankcase, its two bolts."""
    s.bench(0, "aluminium")
    s.hatch(30, 640, 1100, 200, 24)
    s.shape([(0, 620), (340, 600), (420, 520), (1200, 540), (1200, 900), (0, 900)], "aluminium", 3)
    s.box(330, 250, 560, 250, "dark", 3.4, 60)
    for x in (440, 790):
        s.line([(x, 252), (x, 498)], 2.4)
    s.box(886, 300, 120, 160, "aluminium", 3, 20)
    for name, y in (("upper bolt", 290), ("lower bolt", 480)):
        s.box(880, y - 36, 90, 72, "aluminium", 2.6, 14)
        s.bolt(925, y, 26)
        s.point(name, 925, y)
    s.disc(340, 330, 34, "copper", 2.6)
    s.bolt(340, 330, 17, "brass")
    s.tube(curve([(340, 330), (210, 280), (60, 120), (0, 60)]), 32, "red", 2.6)
    s.point("starter", 600, 370)
    s.point("cable", 170, 240)
    s.text(615, 380, "ST", 60, middle=True)


@scene
def coils_on_bracket(s: Sketch, marks: list[str], codes: list[str]) -> None:
    """Both ignition coils and the ignition box under the top tube."""
    _wall(s)
    s.tube([(0, 110), (1200, 150)], 96, "black", 3.4)
    s.shape([(190, 170), (1010, 196), (990, 270), (210, 250)], "black", 3)
    for x in (240, 960):
        s.bolt(x, 218, 20)
    s.point("bracket bolt", 960, 218)
    for name, x, code in (("left coil", 330, "GN"), ("right coil", 600, "BU")):
        s.box(x - 80, 270, 170, 250, "dark", 3.2, 26)
        s.box(x - 40, 520, 90, 50, "black", 2.6)
        s.tube(curve([(x + 5, 570), (x - 10, 690), (x + 50, 900)]), 24, "black", 2.6)
        s.wire(curve([(x + 60, 300), (x + 110, 250), (x + 200, 300), (820, 380)]), 11, code)
        s.point(name, x, 390)
    s.box(790, 310, 250, 190, "grey", 3.2, 18)
    s.text(915, 400, "IGN", 56, middle=True)
    s.point("ignition box", 880, 450)
    for k, (mark, code) in enumerate(zip(marks, codes, strict=True)):
        s.wire(curve([(830 + k * 52, 500), (840 + k * 44, 640), (760 + k * 74, 880)]), 13, code)
        s.tag(1110, 560 + k * 84, mark, (842 + k * 46, 580 + k * 70))


@scene
def compression_gauge(s: Sketch) -> None:
    """The gauge in a plug hole."""
    s.bench(600, "aluminium")
    for row in range(6):
        s.box(100, 620 + row * 44, 1000, 18, "aluminium", 2.2)
    s.disc(600, 640, 52, "steel", 3, 0.6)
    s.tube([(600, 636), (600, 450)], 30, "brass", 2.6)
    s.disc(600, 280, 210, "white", 4)
    s.disc(600, 280, 190, "", 2)
    for k in range(21):
        angle = math.radians(135 + k * 13.5)
        inner = 158 if k % 5 else 146
        s.line(
            [(600 + inner * math.cos(angle), 280 + inner * math.sin(angle)),
             (600 + 182 * math.cos(angle), 280 + 182 * math.sin(angle))], 2.2 if k % 5 else 3.4,
        )  # fmt: skip
        if k % 5 == 0:
            s.text(600 + 118 * math.cos(angle), 280 + 118 * math.sin(angle), str(k), 34, middle=True)
    angle = math.radians(135 + 10.4 * 13.5)
    s.line([(600, 280), (600 + 150 * math.cos(angle), 280 + 150 * math.sin(angle))], 5)
    s.disc(600, 280, 16, "dark", 2.4)
    s.text(600, 370, "bar", 34, middle=True)
    s.point("gauge", 600, 280)
    s.point("plug hole", 600, 640)


def _bottle(s: Sketch, x: float, y: float, k: float) -> None:
    s.line([(x, y - 70 * k), (x, y)], 3)
    s.box(x - 54 * k, y, 108 * k, 130 * k, "white", 2.8, 26 * k)
    s.box(x - 50 * k, y + 46 * k, 100 * k, 78 * k, "fuel", 1.8, 22 * k)
    s.box(x - 18 * k, y + 128 * k, 36 * k, 32 * k, "brass", 2.4)
    s.box(x + 16 * k, y + 136 * k, 40 * k, 12 * k, "red", 2)


@scene
def bottle_and_filter(s: Sketch) -> None:
    """The fuel bottle on its hook, hose and in-line filter down to the carburettors."""
    _wall(s)
    s.tube([(0, 40), (1200, 30)], 36, "wood", 2.6)
    _bottle(s, 420, 120, 1.7)
    s.tube(curve([(420, 390), (430, 470), (560, 520), (660, 520)]), 20, "fuel", 2.4)
    s.box(650, 470, 170, 100, "white", 3, 34)
    s.line([(700, 474), (700, 566)], 2)
    s.line([(770, 474), (770, 566)], 2)
    s.hatch(706, 482, 58, 76, 9)
    s.line([(690, 440), (790, 440), (772, 428)], 2.4)
    s.tube(curve([(820, 520), (930, 540), (930, 660), (880, 716)]), 20, "fuel", 2.4)
    _carburettor(s, 860, 800, 1.1, "aluminium")
    s.point("bottle", 420, 250)
    s.point("cock", 470, 366)
    s.point("filter", 735, 520)
    s.point("hose", 510, 500)


@scene
def exhaust_port(s: Sketch, note: str = "") -> None:
    """A header clamp on its studs."""
    s.bench(0, "aluminium")
    for row in range(7):
        s.box(40, 40 + row * 48, 1120, 20, "aluminium", 2)
    for x in (360, 840):
        s.tube([(x, 430), (x + 10, 620), (x - 40, 900)], 120, "steel", 3.2)
        s.shape(ellipse(x, 420, 170, 70), "brass", 3.2)
        s.shape(ellipse(x, 410, 84, 34), "dark", 2.6)
        for side in (-1, 1):
            s.box(x + side * 130 - 12, 340, 24, 90, "steel", 2.4)
            s.bolt(x + side * 130, 420, 22, "brass")
    s.point("left clamp", 230, 420)
    s.point("right clamp", 970, 420)
    s.point("left header", 360, 640)
    if note:
        _hands_note(s, 60, 820, note)


@scene
def brake_bits(s: Sketch) -> None:
    """Calipers, discs and pads laid out."""
    s.bench(0)
    for name, x in (("left disc", 300), ("right disc", 760)):
        s.disc(x, 330, 240, "steel", 3.2)
        s.disc(x, 330, 130, "white", 3)
        for k in range(24):
            angle = 2 * math.pi * k / 24
            s.disc(x + 185 * math.cos(angle), 330 + 185 * math.sin(angle), 9, "white", 1.8)
        s.point(name, x, 120)
    s.line(ellipse(760, 330, 226, 226), 2.2, closed=True)
    s.point("groove", 985, 330)
    for k, x in enumerate((200, 560)):
        s.box(x, 630, 270, 180, "dark", 3.2, 40)
        for c in (80, 190):
            s.disc(x + c, 720, 46, "aluminium", 2.6)
        s.point("left caliper" if k == 0 else "right caliper", x + 135, 720)
    for k in range(4):
        s.box(900 + k % 2 * 120, 640 + k // 2 * 100, 100, 76, "copper", 2.6, 12)
    s.point("pads", 950, 680)
