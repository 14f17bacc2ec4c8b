"""What every record is found by, kept in the transaction that writes the record.

On SQLite the words stand in a full-text table (``records_find``), one row a record, and each distinct word once more in
``records_find_word``, so that a mistyped one finds its nearest. :mod:`tickover.records.history` tells
:class:`Touched` of every record that is written, struck out or taken back; a record's words also hold the names of what
belongs to it (a part's place, a photo's balloons), so those are worked out again with it. Elsewhere there is no such
table and :mod:`tickover.records.find` asks the records themselves.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import connection, models

from tickover.records.find_words import compact, forms, sizes, words
from tickover.records.models import (
    FastenerSet,
    Inspection,
    JobCard,
    Kit,
    Limit,
    LoomComponent,
    LooseCount,
    Part,
    Photo,
    Purchase,
    Reading,
    Record,
    Remark,
    SavedSheet,
    Stint,
    Store,
    WireTag,
)
from tickover.standards import wire
from tickover.units import BadInput

Values = Mapping[str, list[Any]]


def _sizes(values: Values) -> list[str]:
    return sizes(str(values["thread"][0]), values["length"][0])


def _colours(values: Values) -> list[str]:
    """The colour code, and the colours as they are spoken."""
    code = str(values["colours"][0])
    try:
        return [code, *words(wire.spoken(code))] if code else []
    except BadInput:
        return [code]


@dataclass(frozen=True)
class Kind:
    """One kind of record: its names and marks, what else it is found by, and words worked out from these."""

    number: int
    model: type[Record]
    names: tuple[str, ...]
    beside: tuple[str, ...] = ()
    also: Callable[[Values], list[str]] | None = None
    needs: tuple[str, ...] = ()

    @property
    def paths(self) -> tuple[str, ...]:
        return (*self.names, *self.beside)


KINDS = [
    Kind(1, Part, ("name", "number"), ("remark", "place__name", "place__mark", "chapter", "condition")),
    Kind(2, FastenerSet, ("name",),
         ("thread", "head", "material", "preparation", "remark", "holds__name", "place__name", "place__mark", "joint"),
         _sizes, ("thread", "length")),
    Kind(3, WireTag, ("mark", "ident"),
         ("function", "remark", "ends__pin", "ends__connector", "ends__cavity", "ends__component__ident",
          "ends__component__name"), _colours, ("colours",)),
    Kind(4, Store, ("name", "mark"), ("remark", "inside__name", "inside__mark")),
    Kind(5, JobCard, ("title",), ("why", "tools", "consumables", "remark", "steps__says")),
    Kind(6, LooseCount, ("name",), ("remark", "part__name", "place__name", "place__mark")),
    Kind(7, LoomComponent, ("ident", "name"), ("kind",)),
    Kind(8, Limit, ("name",), ("source", "chapter", "part__name")),
    Kind(9, Reading, ("name",), ("typed", "remark", "part__name")),
    Kind(10, Purchase, ("what",), ("supplier", "remark", "part__name")),
    Kind(11, Kit, ("name", "number"), ("remark", "items__name", "items__stamped_old", "items__stamped_new")),
    Kind(12, Inspection, ("name",), ("remark", "lines__name")),
    Kind(13, Remark, ("text",)),
    Kind(14, Photo, ("shows",), ("balloons__remark", "balloons__part__name", "balloons__fasteners__name",
                                 "balloons__tag__mark", "balloons__place__name")),
    Kind(15, Stint, ("aim",), ("stopped_at", "next_up", "not_safe")),
    Kind(16, SavedSheet, ("name", "sheet")),
]  # fmt: skip
"""In the order in which equally near ones stand. A number never changes: the table's row is worked out from it."""

BY_MODEL = {kind.model: kind for kind in KINDS}
BY_NUMBER = {kind.number: kind for kind in KINDS}
KINDS_MOST = 32
AT_ONCE = 400


@dataclass(frozen=True)
class Words:
    """What one record is found by: its names and marks each as one word; the words of these; all other words."""

    build: int
    whole: str
    name: str
    beside: str


def _links() -> tuple[dict[type, list[tuple[Kind, str, str]]], dict[type, list[tuple[Kind, str]]]]:
    """Whose words hold a field of another record, and who holds the words of its own rows (a card its steps)."""
    named: dict[type, list[tuple[Kind, str, str]]] = defaultdict(list)
    owned: dict[type, list[tuple[Kind, str]]] = defaultdict(list)
    for kind in KINDS:
        for path in kind.paths:
            *steps, last = path.split("__")
            model: Any = kind.model
            for number, step in enumerate(steps, 1):
                link: Any = model._meta.get_field(step)
                model = link.related_model
                if number == 1 and link.one_to_many and (kind, link.field.name) not in owned[model]:
                    owned[model].append((kind, link.field.name))
                if number == len(steps):
                    named[model].append((kind, "__".join(steps), last))
    return named, owned


