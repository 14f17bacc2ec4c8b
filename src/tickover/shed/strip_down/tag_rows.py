"""Many wire tags at once: rows typed or pasted, checked together, written down all or none.

A row is one end of a wire: its mark, its colours, the connector and cavity it was found in, and what is known of the
other end. A row with a mark that is on record already is the other end of that wire, once the builder says so.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django import forms

from tickover.chapters.electrics.loom.kinds import KINDS
from tickover.records.marks import first_free, next_mark
from tickover.records.models import Build, LoomComponent, WireEnd, WireTag
from tickover.shed.base.forms import in_plain_words
from tickover.shed.strip_down.colours import typed_colours
from tickover.shed.strip_down.forms import COLOURS_IN_WORDS
from tickover.units import BadInput

MOST_ROWS = 100
COLUMNS = ("mark", "colours", "connector", "cavity", "other_end", "function")
_HEADS = {
    "mark": "mark", "tag": "mark", "colours": "colours", "colour": "colours", "connector": "connector",
    "cavity": "cavity", "pin": "cavity", "other end": "other_end", "what it may be": "function", "function": "function",
}  # fmt: skip


@dataclass(frozen=True)
class Seat:
    """Where an end sits: a component's pin, or a connector and its cavity."""

    component: LoomComponent | None = None
    pin: str = ""
    connector: str = ""
    cavity: str = ""


class TagRow(forms.Form):
    """One row. ``offered`` is what the row came with, so that a row nobody touched is not written down."""

    mark = forms.CharField(label="mark", max_length=20, required=False)
    joins = forms.BooleanField(label="it is the other end of that wire", required=False)
    colours = forms.CharField(label="colours", max_length=COLOURS_IN_WORDS, required=False)
    connector = forms.CharField(label="connector", max_length=80, required=False)
    cavity = forms.CharField(label="cavity", max_length=20, required=False)
    other_end = forms.CharField(label="other end", max_length=102, required=False)
    function = forms.CharField(label="what it may be", max_length=160, required=False)
    offered = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_plain_words(self.fields)
        for name in COLUMNS:
            self.fields[name].widget.attrs |= {"autocomplete": "off", "enterkeyhint": "next"}
        for name in ("mark", "colours", "cavity"):
            self.fields[name].widget.attrs |= {"autocapitalize": "characters", "spellcheck": "false"}
        self.fields["connector"].widget.attrs["list"] = "connectors"
        self.fields["other_end"].widget.attrs["list"] = "connectors"
        self.offer = ""
        """What the mark already stands for, where it does."""
        self.here = Seat()
        self.there: Seat | None = None

    @property
    def number(self) -> int:
        return int(self.prefix or 0)

    def columns(self) -> list[forms.BoundField]:
        return [self[name] for name in COLUMNS]

    def typed(self, name: str) -> str:
        return str(self[name].value() or "").replace("\0", "").strip()

    @property
    def is_blank(self) -> bool:
        return not any(self.typed(name) for name in COLUMNS)

    @property
    def is_as_offered(self) -> bool:
        """Nothing was typed but what the row came with."""
        beside = any(self.typed(name) for name in ("colours", "other_end", "function"))
        return not beside and self.typed("offered") == _offered(self.typed("mark"), self.typed("connector"),
                                                                self.typed("cavity"))  # fmt: skip

    def clean_colours(self) -> str:
        try:
            return typed_colours(self.cleaned_data["colours"])
        except BadInput as problem:
            raise forms.ValidationError(f"{problem}.") from problem


def _offered(mark: str, connector: str, cavity: str) -> str:
    return "|".join((mark, connector, cavity))


