"""Where a build stands: what is only finger-tight, only there for now, not known, or waited for."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Q

from tickover.records.loose_counts import Uneven, uneven
from tickover.records.models import Build, FastenerSet, NeededReading, Part, Purchase, Record, Stint, WireTag
from tickover.records.models.words import Bought, Condition, Joint, Now


@dataclass(frozen=True)
class Standing:
    """The lists of the bench page. Each holds records that have a page of their own."""

    handover: Stint | None
    finger_tight: list[FastenerSet]
    lash_ups: list[Record]
    unknown_tags: list[WireTag]
    unknown_parts: list[Part]
    missing_parts: list[Part]
    nowhere: list[Part]
    not_measured: list[NeededReading]
    to_order: list[Purchase]
    on_order: list[Purchase]
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


def one_end_missing(build: Build) -> list[WireTag]:
    """Wire tags of which fewer than two ends are known."""
    known = Count("ends", filter=Q(ends__component__isnull=False) & ~Q(ends__pin=""))
    tags = WireTag.objects.filter(build=build).annotate(known=known).filter(known__lt=2)
    return list(tags.order_by("id"))


def standing(build: Build) -> Standing:
    """Everything the bench page lists. The number of queries does not depend on the number of records."""
    parts = Part.objects.filter(build=build).select_related("place")
    lash_ups: list[Record] = [*parts.filter(lash_up=True), *WireTag.objects.filter(build=build, lash_up=True)]
    purchases = Purchase.objects.filter(build=build).select_related("card", "part")
    return Standing(
        handover=last_handover(build),
        finger_tight=list(FastenerSet.objects.filter(build=build, joint=Joint.FINGER_TIGHT).select_related("holds")),
        lash_ups=lash_ups,
        unknown_tags=one_end_missing(build),
        unknown_parts=list(parts.filter(condition=Condition.UNKNOWN)),
        missing_parts=list(parts.filter(condition=Condition.MISSING)),
        nowhere=list(parts.filter(place=None, now=Now.IN_STORES)),
        not_measured=list(
            NeededReading.objects.filter(build=build, reading=None, card__signed_off_at=None).select_related("card")
        ),
        to_order=list(purchases.filter(state=Bought.TO_ORDER)),
        on_order=list(purchases.filter(state=Bought.ON_ORDER).order_by("expected_on", "what")),
        uneven=uneven(build),
    )
