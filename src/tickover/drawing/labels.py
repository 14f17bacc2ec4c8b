"""Labels in exact millimetres: on label sheets, on label tapes, and as flags that wrap around a wire.

A `Label` says what stands on it; `lay_out` sets it on a `Sheet` or a `Tape`; `to_pdf` prints the pages and `to_svg`
shows one. Code, mark and name share a label so that the mark is read from a metre wherever the label allows it.
Lengths are millimetres, from the top left of the page.
"""

from __future__ import annotations

import json
import math
import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any, Literal
from urllib.parse import urlsplit

from tickover.units import BadInput

MODULE = 0.4
"""The smallest side of a module that a phone still reads from a printed label."""
LARGEST_MODULE = 0.9
QUIET = 4
"""Modules kept white around a code (ISO/IEC 18004)."""
QUIET_AT_LEAST = 2
"""The same on a tape that is too narrow for four: the white of the tape's edge."""
READ_FROM_A_METRE = 6.0
"""Height of the mark's capitals."""
UNPRINTED = 5.0
"""What most printers leave white along the edge of the paper."""

ADVANCE = 0.602 / 0.729
"""Width of a letter over the height of a capital: DejaVu Sans Mono, every letter alike."""
DESCENT = 0.236 / 0.729
PITCH = 1.55
"""From line to line, over the height of a capital."""
SMALLEST = 1.2
"""Height of the capitals of the smallest print."""
GAP = 1.2
BESIDE_WIRE = 1.0
"""What stays white on a flag beside the wire."""
NARROWEST_FACE = 6.0


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says. ``wire`` is the diameter of the wire that it wraps around, over its insulation."""

    mark: str
    name: str = ""
    more: str = ""
    address: str = ""
    wire: float | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of labels, centred on its paper; ``gap`` stands between columns, rows touch."""

    id: str
    says: str
    paper: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    gap: float = 0.0

    @property
    def count(self) -> int:
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """The top left of the label at ``place``, counted from 0 along the rows.

        >>> SHEETS["a4-3x7"].corner(4)  # second row, second column
        (73.25, 53.25)
        """
        row, column = divmod(place, self.columns)
        (wide, high), (across, up) = self.label, self.paper
        left = (across - self.columns * wide - (self.columns - 1) * self.gap) / 2
        top = (up - self.rows * high) / 2
        return round(left + column * (wide + self.gap), 4), round(top + row * high, 4)

    @property
    def inset(self) -> tuple[float, float]:
        """What stays white inside every label, so that its print also clears the edge of the paper."""
        left, top = self.corner(0)
        return max(1.5, UNPRINTED - left), max(1.5, UNPRINTED - top)


@dataclass(frozen=True, slots=True)
class Tape:
    """A continuous tape; ``edge`` is not printed along both sides. ``length`` is a label's length where text runs
    across the tape, else a label is as long as it has to be."""

    id: str
    says: str
    width: float
    edge: float
    length: float | None = None


Stock = Sheet | Tape
Use = Literal["mark", "title", "name", "more"]
"""A title is the name of something that bears no mark."""

A4, LETTER = (210.0, 297.0), (215.9, 279.4)
SHEETS = {
    sheet.id: sheet
    for sheet in (
        Sheet("a4-3x8", "A4, 3 × 8 labels of 70 × 37 mm", A4, 3, 8, (70.0, 37.0)),
        Sheet("a4-2x4", "A4, 2 × 4 labels of 99.1 × 67.7 mm", A4, 2, 4, (99.1, 67.7), 2.5),
        Sheet("a4-2x7", "A4, 2 × 7 labels of 99.1 × 38.1 mm", A4, 2, 7, (99.1, 38.1), 2.5),
        Sheet("a4-3x7", "A4, 3 × 7 labels of 63.5 × 38.1 mm", A4, 3, 7, (63.5, 38.1), 2.5),
        Sheet("a4-4x10", "A4, 4 × 10 labels of 48.5 × 25.4 mm", A4, 4, 10, (48.5, 25.4)),
        Sheet("a4-5x13", "A4, 5 × 13 labels of 38.1 × 21.2 mm", A4, 5, 13, (38.1, 21.2), 2.5),
        Sheet("letter-3x10", "Letter, 3 × 10 labels of 2⅝ × 1 in", LETTER, 3, 10, (66.675, 25.4), 3.175),
    )
}
TAPES = {
    tape.id: tape
    for tape in (
        Tape("tape-9", "Tape, 9 mm (mark and name, no room for a code)", 9.0, 1.0),
        Tape("tape-12", "Tape, 12 mm", 12.0, 1.0),
        Tape("tape-18", "Tape, 18 mm", 18.0, 1.0),
        Tape("tape-24", "Tape, 24 mm", 24.0, 3.0),
        Tape("tape-62", "Tape, 62 mm, cut to 30 mm", 62.0, 1.5, 30.0),
    )
}
STOCKS: dict[str, Stock] = {**SHEETS, **TAPES}


