"""A drawing going out: SVG, DXF and PDF."""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING, Any

from tickover.drawing.items import Drawing, Pen
from tickover.drawing.strokes import LETTER_WIDTH, Path, Round, Stroke, Words, extent, lay_out
from tickover.units import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterator

MARGIN = 3.0
NARROW = 105.0
"""Width on paper, in millimetres, at which a drawing's letters are still read on a phone."""

WIDTHS: dict[Pen, float] = {"thick": 0.5, "thin": 0.25, "hidden": 0.25, "centre": 0.25}
"""Line widths in millimetres (ISO 128-2, line group 0.5)."""

DASHES: dict[Pen, tuple[float, ...]] = {
    "thick": (),
    "thin": (),
    "hidden": (12 * 0.25, 3 * 0.25),
    "centre": (24 * 0.25, 3 * 0.25, 0.5 * 0.25, 3 * 0.25),
}
"""Dashes and gaps in millimetres (ISO 128-2: 12 and 3 line widths; 24, 3, a dot, 3)."""

SCREEN = 4.0
"""Screen pixels a millimetre of line width: thick 2 px, thin 1 px, however far the drawing is enlarged."""


def to_svg(drawing: Drawing, *, width: float | None = NARROW) -> str:
    """The drawing as SVG to stand inside a page: colours by ``currentColor``, line types as class names.

    It is laid out at the reduction that makes it ``width`` millimetres wide at most, so that letters keep
    their size; None keeps the drawing's own scale. Lines keep their width on the screen at any size.
    """
    if width is not None:
        drawing = _narrowed(drawing, width)
    strokes = lay_out(drawing)
    body, (wide, high) = _svg_body(strokes, screen=True)
    return (
        f'<svg class="drawing" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'aria-label="{escape(drawing.title)}" viewBox="0 0 {wide:.2f} {high:.2f}" '
        f'style="max-width:{1.4 * wide:.0f}mm" fill="none" '
        f'stroke="currentColor" stroke-linecap="round" stroke-linejoin="round">'
        f"<title>{escape(drawing.title)}</title>{body}</svg>"
    )


def _across(drawing: Drawing) -> float:
    left, _bottom, right, _top = extent(lay_out(drawing))
    return right - left + 2 * MARGIN


def _narrowed(drawing: Drawing, width: float) -> Drawing:
    """The drawing at the scale that makes it this wide, if it is wider.

    Letters and arrows keep their size, so only a part of the width shrinks with the scale; it is found from
    two scales, and again from there, since arrows change sides. The shape keeps half the width at least.
    """
    for _ in range(3):
        now = _across(drawing)
        if now <= width * 1.005:
            break
        shape = max(2 * (now - _across(drawing.at_scale(2 * drawing.scale))), 1e-6)
        drawing = drawing.at_scale(drawing.scale * max(shape / max(width - (now - shape), width / 2), 1.0))
    return drawing


def _svg_body(strokes: list[Stroke], *, screen: bool) -> tuple[str, tuple[float, float]]:
    """The strokes as SVG elements, y downwards, and the size they take with a margin."""
    left, bottom, right, top = extent(strokes)

    def x(value: float) -> str:
        return f"{value - left + MARGIN:.2f}"

    def y(value: float) -> str:
        return f"{top + MARGIN - value:.2f}"

    def style(pen: Pen) -> str:
        times = SCREEN if screen else 1.0
        dashes = " ".join(f"{times * d:g}" for d in DASHES[pen])
        dash = f' stroke-dasharray="{dashes}"' if dashes else ""
        fixed = ' vector-effect="non-scaling-stroke"' if screen else ""
        return f'class="{pen}" stroke-width="{times * WIDTHS[pen]:g}"{dash}{fixed}'

    def elements() -> Iterator[str]:
        for stroke in strokes:
            if isinstance(stroke, Path):
                points = "L".join(f"{x(px)} {y(py)}" for px, py in stroke.points)
                fill = ' fill="currentColor"' if stroke.filled else ""
                yield f'<path {style(stroke.pen)}{fill} d="M{points}{"Z" if stroke.closed else ""}"/>'
            elif isinstance(stroke, Round) and stroke.whole:
                cx, cy = stroke.centre
                yield f'<circle {style(stroke.pen)} cx="{x(cx)}" cy="{y(cy)}" r="{stroke.radius:.2f}"/>'
            elif isinstance(stroke, Round):
                (ax, ay), (bx, by) = stroke.at(stroke.start), stroke.at(stroke.end)
                large = int(stroke.end - stroke.start > math.pi)
                r = f"{stroke.radius:.2f}"
                yield f'<path {style(stroke.pen)} d="M{x(ax)} {y(ay)}A{r} {r} 0 {large} 0 {x(bx)} {y(by)}"/>'
            else:
                yield _svg_words(stroke, x(stroke.at[0]), y(stroke.at[1]), screen)

    return "".join(elements()), (right - left + 2 * MARGIN, top - bottom + 2 * MARGIN)