NAMED, OWNED = _links()


class Touched:
    """The records whose words have to be worked out again."""

    def __init__(self) -> None:
        self.own: dict[Kind, set[int]] = defaultdict(set)
        self.renamed: dict[type, set[int]] = defaultdict(set)

    def add(self, record: models.Model, before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> None:
        """A record that was written; ``before`` and ``after`` are all its fields, None where it was not there."""
        model = type(record)
        if model in BY_MODEL:
            self.own[BY_MODEL[model]].add(record.pk)
        for kind, link in OWNED.get(model, ()):
            self.own[kind] |= {state[link] for state in (before, after) if state and state.get(link)}
        if before and after and any(before.get(name) != after.get(name) for _, _, name in NAMED.get(model, ())):
            self.renamed[model].add(record.pk)

    def write(self) -> None:
        """Bring the table up to date; to be called in the transaction that wrote the records."""
        if connection.vendor != "sqlite":
            return
        for model, numbers in self.renamed.items():
            for kind, path in {(kind, path) for kind, path, _ in NAMED[model]}:
                holding = kind.model._base_manager.filter(**{f"{path}__in": numbers})
                self.own[kind] |= set(holding.values_list("pk", flat=True))
        for kind, numbers in self.own.items():
            for some in _in_lots(sorted(numbers)):
                _put(kind, some)
        self.own.clear()
        self.renamed.clear()


def words_of(kind: Kind, rows: models.QuerySet[Any]) -> dict[int, Words]:
    """What the records of one kind are found by, by their numbers. One query."""
    wanted = tuple(dict.fromkeys((*kind.paths, *kind.needs)))
    values: dict[int, dict[str, list[Any]]] = {}
    builds: dict[int, int] = {}
    for number, build, *row in rows.order_by().values_list("pk", "build_id", *wanted):
        builds[number] = build
        kept = values.setdefault(number, {path: [] for path in wanted})
        for path, value in zip(wanted, row, strict=True):
            if value not in kept[path]:
                kept[path].append(value)
    return {number: _words(kind, builds[number], kept) for number, kept in values.items()}


def _words(kind: Kind, build: int, values: Values) -> Words:
    names = [str(value) for path in kind.names for value in values[path] if value]
    also = kind.also(values) if kind.also else []
    called = str(kind.model._meta.verbose_name)
    whole = {compact(text) for text in (*names, *also)}
    whole |= {compact(called.split()[-1] + text) for text in names if len(text) < 12}
    beside = [str(value) for path in kind.beside for value in values[path] if value]
    return Words(build, " ".join(sorted(whole - {""})), _said([*names, *also]), _said([called, *beside]))


def _said(texts: Iterable[str]) -> str:
    found: dict[str, None] = {}
    for text in texts:
        for word in words(text):
            found |= dict.fromkeys([word, *sorted(forms(word))])
    return " ".join(found)


def _in_lots(numbers: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(numbers), AT_ONCE):
        yield numbers[start : start + AT_ONCE]


def _put(kind: Kind, numbers: list[int]) -> None:
    """The rows of these records as they are now; none for those that are gone."""
    found = words_of(kind, kind.model._base_manager.filter(pk__in=numbers))
    with connection.cursor() as cursor:
        cursor.executemany(
            "DELETE FROM records_find WHERE rowid = %s", [(number * KINDS_MOST + kind.number,) for number in numbers]
        )
        cursor.executemany(
            "INSERT INTO records_find (rowid, whole, name, beside, build) VALUES (%s, %s, %s, %s, %s)",
            [
                (number * KINDS_MOST + kind.number, kept.whole, kept.name, kept.beside, kept.build)
                for number, kept in found.items()
            ],
        )
        known = {word for kept in found.values() for word in f"{kept.whole} {kept.name} {kept.beside}".split()}
        cursor.executemany(
            "INSERT OR IGNORE INTO records_find_word (word, plain, size) VALUES (%s, %s, %s)",
            [(word, word.isalpha(), len(word)) for word in known],
        )


def rebuild() -> None:
    """Work out the words of every record: after records were written by other ways than their own ``save``."""
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM records_find")
        cursor.execute("DELETE FROM records_find_word")
    for kind in KINDS:
        for some in _in_lots(list(kind.model._base_manager.order_by("pk").values_list("pk", flat=True))):
            _put(kind, some)


def fill_if_empty(**_: object) -> None:
    """After a migration: a workshop that is older than its index gets one."""
    if connection.vendor != "sqlite" or "records_find" not in connection.introspection.table_names():
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT EXISTS (SELECT 1 FROM records_find)")
        filled = cursor.fetchone()[0]
    if not filled:
        rebuild()
