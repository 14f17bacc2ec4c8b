"""Labels: every code reads back from the print and from a poor photo of it, marks are large, nothing runs over, 1:1."""

from __future__ import annotations

import io
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageFilter

from tickover.drawing.labels import (
    ADVANCE,
    MODULE,
    READ_FROM_A_METRE,
    SHEETS,
    SMALLEST,
    STOCKS,
    TAPES,
    Code,
    Label,
    Page,
    Sheet,
    Stroke,
    Tape,
    Words,
    lay_out,
    modules,
    on_label,
    set_words,
    takes_code,
    to_pdf,
    to_svg,
    without_code,
    wrap,
)
from tickover.units import BadInput

BASE = "http://192.168.178.200:8000"
LONG = "carburettor rubber, engine side, left-hand, with its clamp, both screws and the balance pipe stub plugged"
LABELS = {
    "box": Label("box 4", "lamps and instruments", "s/16 · workshop › shelf B", f"{BASE}/s/16"),
    "bag": Label("bag 12", "caliper pins and banjo bolts", "s/19 · workshop › shelf B › box 5", f"{BASE}/s/19"),
    "part": Label("", "left side cover", "p/31 · shelf A", f"{BASE}/p/31"),
    "long": Label("", LONG, "p/31125 · no. H450-31", f"{BASE}/p/31125"),
    "set": Label("", "starter bolts", "f/7 · 2 × M8 x 1.25, 30 mm · 22 N·m", f"{BASE}/f/7"),
    "wire": Label("17", "RD/BK relay to starter", "w/17", f"{BASE}/w/17", wire=2.1),
    "thick wire": Label("104", "GN/YE", "w/104", f"{BASE}/w/104", wire=3.3),
}
WITH_CODE = [stock for stock in STOCKS if stock != "tape-9"]
DPI = 150


def rendered(pages: list[Page], tmp_path: Path) -> list[Image.Image]:
    """The print at 150 dpi, by an independent program."""
    (tmp_path / "labels.pdf").write_bytes(to_pdf(pages))
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", str(tmp_path / "labels.pdf"), str(tmp_path / "p")], check=True)
    return [Image.open(file) for file in sorted(tmp_path.glob("p*.pgm"), key=lambda file: (len(file.name), file.name))]


def read(picture: Image.Image) -> set[str]:
    return {code.text.lower() for code in zxingcpp.read_barcodes(picture)}


def poor_photo(label: Image.Image) -> Image.Image:
    """The label on a grey bench, from a phone: turned by 30°, at 35 % of the light, a little blurred and noisy."""
    bench = Image.new("L", (label.width + 200, label.height + 200), 120)
    bench.paste(label, (100, 100))
    photo = bench.resize((2 * bench.width, 2 * bench.height), Image.Resampling.BICUBIC)
    photo = photo.rotate(30, Image.Resampling.BICUBIC, expand=True, fillcolor=120)
    photo = photo.filter(ImageFilter.GaussianBlur(1.2))
    noise = numpy.random.default_rng(1976).normal(0.0, 3.0, (photo.height, photo.width))
    return Image.fromarray(numpy.clip(numpy.asarray(photo) * 0.35 + noise, 0, 255).astype("uint8"))


@pytest.mark.parametrize("stock", WITH_CODE)
def test_every_label_reads_back_from_its_print(stock: str, tmp_path: Path) -> None:
    labels = list(LABELS.values())
    pages = lay_out(labels, STOCKS[stock])
    assert not without_code(labels, pages)
    found = set().union(*(read(picture) for picture in rendered(pages, tmp_path)))
    assert found == {label.address for label in labels}


@pytest.mark.parametrize("stock", WITH_CODE)
@pytest.mark.parametrize("kind", LABELS)
def test_every_label_reads_back_from_a_dark_photo_turned_by_30_degrees(stock: str, kind: str, tmp_path: Path) -> None:
    [picture] = rendered(lay_out([LABELS[kind]], STOCKS[stock]), tmp_path)
    place = STOCKS[stock]
    if isinstance(place, Sheet):
        (left, top), (wide, high) = place.corner(0), place.label
        left, top = max(left, 0.0), max(top, 0.0)
        box = tuple(round(value * DPI / 25.4) for value in (left, top, left + wide, top + high))
        picture = picture.crop(box)
    assert LABELS[kind].address in read(poor_photo(picture))


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_full_sheet_reads_back_label_by_label(sheet: str, tmp_path: Path) -> None:
    stock = SHEETS[sheet]
    labels = [Label(f"bag {n}", "screws", "", f"{BASE}/s/{n}") for n in range(1, stock.count + 3)]
    pages = lay_out(labels, stock)
    assert len(pages) == 2
    first, second = rendered(pages, tmp_path)
    assert read(first) == {label.address for label in labels[: stock.count]}
    assert read(second) == {label.address for label in labels[stock.count :]}


def test_a_tape_of_9_mm_takes_no_code_and_says_so(tmp_path: Path) -> None:
    labels = list(LABELS.values())
    pages = lay_out(labels, TAPES["tape-9"])
    assert without_code(labels, pages) == labels
    assert all(any(isinstance(item, Words) for item in page.items) for page in pages)
    assert not takes_code(TAPES["tape-9"], labels[0].address)