def _svg_words(stroke: Words, x: str, y: str, screen: bool) -> str:
    turn = f' transform="rotate({-math.degrees(stroke.angle):.2f} {x} {y})"' if stroke.angle else ""
    font = "" if screen else ' font-family="DejaVu Sans Mono"'
    size = stroke.height / 0.72  # capitals are about 0.72 of the font size
    if not screen:  # the print face is wide: keep to the room that was found for the words
        size = min(size, LETTER_WIDTH * stroke.height / 0.602)
    return (
        f'<text class="words" stroke="none" fill="currentColor" font-size="{size:.2f}"{font} x="{x}" y="{y}" '
        f'text-anchor="{stroke.anchor}"{turn}>{escape(stroke.words)}</text>'
    )


LAYERS: dict[str, Pen] = {"OUTLINE": "thick", "THIN": "thin", "HIDDEN": "hidden", "CENTRE": "centre"}
"""DXF layers of the shape, by line type; dimensions and words have layers of their own."""


def to_dxf(drawing: Drawing) -> bytes:
    """The drawing as DXF (R2010) in millimetres at 1:1, a layer a line type: OUTLINE alone can be cut."""
    import io

    import ezdxf
    from ezdxf import units as dxf_units
    from ezdxf.enums import TextEntityAlignment

    document: Any = ezdxf.new("R2010", setup=["linetypes"])
    document.units = dxf_units.MM
    names = {pen: layer for layer, pen in LAYERS.items()}
    types = {"OUTLINE": "CONTINUOUS", "THIN": "CONTINUOUS", "HIDDEN": "DASHED", "CENTRE": "CENTER"}
    for layer, pen in LAYERS.items():
        document.layers.add(layer, linetype=types[layer], lineweight=round(100 * WIDTHS[pen]))
    for layer in ("DIMENSIONS", "WORDS"):
        document.layers.add(layer, lineweight=25)
    space, size = document.modelspace(), drawing.scale
    anchors = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    for stroke in lay_out(drawing):
        if isinstance(stroke, Words):
            text = space.add_text(
                stroke.words,
                height=stroke.height * size,
                rotation=math.degrees(stroke.angle),
                dxfattribs={"layer": "WORDS"},
            )
            text.set_placement((stroke.at[0] * size, stroke.at[1] * size), align=anchors[stroke.anchor])
            continue
        at = {"layer": names[stroke.pen] if stroke.use == "shape" else "DIMENSIONS"}
        if isinstance(stroke, Path):
            points = [(px * size, py * size) for px, py in stroke.points]
            if stroke.filled:
                space.add_solid(points, dxfattribs=at)
            elif len(points) == 2:
                space.add_line(*points, dxfattribs=at)
            else:
                space.add_lwpolyline(points, close=stroke.closed, dxfattribs=at)
        elif stroke.whole:
            space.add_circle((stroke.centre[0] * size, stroke.centre[1] * size), stroke.radius * size, dxfattribs=at)
        else:
            space.add_arc(
                (stroke.centre[0] * size, stroke.centre[1] * size),
                stroke.radius * size,
                math.degrees(stroke.start),
                math.degrees(stroke.end),
                dxfattribs=at,
            )
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")


PAPER = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "A0": (841.0, 1189.0),
}
"""Sheet sizes in millimetres (ISO 216)."""

