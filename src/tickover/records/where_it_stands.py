"""Where a build stands: what is only finger-tight, only there for now, not known, or waited for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet

from tickover.records.loose_counts import Uneven, uneven
from tickover.records.models import Build, FastenerSet, NeededReading, Part, Purchase, Record, Stint, WireTag
from tickover.records.models.words import Bought, Condition, Joint, Now

SHOWN = 12
"""As many of one kind stand on the bench."""


@dataclass(frozen=True)
class Some:
    """The first of some records, and how many there are."""

    rows: list[Record]
    count: int

    def __iter__(self) -> Iterator[Record]:
        return iter(self.rows)

    def __len__(self) -> int:
        return self.count

    @property
    def more(self) -> int:
        return self.count - len(self.rows)


def some(records: QuerySet[Any], most: int = SHOWN) -> Some:
    """The first records of a query, and how many there are. Two queries."""
    return Some(list(records[:most]), records.order_by().count())


@dataclass(frozen=True)
class Standing:
    """The lists of the bench page. Each holds records that have a page of their own."""

    handover: Stint | None
    finger_tight: Some
    lash_ups: Some
    unknown_tags: int
    unknown_parts: int
    missing_parts: Some
    nowhere: int
    not_measured: int
    to_order: Some
    on_order: Some
    uneven: list[Uneven]

    @property
    def is_empty(self) -> bool:
        return self.handover is None and not any(
            (self.finger_tight, self.lash_ups, self.unknown_tags, self.unknown_parts, self.missing_parts,
             self.nowhere, self.not_measured, self.to_order, self.on_order, self.uneven)
        )  # fmt: skip


def last_handover(build: Build) -> Stint | None:
    """The newest ended stint whose handover says something."""
    ended = Stint.objects.filter(build=build, ended__isnull=False)
    return ended.exclude(stopped_at="", next_up="", not_safe="").order_by("-ended").first()


def one_end_missing(build: Build) -> QuerySet[WireTag]:
    """Wire tags of which fewer than two ends are known."""
    known = Count("ends", filter=Q(ends__component__isnull=False) & ~Q(ends__pin=""))
    return WireTag.objects.filter(build=build).annotate(known=known).filter(known__lt=2).order_by("id")


def standing(build: Build) -> Standing:
    """Everything the bench page lists. The number of queries does not depend on the number of records."""
    parts = Part.objects.filter(build=build)
    purchases = Purchase.objects.filter(build=build).select_related("card", "part")
    lash_ups, tags = some(parts.filter(lash_up=True)), some(WireTag.objects.filter(build=build, lash_up=True))
    return Standing(
        handover=last_handover(build),
        finger_tight=some(FastenerSet.objects.filter(build=build, joint=Joint.FINGER_TIGHT).select_related("holds")),
        lash_ups=Some([*lash_ups, *tags][:SHOWN], len(lash_ups) + len(tags)),
        unknown_tags=one_end_missing(build).count(),
        unknown_parts=parts.filter(condition=Condition.UNKNOWN).count(),
        missing_parts=some(parts.filter(condition=Condition.MISSING)),
        nowhere=parts.filter(place=None, now=Now.IN_STORES).count(),
        not_measured=NeededReading.objects.filter(build=build, reading=None, card__signed_off_at=None).count(),
        to_order=some(purchases.filter(state=Bought.TO_ORDER)),
        on_order=some(purchases.filter(state=Bought.ON_ORDER).order_by("expected_on", "what")),
        uneven=uneven(build)[:SHOWN],
    )
