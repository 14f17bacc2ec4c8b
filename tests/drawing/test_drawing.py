"""Drawings: exact lengths in every way out, words that read upright, and a print at 1:1."""

from __future__ import annotations

import math
import re
import subprocess
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.drawing import (
    AngleDimension,
    Arc,
    Balloon,
    CentreLine,
    Circle,
    Dimension,
    Drawing,
    Line,
    Polyline,
    Text,
    to_dxf,
    to_pdf,
    to_svg,
)
from tickover.drawing.strokes import Path as Stroke
from tickover.drawing.strokes import Words, extent, lay_out
from tickover.sheets import Sheet, all_sheets, work
from tickover.units import SYSTEMS, BadInput

PLATE = Drawing(
    "Plate <A&B>",
    (
        Polyline(((0, 0), (80, 0), (80, 50), (0, 50)), closed=True),
        Circle((20, 25), 5, cross=True),
        Arc((60, 25), 10, 0, math.pi / 2),
        Line((0, 10), (80, 10), "hidden"),
        CentreLine((0, 25), (80, 25)),
        Dimension((0, 0), (80, 0), away=-10),
        Dimension((0, 0), (0, 50), away=10),
        Dimension((15, 25), (25, 25), away=32, diameter=True),
        AngleDimension((0, 0), 30, 0, math.pi / 4, name="slope"),
        Balloon("7", (95, 60), (80, 50)),
        Text((2, 2), "this side up"),
    ),
)
SVG = "{http://www.w3.org/2000/svg}"


def test_svg_is_whole_and_says_what_it_shows() -> None:
    root = ET.fromstring(to_svg(PLATE))
    assert root.get("role") == "img"
    assert root.get("aria-label") == "Plate <A&B>"
    assert root.findtext(f"{SVG}title") == "Plate <A&B>"
    assert root.get("stroke") == "currentColor"
    pens = {e.get("class") for e in root if e.get("class")}
    assert {"thick", "thin", "hidden", "centre", "words"} <= pens
    assert all(e.get("vector-effect") == "non-scaling-stroke" for e in root if e.get("stroke-width"))
    words = [e.text for e in root.iter(f"{SVG}text")]
    assert {"80", "50", "Ø10", "slope 45°", "7", "this side up"} <= set(words)


def test_nothing_is_drawn_outside_the_svg() -> None:
    root = ET.fromstring(to_svg(PLATE, width=None))
    _, _, wide, high = (float(v) for v in (root.get("viewBox") or "").split())
    for path in root.iter(f"{SVG}path"):
        figures = [float(f) for f in re.findall(r"-?\d+\.\d+", (path.get("d") or "").split("A")[0])]
        assert all(0 <= x <= wide for x in figures[::2])
        assert all(0 <= y <= high for y in figures[1::2])


def test_lengths_are_exact_at_full_size() -> None:
    root = ET.fromstring(to_svg(PLATE, width=None))
    outline = next(p.get("d") or "" for p in root.iter(f"{SVG}path") if (p.get("d") or "").endswith("Z"))
    xs = [float(x) for x in re.findall(r"(-?\d+\.\d+) -?\d+\.\d+", outline)]
    assert max(xs) - min(xs) == pytest.approx(80, abs=0.01)


def test_a_large_drawing_keeps_its_letters_readable() -> None:
    large = work("chassis.trail", {"rake": "27", "offset": "55", "front_radius": "305"}).drawing
    assert large is not None
    root = ET.fromstring(to_svg(large))
    wide = float((root.get("viewBox") or "").split()[2])
    size = min(float(t.get("font-size") or 0) for t in root.iter(f"{SVG}text"))
    assert wide <= 106
    assert size * 358 / wide >= 12  # pixels on a phone 390 px wide with 16 px margins


@given(st.floats(-math.pi, math.pi), st.floats(20, 200))
def test_dimension_words_read_from_below_or_from_the_right(turn: float, length: float) -> None:
    end = (length * math.cos(turn), length * math.sin(turn))
    strokes = lay_out(Drawing("d", (Dimension((0, 0), end),)))
    words = next(s for s in strokes if isinstance(s, Words))
    assert -math.pi / 2 < words.angle <= math.pi / 2 + 1e-9
    heads = [s for s in strokes if isinstance(s, Stroke) and s.filled]
    assert len(heads) == 2
    tips = [head.points[0] for head in heads]
    assert math.dist(tips[0], tips[1]) == pytest.approx(length, rel=1e-9)
    assert float(words.words) == pytest.approx(length, rel=1e-3)


def test_a_dimension_can_measure_along_an_axis_only() -> None:
    items = (
        Dimension((0, 0), (30, 40), along="x"),
        Dimension((0, 0), (30, 40), along="y"),
        Dimension((0, 0), (30, 40)),
    )
    words = [s.words for s in lay_out(Drawing("d", items)) if isinstance(s, Words)]
    assert words == ["30", "40", "50"]


def test_inches_for_those_who_read_them() -> None:
    drawing = Drawing("d", (Dimension((0, 0), (25.4, 0)),), system="inch-pound")
    words = [s.words for s in lay_out(drawing) if isinstance(s, Words)]
    assert words == ["1 in"]
    worked = work("fabrication.hole_centres", {"outer": "58 mm", "inner": "42 mm"}, "inch-pound").drawing
    assert worked is not None
    assert "centres 1.969 in" in to_svg(worked)