SCALES = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Reductions of ISO 5455: 10:1 to 1:100."""

EDGE, FILING = 10.0, 20.0
BLOCK_WIDE, BLOCK_HIGH = 180.0, 30.0
"""Title block (ISO 7200: 180 mm wide)."""
FOOT = BLOCK_HIGH + 16.0


def _ratio(scale: float) -> str:
    return f"1:{scale:g}" if scale >= 1 else f"{1 / scale:g}:1"


def _paper(wide: float, high: float) -> tuple[str, float, float]:
    """The smallest sheet, upright or lying, that takes a drawing of this size beside its title block."""
    for name, (short, long) in PAPER.items():
        for across, up in ((short, long), (long, short)):
            if wide <= across - EDGE - FILING and high <= up - 2 * EDGE - FOOT:
                return name, across, up
    raise BadInput("")


def to_pdf(
    drawing: Drawing,
    *,
    title: str = "",
    scale: float = 1.0,
    owner: str = "",
    number: str = "",
    date: str = "",
) -> bytes:
    """The drawing at 1:``scale`` on the smallest ISO sheet that takes it, with title block and check scale.

    ``title`` is the drawing's own unless given; owner, number and date (ISO 8601) fill the title block
    (ISO 7200). `BadInput` where it does not fit A0, naming the scale that would.
    """
    import typst

    drawing = drawing.at_scale(scale)
    strokes = lay_out(drawing)
    body, (wide, high) = _svg_body(strokes, screen=False)
    try:
        name, across, up = _paper(wide, high)
    except BadInput:
        less = next((s for s in SCALES if s > scale and _fits(drawing.at_scale(s))), None)
        would = f"; {_ratio(less)} would" if less else ""
        raise BadInput(
            f"the drawing is {wide:.0f} by {high:.0f} mm at {_ratio(scale)} and does not fit A0{would}"
        ) from None
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{high:.2f}mm" color="black" '
        f'viewBox="0 0 {wide:.2f} {high:.2f}" fill="none" stroke="black" stroke-linecap="round" '
        f'stroke-linejoin="round">{body}</svg>'
    ).replace("currentColor", "black")
    inputs = {
        "drawing": svg,
        "wide": f"{wide:.2f}",
        "high": f"{high:.2f}",
        "across": f"{across}",
        "up": f"{up}",
        "title": title or drawing.title,
        "owner": owner,
        "number": number,
        "date": date,
        "scale": _ratio(scale),
        "paper": name,
        "units": "mm" if drawing.system == "metric" else "in",
        "check": "100" if across - EDGE - FILING - 20 >= 100 else "50",
    }
    return bytes(typst.compile(_TYPST.encode("utf-8"), sys_inputs=inputs, ignore_system_fonts=True))


def _fits(drawing: Drawing) -> bool:
    left, bottom, right, top = extent(lay_out(drawing))
    try:
        _paper(right - left + 2 * MARGIN, top - bottom + 2 * MARGIN)
    except BadInput:
        return False
    return True


_TYPST = """
#let given = sys.inputs
#let mm(name) = float(given.at(name)) * 1mm
#set document(title: given.title, date: none)
#set page(width: mm("across"), height: mm("up"), margin: 0mm)
#set text(font: "Libertinus Serif", size: 9pt)
#let (wide, high, across, up) = (mm("wide"), mm("high"), mm("across"), mm("up"))
#let room = across - 30mm
#place(dx: 20mm, dy: 10mm, rect(width: room, height: up - 20mm, stroke: 0.7mm))
#place(
  dx: 20mm + (room - wide) / 2, dy: 10mm + (up - 66mm - high) / 2,
  image(bytes(given.drawing), format: "svg", width: wide, height: high),
)
#let field(what, words, size: 10pt) = box(inset: 1.2mm)[
  #text(size: 6.5pt)[#what] \\ #text(size: size)[#if words == "" [—] else [#words]]
]
#place(dx: across - 190mm, dy: up - 40mm, block(width: 180mm, height: 30mm)[
  #set par(leading: 0.35em)
  #table(
    columns: (60mm, 60mm, 30mm, 30mm), rows: (15mm, 15mm), inset: 0mm, align: left + horizon, stroke: 0.35mm,
    field("Owner", given.owner), field("Title", given.title, size: 11pt), field("Scale", given.scale),
    field("Sheet size", given.paper),
    field("Number", given.number), field("Dimensions in", given.units), field("Date", given.date),
    field("Sheet", "1/1"),
  )
])
#let check = float(given.check)
#place(dx: 26mm, dy: up - 53mm, box(width: check * 1mm, height: 8mm)[
  #place(line(start: (0mm, 4mm), end: (check * 1mm, 4mm), stroke: 0.25mm))
  #for i in range(int(check / 10) + 1) {
    let tall = if calc.rem(i, 5) == 0 { 3mm } else { 1.8mm }
    place(dx: i * 10mm, dy: 4mm, line(start: (0mm, 0mm), end: (0mm, -tall), stroke: 0.25mm))
  }
  #place(dy: 5mm, text(size: 7pt)[
    Check scale: this line is #given.check mm long. If it measures otherwise, print again at 100 %.
  ])
])
"""