@dataclass(frozen=True, slots=True)
class Words:
    """One line of print: ``x``, ``y`` are the top left of its capitals, ``cap`` their height."""

    x: float
    y: float
    cap: float
    words: str
    use: Use

    @property
    def width(self) -> float:
        return len(self.words) * ADVANCE * self.cap

    @property
    def height(self) -> float:
        return _height([self.words], self.cap)


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code: ``x``, ``y`` are the top left of its dark modules, ``module`` the side of one."""

    x: float
    y: float
    module: float
    address: str

    @property
    def side(self) -> float:
        return self.module * len(modules(self.address))


@dataclass(frozen=True, slots=True)
class Stroke:
    """A thin line; ``dashed`` is where a flag is folded."""

    x1: float
    y1: float
    x2: float
    y2: float
    dashed: bool = False


Item = Words | Code | Stroke


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the print: its size and all that stands on it."""

    wide: float
    high: float
    items: tuple[Item, ...]


# ---- the code


@lru_cache(maxsize=4096)
def modules(address: str) -> tuple[tuple[int, ...], ...]:
    """The code's modules, 1 is dark; error level M or better (ISO/IEC 18004).

    Host and path are written in capitals, which pack denser. The scheme stays as every camera knows it, as long as
    the code is no larger for it than version 2.

    >>> len(modules("http://192.168.1.20:8000/s/12"))  # version 2
    25
    """
    import segno

    scheme, separator, rest = address.partition("://")
    ways: list[Any] = [address]
    if separator and urlsplit(address).path.count("/") == 2 and rest.upper().isascii():
        ways = [[scheme + separator, rest.upper()], address.upper()]
    codes = [segno.make_qr(way, error="m", boost_error=True) for way in ways]
    matrix = codes[0].matrix if len(codes[0].matrix) <= 25 else min((code.matrix for code in codes), key=len)
    return tuple(tuple(row) for row in matrix)


# ---- words in a box


def set_words(words: str, wide: float, high: float, lines: int, most: float) -> tuple[tuple[str, ...], float]:
    """The words broken into at most ``lines`` lines, and the greatest height of capitals (≤ ``most``) that fits.

    Words are broken within, and at last cut short with an ellipsis, only in the smallest print.

    >>> set_words("box 4", 30, 20, 2, 7)
    (('box 4',), 7)
    >>> set_words("box 4", 16, 20, 2, 6)
    (('box', '4'), 6)
    """
    words = " ".join(words.split())
    if not words or wide <= 0 or high < SMALLEST:
        return (), 0.0
    best: tuple[tuple[str, ...], float] = ((), 0.0)
    for broken, longest in _breakings(words, lines):
        cap = min(most, wide / (longest * ADVANCE), high / (1 + PITCH * (len(broken) - 1) + _descent(broken[-1])))
        if cap > best[1]:
            best = broken, cap
    if best[1] >= SMALLEST:
        return best
    fit = max(int(wide / (ADVANCE * SMALLEST)), 1)
    room = max(min(lines, int((high / SMALLEST - 1 - DESCENT) / PITCH) + 1), 1)
    cut = textwrap.wrap(words, fit)
    if len(cut) > room:
        cut = [*cut[: room - 1], cut[room - 1][: fit - 1].rstrip() + "…"]
    return tuple(cut), SMALLEST


