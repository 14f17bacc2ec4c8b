"""Loose things that were counted out: which do not come out even, and how that is said."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from tickover.records.models import Build, LooseCount
from tickover.records.models.words import Now

_ON = (Now.ON_THE_BIKE, Now.FITTED)


@dataclass(frozen=True)
class Uneven:
    """A count that does not come out even, and the sentence that is shouted."""

    count: LooseCount
    says: str


def says(count: LooseCount) -> str:
    """What is wrong with a count, in one sentence; empty where it is even or its part is still off."""
    difference = count.difference
    if difference is None:
        if count.part is None or not count.part.is_on:
            return ""
        return f"{_of(count.counted_out)} came out and not one is counted in, but the {count.part} is on."
    if difference == 0:
        return ""
    odd = f"{-difference} missing" if difference < 0 else f"{difference} too many"
    return f"{odd}: {_of(count.counted_out)} came out, {count.counted_in} went in."


def _of(number: int) -> str:
    return "None" if number == 0 else str(number)


def uneven(build: Build) -> list[Uneven]:
    """Every count of a build that does not come out even. One query."""
    rows = LooseCount.objects.filter(build=build).select_related("part")
    return of(
        rows.filter(
            ~Q(counted_in=F("counted_out")) & Q(counted_in__isnull=False) | Q(counted_in=None, part__now__in=_ON)
        )
    )


def of(rows: QuerySet[LooseCount]) -> list[Uneven]:
    """Those of ``rows`` that do not come out even."""
    return [Uneven(count, sentence) for count in rows.select_related("part") if (sentence := says(count))]