@dataclass
class Rows:
    """The rows of one page with what the build has on record for their marks."""

    build: Build
    rows: list[TagRow]
    left_out: str = ""
    """Mark of a last row that was left as it was offered."""
    tags: dict[str, WireTag] = field(default_factory=dict)
    components: dict[str, LoomComponent] = field(default_factory=dict)

    @classmethod
    def typed(cls, build: Build, post: Mapping[str, str]) -> Rows:
        """The rows of a form that was sent."""
        numbers = sorted(int(found.group(1)) for key in post if (found := re.fullmatch(r"(\d{1,4})-mark", key)))
        return cls(build, [TagRow(post, prefix=str(number)) for number in numbers[:MOST_ROWS]])

    def offer_next(self, mark: str = "") -> TagRow:
        """A new row: the next free mark, the connector of the row before and its next cavity.

        With a ``mark`` that is on record it is the row of that wire's other end.
        """
        last = self.rows[-1] if self.rows else None
        marks = set(self.build.wiretags.values_list("mark", flat=True))
        marks |= {row.typed("mark") for row in self.rows}
        before = last.typed("mark") if last else ""
        joins = bool(mark) and mark in marks
        mark = mark or (next_mark(before, marks) if before else first_free(marks))
        connector = last.typed("connector") if last else ""
        cavity = last.typed("cavity") if last else ""
        cavity = next_mark(cavity) if re.search(r"[0-9]$|^[A-Ya-y]$", cavity) else ""
        row = TagRow(
            prefix=str(last.number + 1 if last else 0),
            initial={
                "mark": mark[:20],
                "joins": joins,
                "connector": connector,
                "cavity": cavity,
                "offered": _offered(mark[:20], connector, cavity),
            },
        )
        self.rows.append(row)
        return row

    def take_in(self, lines: str) -> None:
        """Fill rows from pasted lines; they follow the rows already there. `BadInput` where there are too many."""
        self.rows = [row for row in self.rows if not (row.is_blank or row.is_as_offered)]
        taken = set(self.build.wiretags.values_list("mark", flat=True)) | {row.typed("mark") for row in self.rows}
        pasted = pasted_rows(lines)
        if len(self.rows) + len(pasted) > MOST_ROWS:
            raise BadInput(f"That makes {len(self.rows) + len(pasted)} rows; a page holds {MOST_ROWS}: paste fewer.")
        number = self.rows[-1].number + 1 if self.rows else 0
        mark = ""
        for cells in pasted:
            if not cells.get("mark"):
                cells["mark"] = next_mark(mark, taken) if mark else first_free(taken)
            mark = cells["mark"]
            taken.add(mark)
            data = {f"{number}-{name}": value for name, value in cells.items()}
            self.rows.append(TagRow(data | {f"{number}-mark": mark}, prefix=str(number)))
            number += 1

    def show_offers(self) -> None:
        """Say under each mark what it already stands for."""
        self._look_up()
        seen: dict[str, TagRow] = {}
        for row in self.rows:
            mark = row.typed("mark")
            if tag := self.tags.get(mark):
                row.offer = offer(tag)
            elif mark and mark in seen:
                row.offer = f"Tag {mark} stands in a row above."
            if mark:
                seen.setdefault(mark, row)

    def _look_up(self) -> None:
        marks = {row.typed("mark") for row in self.rows}
        tags = self.build.wiretags.filter(mark__in=marks).prefetch_related("ends__component")
        self.tags = {tag.mark: tag for tag in tags}
        self.components = {one.ident: one for one in LoomComponent.objects.filter(build=self.build)}

    def check(self) -> bool:
        """Whether every row can be written down; what is wrong stands at its row."""
        untouched = self.rows[-1] if self.rows and self.rows[-1].is_as_offered else None
        self.show_offers()
        wanted = [row for row in self.rows if not row.is_blank and row is not untouched]
        if untouched is not None and wanted:
            self.left_out = untouched.typed("mark")
        ends: dict[str, list[WireEnd]] = {mark: list(tag.ends.all()) for mark, tag in self.tags.items()}
        for row in wanted:
            if row.is_valid():
                self._check(row, ends)
        self.rows = wanted or self.rows
        return bool(wanted) and not any(row.errors for row in wanted)

    def _check(self, row: TagRow, ends: dict[str, list[WireEnd]]) -> None:
        """Where the row's ends sit, and which wire they are of. ``ends`` grows with what the row adds."""
        facts = dict(row.cleaned_data)
        mark, joins, typed = facts["mark"], facts["joins"], facts["other_end"]
        row.here = self._seat(row, "cavity", facts["connector"], facts["cavity"])
        row.there = self._seat(row, "other_end", *_apart(typed, self.components)) if typed else None
        if not mark:
            row.add_error("mark", "Give this row a mark, or clear the whole row.")
        elif mark in ends and not joins:
            row.add_error("mark", f"Tag {mark} is there already; tick that this is its other end, or change it.")
        elif joins and mark not in ends:
            row.add_error("mark", f"No tag {mark} is there to join; take the tick away to start a new wire.")
        elif joins and free_side(ends[mark]) is None:
            row.add_error("mark", f"Both ends of tag {mark} are there already; give this wire another mark.")
        elif joins and typed:
            row.add_error("other_end", f"The other end of tag {mark} is there already; leave this empty.")
        elif joins:
            ends[mark].append(WireEnd(side=free_side(ends[mark]), cavity="?"))
        else:
            sides = [WireEnd.Side.FROM, WireEnd.Side.TO] if typed else [WireEnd.Side.FROM]
            ends[mark] = [WireEnd(side=side, cavity="?") for side in sides]

    def _seat(self, row: TagRow, at: str, connector: str, cavity: str) -> Seat:
        component = self.components.get(connector)
        if component is None:
            return Seat(connector=connector, cavity=cavity)
        kind = KINDS.get(component.kind)
        if cavity and kind is not None and not kind.has_pin(cavity):
            row.add_error(
                at,
                f"{component.ident} has no pin {cavity}; a {component.kind.replace('_', ' ')} has "
                f"{', '.join(kind.pins) or 'pins of letters and figures'}.",
            )
        return Seat(component=component, pin=cavity)

    def save(self) -> list[WireTag]:
        """Write the checked rows down; call it inside ``writing``."""
        saved: dict[str, WireTag] = {}
        for row in self.rows:
            facts = row.cleaned_data
            tag = saved.get(facts["mark"]) or self.tags.get(facts["mark"])
            if tag is None:
                tag = WireTag(
                    build=self.build, mark=facts["mark"], colours=facts["colours"], function=facts["function"]
                )
                tag.save()
                _put(tag, WireEnd.Side.FROM, row.here)
                if row.there is not None:
                    _put(tag, WireEnd.Side.TO, row.there)
            else:
                _join(tag, row)
            saved[tag.mark] = tag
        return list(saved.values())