@lru_cache(maxsize=8192)
def _breakings(words: str, lines: int) -> tuple[tuple[tuple[str, ...], int], ...]:
    """The words in one line, in two, ... up to ``lines``, each with its longest line as short as can be."""
    found: dict[int, tuple[tuple[str, ...], int]] = {}
    for columns in range(len(words), max(map(len, words.split())) - 1, -1):
        broken = tuple(textwrap.wrap(words, columns, break_long_words=False, break_on_hyphens=False))
        if len(broken) > lines:
            break
        found[len(broken)] = broken, max(map(len, broken))
    return tuple(found.values())


def _height(lines: Sequence[str], cap: float) -> float:
    return cap * (1 + PITCH * (len(lines) - 1) + _descent(lines[-1])) if lines else 0.0


def _descent(line: str) -> float:
    """What stands below the line, over the height of a capital: nothing of figures and most letters."""
    return 0.0 if re.fullmatch(r"[A-IK-PR-Za-fhik-or-xz0-9 .+-]*", line) else DESCENT


def _placed(lines: Sequence[str], cap: float, x: float, y: float, use: Use) -> list[Words]:
    return [Words(x, y + cap * PITCH * number, cap, line, use) for number, line in enumerate(lines)]


# ---- one label


@dataclass(frozen=True, slots=True)
class _Room:
    """The printable part of a label, and the white around it that may count as a code's quiet zone."""

    x: float
    y: float
    wide: float
    high: float
    edge_x: float
    edge_y: float


def _column(label: Label, x: float, y: float, wide: float, high: float) -> list[Words]:
    """Mark over name over small print, in the height there is."""
    if not label.mark:
        small, cap = _small_print(label.more, wide, 2 * SMALLEST, 1) if high > 10 else ((), 0.0)
        room = high - (_height(small, cap) + GAP if small else 0.0)
        lines, size = set_words(label.name, wide, room, 4, 9.0)
        items = _placed(lines, size, x, y + (room - _height(lines, size)) / 2, "title")
        return items + _placed(small, cap, x, y + high - _height(small, cap), "more")
    read = min(high, READ_FROM_A_METRE * (1 + _descent(label.mark)))
    room = max(0.6 * high, read, min(high - 3.5, 8.0)) if label.name else high
    lines, size = set_words(label.mark, wide, room, 2, 14.0)
    items = _placed(lines, size, x, y, "mark")
    y, high = y + _height(lines, size) + GAP, high - _height(lines, size) - GAP
    lines, size = set_words(label.name, wide, high, 3, 4.5)
    items += _placed(lines, size, x, y, "name")
    y, high = y + _height(lines, size) + GAP, high - _height(lines, size) - GAP
    lines, size = _small_print(label.more, wide, min(high, 3 * SMALLEST), 2)
    return items + _placed(lines, size, x, y, "more")


def _small_print(words: str, wide: float, high: float, lines: int) -> tuple[tuple[str, ...], float]:
    """As many of the pieces between “ · ” as stand whole, the first ones first."""
    pieces = words.split(" · ")
    while pieces:
        found = set_words(" · ".join(pieces), wide, high, lines, 1.8)
        if found[0] and not found[0][-1].endswith("…"):
            return found
        pieces.pop()
    return (), 0.0


def _in_line(label: Label, x: float, y: float, wide: float, high: float) -> list[Words]:
    """Mark, and the name in lines beside it: for low labels."""
    if not label.mark or not label.name:
        return _column(replace(label, more=""), x, y, wide, high)
    lines, size = set_words(label.mark, wide * 0.6, high, 1, 9.0)
    items = _placed(lines, size, x, y + (high - _height(lines, size)) / 2, "mark")
    taken = max(item.width for item in items) + 2 * GAP
    lines, size = set_words(label.name, wide - taken, high, 4, 3.0)
    return items + _placed(lines, size, x + taken, y + (high - _height(lines, size)) / 2, "name")


