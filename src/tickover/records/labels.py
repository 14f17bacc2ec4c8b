"""What stands on the label of a place, a part, a fastener set or a wire tag."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from urllib.parse import urlsplit

from tickover import units
from tickover.drawing.labels import Label, over_insulation
from tickover.records.models import Build, FastenerSet, Part, Record, Store, WireTag
from tickover.records.places import Places, as_counted

Labelled = Store | Part | FastenerSet | WireTag
KINDS: dict[str, type[Store] | type[Part] | type[FastenerSet] | type[WireTag]] = {
    "place": Store,
    "part": Part,
    "fasteners": FastenerSet,
    "tag": WireTag,
}
"""What bears a label, by the word that a form names it with: ``part:31``."""

A_WIRE = 2.5
"""Diameter in mm of a wire whose conductor is not known."""


def named(record: Record) -> str:
    """The record as a form names it: ``part:31``."""
    return next(f"{kind}:{record.pk}" for kind, model in KINDS.items() if isinstance(record, model))


def chosen(build: Build, wanted: Sequence[str]) -> list[Labelled]:
    """The records of this build that a form names, in its order; what is not there is left out. Four queries."""
    numbers: dict[str, list[int]] = {}
    for text in wanted:
        kind, _, number = text.partition(":")
        if kind in KINDS and number.isdecimal() and len(number) < 19:
            numbers.setdefault(kind, []).append(int(number))
    found: dict[str, Labelled] = {}
    for kind, pks in numbers.items():
        rows = KINDS[kind]._default_manager.filter(build=build, pk__in=pks)
        if kind == "fasteners":
            rows = rows.select_related("holds")
        found |= {f"{kind}:{row.pk}": row for row in rows}
    return [found[text] for text in dict.fromkeys(wanted) if text in found]


def in_place(build: Build, place: Store) -> list[Labelled]:
    """A place, the places in it, and the parts and fastener sets that lie in any of them."""
    within = Places(build.pk).within(place.pk)
    stores = build.stores.in_bulk(within)
    parts = build.parts.filter(place__in=within)
    sets = build.fastenersets.filter(place__in=within).select_related("holds")
    return [*(stores[number] for number in within), *parts, *sets]


def tags_between(build: Build, first: str, last: str) -> list[WireTag]:
    """Wire tags from one mark to another, both with it, in the order in which marks are counted; empty is no bound."""
    low, high = first.strip(), last.strip()
    marked = sorted(((as_counted(tag.mark), tag.pk, tag) for tag in build.wiretags.all()), key=lambda each: each[:2])
    return [
        tag
        for mark, _, tag in marked
        if (not low or mark >= as_counted(low)) and (not high or mark <= as_counted(high))
    ]


def labels_of(build: Build, records: Iterable[Labelled], base: str, *, wire: float | None = None) -> list[Label]:
    """Each record's label. ``base`` is where a phone reaches the workshop (``http://192.168.1.20:8000``).

    ``wire`` in mm is the diameter that flags are made for; else each wire's own, from its conductor.
    """
    places = Places(build.pk)
    return [
        _label(record, places, base.rstrip("/") + record.get_absolute_url(), wire, build.system) for record in records
    ]


def _label(record: Labelled, places: Places, address: str, wire: float | None, system: str) -> Label:
    short = urlsplit(address).path.strip("/")
    if isinstance(record, Store):
        stands_in = places.says(record.inside_id) if record.inside_id else ""
        name = record.name if record.name != record.mark else ""
        return Label(record.mark, name, _pieces(short, stands_in), address)
    if isinstance(record, WireTag):
        own = over_insulation(record.area * 1e6) if record.area else A_WIRE
        name = " ".join(filter(None, (record.colours, record.function)))
        return Label(record.mark, name, short, address, wire=wire or own)
    lies_in = places.says(record.place_id) if record.place_id else ""
    if isinstance(record, Part):
        count = f" × {record.count}" if record.count > 1 else ""
        number = f"no. {record.number}" if record.number else ""
        return Label("", record.name + count, _pieces(short, number, lies_in), address)
    size = f"{record.count} × {record.thread or 'size unknown'}"
    if record.length is not None:
        size += f", {units.show(record.length, 'length', system=system)}"
    torque = "" if record.torque is None else units.show(record.torque, "torque", system=system, digits=3)
    return Label("", record.name, _pieces(short, size, torque, lies_in), address)


def _pieces(*pieces: str) -> str:
    return " · ".join(piece for piece in pieces if piece)