@pytest.mark.parametrize("stock", STOCKS)
@pytest.mark.parametrize("kind", ["box", "bag", "wire", "thick wire"])
def test_a_mark_is_read_from_a_metre_wherever_the_label_allows_it(stock: str, kind: str) -> None:
    label, on = LABELS[kind], STOCKS[stock]
    marks = [i for page in lay_out([label], on) for i in page.items if isinstance(i, Words) and i.use == "mark"]
    assert marks
    printed = on.label[0] - 2 * on.inset[0] if isinstance(on, Sheet) else 200.0
    if label.wire is not None:
        printed = printed / 2 - wrap(label.wire) / 2 - 1.0
    code = MODULE * (len(modules(label.address)) + 4)
    room = max(printed - code, 0.0) if label.wire is None else printed
    allowed = room / (len(label.mark) * ADVANCE)
    if stock != "tape-9" and allowed >= READ_FROM_A_METRE:
        assert min(mark.cap for mark in marks) >= READ_FROM_A_METRE
    else:
        assert min(mark.cap for mark in marks) >= 3.0


@pytest.mark.parametrize("stock", STOCKS)
@pytest.mark.parametrize("kind", LABELS)
def test_modules_are_large_enough_and_nothing_runs_over(stock: str, kind: str) -> None:
    on = STOCKS[stock]
    [page] = lay_out([LABELS[kind]], on)
    stay_inside(page, on)


def stay_inside(page: Page, on: Sheet | Tape) -> None:
    """Everything on the first label, and no two things on each other."""
    (left, top), (wide, high) = (on.corner(0), on.label) if isinstance(on, Sheet) else ((0, 0), (page.wide, page.high))
    boxes = []
    for item in page.items:
        if isinstance(item, Code):
            assert item.module >= MODULE
            boxes.append((item.x, item.y, item.x + item.side, item.y + item.side))
        elif isinstance(item, Words):
            assert item.cap >= SMALLEST
            boxes.append((item.x, item.y, item.x + item.width, item.y + item.height))
    for x1, y1, x2, y2 in boxes:
        assert left - 1e-6 <= x1
        assert top - 1e-6 <= y1
        assert x2 <= left + wide + 1e-6
        assert y2 <= top + high + 1e-6
    for number, (x1, y1, x2, y2) in enumerate(boxes):
        for x3, y3, x4, y4 in boxes[:number]:
            assert x2 <= x3 + 1e-6 or x4 <= x1 + 1e-6 or y2 <= y3 + 1e-6 or y4 <= y1 + 1e-6


@given(
    mark=st.text(min_size=0, max_size=20),
    name=st.text(min_size=1, max_size=120),
    more=st.text(max_size=120),
    number=st.integers(1, 10**12),
    stock=st.sampled_from(sorted(STOCKS)),
)
def test_whatever_is_written_stays_on_its_label(mark: str, name: str, more: str, number: int, stock: str) -> None:
    on = STOCKS[stock]
    [page] = lay_out([Label(mark.strip(), name, more, f"{BASE}/p/{number}")], on)
    stay_inside(page, on)


@given(words=st.text(min_size=1, max_size=80), wide=st.floats(2, 90), high=st.floats(2, 40), lines=st.integers(1, 4))
def test_words_fit_their_box(words: str, wide: float, high: float, lines: int) -> None:
    broken, cap = set_words(words, wide, high, lines, 9.0)
    assert len(broken) <= lines
    for line in broken:
        assert len(line) * ADVANCE * cap <= max(wide, ADVANCE * SMALLEST) + 1e-6


@pytest.mark.parametrize("sheet", SHEETS)
def test_labels_are_printed_1_to_1_where_the_sheet_has_them(sheet: str, tmp_path: Path) -> None:
    """The printed edges, measured in pixels: the first and the last label, at every sheet's own place."""
    stock = SHEETS[sheet]
    for place in (1, stock.count):
        blank = Label("", ".", "", "")
        pages = lay_out([blank], stock, start=place, outlines=True)
        [picture] = rendered(pages, tmp_path)
        (left, top), (wide, high) = stock.corner(place - 1), stock.label
        dark = numpy.asarray(picture) < 200
        columns, rows = numpy.flatnonzero(dark.any(axis=0)), numpy.flatnonzero(dark.any(axis=1))
        mm = 25.4 / DPI
        assert columns[0] * mm == pytest.approx(max(left, 0.0), abs=0.25)
        assert rows[0] * mm == pytest.approx(max(top, 0.0), abs=0.25)
        assert (columns[-1] + 1) * mm == pytest.approx(left + wide, abs=0.25)
        assert (rows[-1] + 1) * mm == pytest.approx(top + high, abs=0.25)
        assert picture.width * mm == pytest.approx(stock.paper[0], abs=0.2)
        assert picture.height * mm == pytest.approx(stock.paper[1], abs=0.2)
        for file in tmp_path.iterdir():
            file.unlink()