def _compositions(label: Label, room: _Room) -> Iterable[list[Item]]:
    """The ways to share a label out, each with a smaller code than the one before."""
    if not label.address:
        yield [*_column(label, room.x, room.y, room.wide, room.high)]
        yield [*_in_line(label, room.x, room.y, room.wide, room.high)]
        return
    count = len(modules(label.address))
    steps = round((LARGEST_MODULE - MODULE) / 0.1)
    for module in (round(LARGEST_MODULE - 0.1 * step, 2) for step in range(steps + 1)):
        side = count * module
        for quiet in (QUIET, QUIET_AT_LEAST):
            left = max(0.0, quiet * module - room.edge_x)
            above = max(0.0, quiet * module - room.edge_y)
            if side + 2 * above > room.high + 1e-6 or side + left > room.wide:
                continue
            beside = left + side + quiet * module
            if beside < room.wide:
                code = Code(room.x + left, room.y + (room.high - side) / 2, module, label.address)
                for words in (_column, _in_line):
                    yield [code, *words(label, room.x + beside, room.y, room.wide - beside, room.high)]
            over = side + above + quiet * module
            if over < room.high:
                code = Code(room.x + left, room.y + room.high - above - side, module, label.address)
                yield [code, *_column(label, room.x, room.y, room.wide, room.high - over)]
            break


def _worth(items: Sequence[Item], label: Label) -> float:
    """How well a label is read: the mark from a metre first, then the name, then the code from further away."""

    def cap(use: str) -> float:
        return min((item.cap for item in items if isinstance(item, Words) and item.use == use), default=0.0)

    module = max((item.module for item in items if isinstance(item, Code)), default=0.0)
    mark, name = cap("mark"), cap("name" if label.mark else "title")
    worth = min(module / 0.7, 1.0) + (2.0 if module else 0.0)
    if label.mark:
        worth += 4 * min(mark / 8, 1.0) + (4.0 if mark >= READ_FROM_A_METRE else 0.0) + min(mark / 14, 1.0)
        return worth + (2 * min(name / 2.5, 1.0) if label.name else 0.0)
    return worth + 4 * min(name / 4, 1.0) + min(name / 9, 1.0)


def _compose(label: Label, room: _Room) -> list[Item]:
    ways = list(_compositions(label, room)) or list(_compositions(replace(label, address=""), room))
    return max(ways, key=lambda items: _worth(items, label))


def wrap(wire: float) -> float:
    """Length of a flag that goes around a wire of this diameter, with half a millimetre to spare on each side."""
    return math.pi * wire + 1.0


def over_insulation(area: float) -> float:
    """About how thick a wire is over its insulation, in mm, from its conductor in mm².

    An estimate on the full side: strands fill three quarters of their round, and the wall is 0.6 mm.

    >>> round(over_insulation(1.0), 1), round(over_insulation(2.5), 1)
    (2.5, 3.3)
    """
    return math.sqrt(4 * area / (math.pi * 0.75)) + 2 * 0.6


def _flag(label: Label, wide: float, high: float, inset: tuple[float, float]) -> list[Item]:
    """The same face twice, and between them what goes around the wire, with the line where the flag is folded."""
    around = wrap(label.wire or 0.0)
    face = (wide - around) / 2
    x, y = inset
    plain = replace(label, wire=None)
    items: list[Item] = []
    for start in (x, face + around + BESIDE_WIRE):
        room = _Room(start, y, face - x - BESIDE_WIRE, high - 2 * y, min(x, BESIDE_WIRE), y)
        items += _compose(plain, room)
    for at in (face, face + around):
        items += [Stroke(at, 0.0, at, 1.0), Stroke(at, high - 1.0, at, high)]
    middle = wide / 2
    return [*items, Stroke(middle, 0.0, middle, high, dashed=True)]