def free_side(ends: list[WireEnd]) -> WireEnd.Side | None:
    """The side of a wire that a newly found end may take: one that is not there, else one only roughly known."""
    there = {end.side: end for end in ends}
    for side in (WireEnd.Side.TO, WireEnd.Side.FROM):
        if side not in there:
            return side
    rough = [side for side, end in there.items() if not (end.component_id or end.cavity)]
    return WireEnd.Side(rough[-1]) if rough else None


def offer(tag: WireTag) -> str:
    """What a mark that is on record stands for, in a sentence."""
    ends = list(tag.ends.all())
    where = " and ".join(_where(end) for end in ends)
    says = f"Tag {tag.mark} is on record" + (f", {tag.colours}" if tag.colours else "")
    return f"{says}, at {where}." if where else f"{says}, with no end yet."


def _where(end: WireEnd) -> str:
    if end.component is not None:
        return f"{end.component.ident}.{end.pin}" if end.pin else end.component.ident
    return ", cavity ".join(part for part in (end.connector or "a connector", end.cavity) if part)


def _apart(typed: str, components: Mapping[str, LoomComponent]) -> tuple[str, str]:
    """Connector and cavity of “R1.87” (a component's pin) or “blue plug, 3”."""
    ident, dot, pin = typed.strip().partition(".")
    if dot and ident in components:
        return ident, pin.strip()
    connector, comma, cavity = typed.rpartition(",")
    if comma and len(cavity.strip()) <= 20:
        return connector.strip(), cavity.strip()
    return typed.strip(), ""


def _put(tag: WireTag, side: WireEnd.Side, seat: Seat, colours: str = "") -> None:
    end = WireEnd.objects.filter(tag=tag, side=side).first() or WireEnd(build=tag.build, tag=tag, side=side)
    end.component, end.pin = seat.component, seat.pin
    end.connector, end.cavity, end.colours = seat.connector or end.connector, seat.cavity, colours
    end.save()


def _join(tag: WireTag, row: TagRow) -> None:
    """Put the row's end on the wire. Colours that differ from the wire's stay with the end."""
    facts = row.cleaned_data
    side = free_side(list(WireEnd.objects.filter(tag=tag)))
    assert side is not None
    differs = facts["colours"] if tag.colours and facts["colours"] != tag.colours else ""
    tag.colours = tag.colours or facts["colours"]
    tag.function = tag.function or facts["function"]
    tag.save()
    _put(tag, side, row.here, differs)


def pasted_rows(lines: str) -> list[dict[str, str]]:
    """Cells of pasted lines by column, parted by tabs, semicolons or commas; a first line of heads orders them.

    >>> pasted_rows("17\\tGN/YE\\tblue plug\\t3")
    [{'mark': '17', 'colours': 'GN/YE', 'connector': 'blue plug', 'cavity': '3'}]
    >>> pasted_rows("colour; mark\\nBK; 4")
    [{'colours': 'BK', 'mark': '4'}]
    """
    written = [line for line in lines.splitlines() if line.strip()]
    parted = next((mark for mark in "\t;," if any(mark in line for line in written)), "\t")
    try:
        read = list(csv.reader(written, delimiter=parted, skipinitialspace=True))
    except csv.Error:
        raise BadInput("These lines cannot be read; paste one wire a line, its cells parted by tabs.") from None
    table = [[cell.strip() for cell in cells] for cells in read]
    columns: tuple[str, ...] = COLUMNS
    if table and all(cell.casefold() in _HEADS for cell in table[0] if cell) and len(table[0]) > 1:
        columns = tuple(_HEADS.get(cell.casefold(), "") for cell in table.pop(0))
    return [{name: cell for name, cell in zip(columns, cells, strict=False) if name} for cells in table if any(cells)]