@pytest.mark.parametrize(
    ("sheet", "left", "top"),
    [
        ("a4-3x8", 0.0, 0.5),
        ("a4-2x7", 4.65, 15.15),
        ("a4-3x7", 7.25, 15.15),
        ("a4-4x10", 8.0, 21.5),
        ("a4-5x13", 4.75, 10.7),
    ],
)
def test_the_first_label_lies_where_sheets_of_this_size_have_it(sheet: str, left: float, top: float) -> None:
    assert SHEETS[sheet].corner(0) == pytest.approx((left, top), abs=0.01)
    wide, high = SHEETS[sheet].label
    last = SHEETS[sheet].corner(SHEETS[sheet].count - 1)
    assert last[0] + wide <= 210.0 - left + 0.01
    assert last[1] + high <= 297.0 - top + 0.01


def test_print_keeps_off_the_edge_that_printers_leave_white() -> None:
    for sheet in SHEETS.values():
        pages = lay_out([LABELS["bag"]] * sheet.count, sheet)
        for item in pages[0].items:
            assert isinstance(item, (Code, Words))
            high = item.side if isinstance(item, Code) else item.height
            wide = item.side if isinstance(item, Code) else item.width
            assert item.x >= 5.0 - 1e-6
            assert item.y >= 5.0 - 1e-6
            assert item.x + wide <= sheet.paper[0] - 5.0 + 1e-6
            assert item.y + high <= sheet.paper[1] - 5.0 + 1e-6


def test_the_printer_is_corrected_and_a_used_sheet_goes_on() -> None:
    sheet = SHEETS["a4-3x7"]
    [plain], [moved] = lay_out([LABELS["box"]], sheet), lay_out([LABELS["box"]], sheet, start=5, right=1.5, down=-0.5)
    (x, y), (to_x, to_y) = sheet.corner(0), sheet.corner(4)
    for before, after in zip(plain.items, moved.items, strict=True):
        assert isinstance(before, (Code, Words))
        assert isinstance(after, (Code, Words))
        assert after.x - before.x == pytest.approx(to_x - x + 1.5)
        assert after.y - before.y == pytest.approx(to_y - y - 0.5)
    assert len(lay_out([LABELS["box"]] * 2, sheet, start=21)) == 2
    with pytest.raises(BadInput, match="places 1 to 21"):
        lay_out([LABELS["box"]], sheet, start=22)


@pytest.mark.parametrize("stock", STOCKS)
def test_a_flag_bears_its_mark_twice_beside_the_fold(stock: str) -> None:
    label = LABELS["wire"]
    [page] = lay_out([label], STOCKS[stock])
    marks = [item for item in page.items if isinstance(item, Words) and item.use == "mark"]
    [fold] = [item for item in page.items if isinstance(item, Stroke) and item.dashed]
    ticks = sorted({item.x1 for item in page.items if isinstance(item, Stroke) and not item.dashed})
    assert [mark.words for mark in marks] == ["17", "17"]
    assert label.wire is not None
    assert ticks[1] - ticks[0] == pytest.approx(wrap(label.wire))
    assert fold.x1 == pytest.approx((ticks[0] + ticks[1]) / 2)
    assert marks[0].x + marks[0].width < ticks[0]
    assert marks[1].x > ticks[1]


def test_a_flag_for_too_thick_a_wire_is_refused_in_one_sentence() -> None:
    labels = [Label("17", wire=9.0), Label("18", wire=2.0), Label("19", wire=12.0)]
    for stock in (SHEETS["a4-5x13"], TAPES["tape-62"]):
        thick = [replace(label, wire=2 * (label.wire or 0)) if isinstance(stock, Tape) else label for label in labels]
        with pytest.raises(BadInput, match="The flags of “17”, “19”, around") as refused:
            lay_out(thick, stock)
        assert str(refused.value).count(". ") == 0
        assert lay_out([thick[1]], stock)
    assert len(lay_out(labels, TAPES["tape-12"])) == 3


def test_codes_are_of_level_m_and_keep_the_scheme_as_cameras_know_it() -> None:
    label = on_label(LABELS["box"], 99.1, 67.7, (1.5, 1.5))
    [code] = [item for item in label if isinstance(item, Code)]
    picture = Image.fromarray((1 - numpy.kron(numpy.array(modules(code.address)), numpy.ones((8, 8)))) * 255.0)
    whole = Image.new("L", (picture.width + 80, picture.height + 80), 255)
    whole.paste(picture.convert("L"), (40, 40))
    [found] = zxingcpp.read_barcodes(whole)
    assert found.text == "http://192.168.178.200:8000/S/16"
    assert found.ec_level in ("M", "Q", "H")


def test_the_preview_is_the_print() -> None:
    [page] = lay_out([LABELS["box"]], SHEETS["a4-3x8"])
    svg = to_svg(page).decode()
    assert svg.startswith("<svg")
    assert 'viewBox="0 0 595.27' in svg
    assert io.BytesIO(to_pdf([page])).read(5) == b"%PDF-"


def test_nothing_to_print_is_one_sentence() -> None:
    with pytest.raises(BadInput, match="There is no label to print"):
        to_pdf([])