def test_arrows_stand_outside_where_there_is_no_room() -> None:
    left, _, right, _ = extent(lay_out(Drawing("d", (Dimension((0, 0), (4, 0)),))))
    assert left < -6
    assert right > 10


def test_dxf_read_by_its_own_library() -> None:
    import io

    import ezdxf

    document = ezdxf.read(io.StringIO(to_dxf(PLATE.at_scale(5)).decode("utf-8")))
    assert not document.audit().errors
    assert document.units == ezdxf.units.MM
    space = document.modelspace()
    circle = next(e for e in space.query("CIRCLE") if e.dxf.layer == "OUTLINE")
    assert circle.dxf.radius == pytest.approx(5)
    assert tuple(circle.dxf.center)[:2] == pytest.approx((20, 25))
    outline = space.query("LWPOLYLINE[layer=='OUTLINE']").first
    assert outline is not None
    assert outline.closed
    assert [tuple(p)[:2] for p in outline.get_points()] == [(0, 0), (80, 0), (80, 50), (0, 50)]
    layers = {e.dxf.layer for e in space}
    assert layers == {"OUTLINE", "HIDDEN", "CENTRE", "DIMENSIONS", "WORDS"}
    assert not [e for e in space.query("*[layer=='OUTLINE']") if e.dxftype() in ("TEXT", "SOLID")]


def test_pdf_prints_at_full_size(tmp_path: Path) -> None:
    """The print, measured in its pixels: a square of 100 mm is 100 mm, and so is the check scale."""
    from PIL import Image

    square = Drawing("Square", (Polyline(((0, 0), (100, 0), (100, 100), (0, 100)), closed=True),))
    (tmp_path / "d.pdf").write_bytes(to_pdf(square, title="A square", owner="Penhallow Heron 450"))
    dots = 254  # ten pixels a millimetre
    subprocess.run(
        ["pdftoppm", "-r", str(dots), "-gray", "-singlefile", "-png", "d.pdf", "d"], cwd=tmp_path, check=True
    )
    with Image.open(tmp_path / "d.png") as opened:
        page = opened.convert("L")
    assert page.size == pytest.approx((2100, 2970), abs=2)
    inside = page.crop((250, 150, 1950, 2300)).point(lambda v: 255 if v < 128 else 0)
    left, top, right, bottom = inside.getbbox() or (0, 0, 0, 0)
    line = 5  # the outline's own width
    assert right - left == pytest.approx(1000 + line, abs=2)
    assert bottom - top == pytest.approx(1000 + line, abs=2)
    check = page.crop((220, 2420, 1900, 2480)).point(lambda v: 255 if v < 128 else 0)
    left, _, right, _ = check.getbbox() or (0, 0, 0, 0)
    assert right - left == pytest.approx(1000, abs=5)
    text = subprocess.run(["pdftotext", "d.pdf", "-"], cwd=tmp_path, check=True, capture_output=True, text=True).stdout
    for words in ("A square", "Penhallow Heron 450", "1:1", "this line is 100 mm long"):
        assert words in text


def test_pdf_takes_a_larger_sheet_or_says_which_scale_fits(tmp_path: Path) -> None:
    large = work("chassis.trail", {"rake": "27", "offset": "55", "front_radius": "305"}).drawing
    assert large is not None
    assert to_pdf(large).startswith(b"%PDF")
    (tmp_path / "d.pdf").write_bytes(to_pdf(large, scale=5))
    told = subprocess.run(["pdfinfo", "d.pdf"], cwd=tmp_path, check=True, capture_output=True, text=True).stdout
    assert "Page size" in told
    huge = Drawing("Huge", (Line((0, 0), (5000, 0)),))
    with pytest.raises(BadInput, match="does not fit A0; 1:5 would"):
        to_pdf(huge)


DRAWN = [s for s in all_sheets().values() if s.draws is not None]


@given(st.sampled_from(DRAWN), st.data())
def test_every_sheet_draws_whatever_it_works(sheet: Sheet, data: st.DataObject) -> None:
    inputs: dict[str, str | float | None] = {}
    for name, one in sheet.inputs.items():
        if one.quantity is None:
            inputs[name] = data.draw(st.sampled_from(one.choices))
            continue
        low, high = max(one.quantity.low, -1.0), min(one.quantity.high, 2000.0)
        value = st.integers(int(low), int(high)) if one.whole else st.floats(low, high)
        inputs[name] = data.draw(value if one.required else st.none() | value)
    try:
        worked = work(sheet.id, inputs, data.draw(st.sampled_from(SYSTEMS)))
    except BadInput:
        return
    if worked.drawing is not None:
        root = ET.fromstring(to_svg(worked.drawing))
        wide, high = (float(v) for v in (root.get("viewBox") or "").split()[2:])
        assert 0 < wide < 200
        assert 0 < high < 1000


def test_an_empty_drawing_still_goes_out() -> None:
    empty = Drawing("Nothing yet", ())
    assert "<svg" in to_svg(empty)
    assert to_dxf(empty)
    assert to_pdf(empty).startswith(b"%PDF")