def _refuse_what_is_too_thick(labels: Iterable[Label], wide: float, inset: float) -> None:
    """`BadInput` that names every wire whose flag has no room for its mark on a label of this width."""
    faces = 2 * (inset + BESIDE_WIRE + NARROWEST_FACE)
    thick = [label for label in labels if label.wire is not None and wrap(label.wire) + faces > wide]
    if thick:
        marks = ", ".join(f"“{label.mark}”" for label in thick)
        needs = max(wrap(label.wire or 0.0) for label in thick) + faces
        what, they = ("flag of", "it") if len(thick) == 1 else ("flags of", "them")
        raise BadInput(
            f"The {what} {marks}, around the thickness of the wire, would be up to {needs:.1f} mm long and this label "
            f"has {wide:.1f} mm; leave {they} out, or choose longer labels or a tape."
        )


def on_label(label: Label, wide: float, high: float, inset: tuple[float, float]) -> list[Item]:
    """All that stands on one label of this size, from its top left."""
    if label.wire is not None:
        return _flag(label, wide, high, inset)
    x, y = inset
    return _compose(label, _Room(x, y, wide - 2 * x, high - 2 * y, x, y))


def _on_tape(label: Label, tape: Tape) -> Page:
    """One label of tape: as short as lets the mark be read from a metre and the name be whole."""
    if tape.length is not None:
        return Page(tape.width, tape.length, tuple(on_label(label, tape.width, tape.length, (tape.edge, 1.5))))
    inset = (1.5, tape.edge)
    around = 0.0 if label.wire is None else wrap(label.wire)
    faces = 1 if label.wire is None else 2
    items: list[Item] = []
    for face in (20, 24, 28, 32, 36, 40, 46, 52, 60, 70, 80):
        long = faces * face + around
        items = on_label(label, long, tape.width, inset)
        if _is_well_set(items, label, tape):
            break
    return Page(long, tape.width, tuple(items))


def _is_well_set(items: Sequence[Item], label: Label, tape: Tape) -> bool:
    words = [item for item in items if isinstance(item, Words)]
    codes = any(isinstance(item, Code) for item in items)
    marks = [item.cap for item in words if item.use == "mark"]
    names = [item for item in words if item.use in ("name", "title")]
    wanted = min(READ_FROM_A_METRE, 0.6 * (tape.width - 2 * tape.edge))
    return (
        (codes or not label.address)
        and (not label.mark or min(marks, default=0.0) >= wanted)
        and (not label.name or (bool(names) and min(item.cap for item in names) >= 1.8))
        and not any(item.words.endswith("…") for item in names)
    )


# ---- pages


def takes_code(stock: Stock, address: str) -> bool:
    """Whether a code of this address fits the stock with modules that a phone reads."""
    high = stock.label[1] - 2 * stock.inset[1] if isinstance(stock, Sheet) else stock.width - 2 * stock.edge
    return MODULE * len(modules(address)) <= high + 1e-6


def lay_out(
    labels: Sequence[Label],
    stock: Stock,
    *,
    start: int = 1,
    right: float = 0.0,
    down: float = 0.0,
    outlines: bool = False,
) -> list[Page]:
    """The labels on their pages: the first at place ``start`` of a used sheet, all moved ``right`` and ``down``.

    ``outlines`` draws each label's edge, for a trial on plain paper. `BadInput` where a flag does not fit.
    """
    if isinstance(stock, Tape):
        if stock.length is not None:
            _refuse_what_is_too_thick(labels, stock.width, stock.edge)
        return [_on_tape(_with_code(label, stock), stock) for label in labels]
    if not 1 <= start <= stock.count:
        raise BadInput(f"The sheet has places 1 to {stock.count}; “{start}” is none of them.")
    wide, high = stock.label
    _refuse_what_is_too_thick(labels, wide, stock.inset[0])
    pages: list[list[Item]] = []
    for place, label in enumerate(labels, start=start - 1):
        number, place = divmod(place, stock.count)
        if number == len(pages):
            pages.append([])
        left, top = stock.corner(place)
        items = on_label(_with_code(label, stock), wide, high, stock.inset)
        if outlines:
            corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high), (0.0, 0.0)]
            items += [Stroke(*a, *b) for a, b in pairwise(corners)]
        pages[number] += [_moved(item, left + right, top + down) for item in items]
    return [Page(*stock.paper, tuple(items)) for items in pages]


