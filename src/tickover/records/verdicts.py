"""Readings on record held against the limits on record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import OuterRef, Subquery

from tickover import sheets
from tickover.records.models import Limit, Reading


@dataclass(frozen=True, slots=True)
class Standing:
    """A limit, its newest reading and what the one says about the other."""

    limit: Limit
    reading: Reading | None
    verdict: sheets.Verdict


def verdict_of(limit: Limit | None, reading: Reading | None) -> sheets.Verdict | None:
    """The verdict on a reading against the service limit, or the standard value where there is no other.

    None where there is no limit to hold it against; “not measured” where there is no reading.
    """
    if limit is None:
        return None
    service = limit.service_low is not None or limit.service_high is not None
    return sheets.verdict(
        None if reading is None else reading.value,
        0.0 if reading is None else reading.plus_minus,
        limit.service_low if service else limit.standard_low,
        limit.service_high if service else limit.standard_high,
        on=limit.name,
        quantity=sheets.Quantity(limit.dimension),
        called="service limit" if service else "standard value",
        system=limit.build.system,
    )


def standing(limits: Iterable[Limit]) -> list[Standing]:
    """Each limit with its newest reading, in two queries however many there are."""
    limits = list(limits)
    newest = Reading.objects.filter(limit=OuterRef("pk")).order_by("-taken_at", "-id").values("pk")[:1]
    numbers = dict(
        Limit.objects.filter(pk__in=[limit.pk for limit in limits])
        .annotate(newest=Subquery(newest))
        .values_list("pk", "newest")
    )
    readings = Reading.objects.in_bulk([number for number in numbers.values() if number is not None])
    rows = []
    for limit in limits:
        reading = readings.get(numbers.get(limit.pk) or 0)
        verdict = verdict_of(limit, reading)
        assert verdict is not None
        rows.append(Standing(limit, reading, verdict))
    return rows
