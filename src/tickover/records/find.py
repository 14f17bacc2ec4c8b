"""One search over everything that is written down."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Case, Q, QuerySet, Value, When

from tickover.records.models import (
    Build,
    FastenerSet,
    JobCard,
    Limit,
    LoomComponent,
    Part,
    Photo,
    Purchase,
    Reading,
    Record,
    Stint,
    Store,
    WireTag,
)

MOST = 40
"""As many records of one kind are shown; the count says how many there are."""


@dataclass(frozen=True)
class Found:
    """The records of one kind that hold every word."""

    kind: str
    count: int
    records: list[Record]


# Which fields of each kind are searched, and what its lines show beside the name.
SEARCHED: list[tuple[type[Record], str, tuple[str, ...], tuple[str, ...]]] = [
    (Part, "Parts", ("name", "number", "remark", "place__name", "place__mark", "chapter", "condition"), ("place",)),
    (FastenerSet, "Fastener sets",
     ("name", "thread", "head", "material", "remark", "holds__name", "place__name", "place__mark", "joint"),
     ("holds", "place")),
    (WireTag, "Wire tags",
     ("mark", "ident", "colours", "function", "remark", "ends__pin", "ends__connector", "ends__component__ident",
      "ends__component__name"), ()),
    (Store, "Places", ("name", "mark", "remark", "inside__name"), ("inside",)),
    (JobCard, "Job cards", ("title", "why", "tools", "remark", "steps__says"), ()),
    (LoomComponent, "Loom components", ("ident", "name", "kind"), ()),
    (Photo, "Photos", ("shows", "balloons__remark", "balloons__part__name", "balloons__tag__mark"), ()),
    (Reading, "Readings", ("name", "typed", "remark", "part__name"), ()),
    (Limit, "Limits", ("name", "source"), ()),
    (Purchase, "Purchases", ("what", "supplier", "remark"), ()),
    (Stint, "Stints", ("aim", "stopped_at", "next_up", "not_safe"), ()),
]  # fmt: skip


def find(build: Build, typed: str) -> list[Found]:
    """Records in which every word that was typed stands somewhere; “tag 17” finds the wire tag of that mark.

    Within a kind, names that begin with what was typed stand first, then names that hold it."""
    words = [word for word in typed.replace("×", "x").split() if word.lower() not in ("the", "of", "a")][:8]
    if not words:
        return []
    found = []
    for model, kind, fields, beside in SEARCHED:
        rows: QuerySet[Record] = model._default_manager.filter(build=build)
        wanted = list(words)
        if model is WireTag and len(words) > 1 and words[0].lower() == "tag":
            rows = rows.filter(mark__iexact=words[1])
            wanted = words[2:]
        for word in wanted:
            anywhere = Q()
            for field in fields:
                anywhere |= Q(**{f"{field}__icontains": word})
            rows = rows.filter(anywhere)
        rows = rows.distinct()
        count = rows.count()
        if count:
            named = fields[0]
            nearest = Case(
                When(**{f"{named}__istartswith": typed}, then=Value(0)),
                When(**{f"{named}__icontains": typed}, then=Value(1)),
                default=Value(2),
            )
            rows = rows.annotate(nearest=nearest).order_by("nearest", named, "id").select_related(*beside)
            found.append(Found(kind, count, list(rows[:MOST])))
    if found and words[0].lower() == "tag":
        found.sort(key=lambda group: group.kind != "Wire tags")
    return found