def _with_code(label: Label, stock: Stock) -> Label:
    return label if not label.address or takes_code(stock, label.address) else replace(label, address="")


def _moved(item: Item, x: float, y: float) -> Item:
    if isinstance(item, Stroke):
        return replace(item, x1=item.x1 + x, y1=item.y1 + y, x2=item.x2 + x, y2=item.y2 + y)
    return replace(item, x=item.x + x, y=item.y + y)


# ---- out


def without_code(labels: Iterable[Label], pages: Iterable[Page]) -> list[Label]:
    """The labels that carry an address and found no room for its code."""
    printed = {item.address for page in pages for item in page.items if isinstance(item, Code)}
    return [label for label in labels if label.address and label.address not in printed]


def to_pdf(pages: Sequence[Page], title: str = "Labels") -> bytes:
    """The pages as PDF, in true size."""
    return _compiled(pages, title, "pdf")


def to_svg(page: Page) -> bytes:
    """One page as SVG, as it prints."""
    return _compiled([page], "", "svg")


def _compiled(pages: Sequence[Page], title: str, form: Literal["pdf", "svg"]) -> bytes:
    import typst

    if not pages:
        raise BadInput("There is no label to print; choose what to label first.")
    inputs = {"title": title, "pages": json.dumps([_as_json(page) for page in pages])}
    return bytes(typst.compile(_TYPST.encode("utf-8"), format=form, sys_inputs=inputs, ignore_system_fonts=True))


def _as_json(page: Page) -> dict[str, Any]:
    words, codes, strokes = [], [], []
    for item in page.items:
        if isinstance(item, Words):
            size, bold = item.cap / 0.729, item.use in ("mark", "title")
            words.append({"x": item.x, "y": item.y, "size": size, "bold": bold, "words": item.words})
        elif isinstance(item, Code):
            codes.append({"x": item.x, "y": item.y, "side": item.side, "svg": _code_svg(item.address)})
        else:
            strokes.append({"a": [item.x1, item.y1], "b": [item.x2, item.y2], "dashed": item.dashed})
    return {"wide": page.wide, "high": page.high, "words": words, "codes": codes, "strokes": strokes}


@lru_cache(maxsize=4096)
def _code_svg(address: str) -> str:
    rows = modules(address)
    runs = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            run = next((end for end in range(x, len(row)) if not row[end]), len(row)) - x
            if run:
                runs.append(f"M{x} {y}h{run}v1h-{run}z")
            x += run + 1
    count = len(rows)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{count}" height="{count}" viewBox="0 0 {count} {count}">'
        f'<path d="{"".join(runs)}"/></svg>'
    )


_TYPST = """
#set document(title: sys.inputs.title, date: none)
#set text(
  font: "DejaVu Sans Mono", fallback: true, top-edge: "cap-height", bottom-edge: "baseline", hyphenate: false,
  ligatures: false, lang: "en",
)
#let mm(value) = value * 1mm
#for sheet in json(bytes(sys.inputs.pages)) {
  page(width: mm(sheet.wide), height: mm(sheet.high), margin: 0mm)[
    #for code in sheet.codes {
      place(dx: mm(code.x), dy: mm(code.y), image(bytes(code.svg), format: "svg", width: mm(code.side)))
    }
    #for line-of in sheet.words {
      place(dx: mm(line-of.x), dy: mm(line-of.y), text(
        size: mm(line-of.size), weight: if line-of.bold { "bold" } else { "regular" },
        line-of.words.replace(" ", "\\u{a0}"),
      ))
    }
    #for stroke-of in sheet.strokes {
      place(line(
        start: stroke-of.a.map(mm), end: stroke-of.b.map(mm),
        stroke: (thickness: 0.15mm, paint: luma(45%), dash: if stroke-of.dashed { (1mm, 1mm) } else { none }),
      ))
    }
  ]
}
"""
