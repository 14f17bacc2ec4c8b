"""Readings on record held against the limits on record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from tickover import sheets
from tickover.records.models import Limit, Reading


@dataclass(frozen=True, slots=True)
class Standing:
    """A limit, the newest reading of one place, and what the one says about the other."""

    limit: Limit
    reading: Reading | None
    verdict: sheets.Verdict

    @property
    def place(self) -> str:
        """Where the reading was taken, when its name says more than the limit's."""
        return self.reading.name if self.reading is not None and self.reading.name != self.limit.name else ""


def verdict_of(limit: Limit | None, reading: Reading | None, read_with: tuple[str, ...] = ()) -> sheets.Verdict | None:
    """The verdict on a reading against the service limit, or the standard value where there is no other.

    ``read_with`` names the instruments that can take this reading, where only those should be proposed. None where
    there is no limit to hold it against; “not measured” where there is no reading.
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
        quantity=sheets.Quantity(limit.dimension, read_with=read_with),
        called="service limit" if service else "standard value",
        system=limit.build.system,
    )


def standing(limits: Iterable[Limit]) -> list[Standing]:
    """Each limit with the newest reading of every place it was taken at; two queries however many there are.

    Readings under one limit that differ in name ("left bore", "right bore") are places of their own: the newest of
    one must not hide the other.
    """
    limits = list(limits)
    newer = Reading.objects.filter(
        Q(taken_at__gt=OuterRef("taken_at")) | Q(pk__gt=OuterRef("pk")),
        limit=OuterRef("limit"),
        name=OuterRef("name"),
        taken_at__gte=OuterRef("taken_at"),
    )
    newest: dict[int, list[Reading]] = {}
    for reading in Reading.objects.filter(~Exists(newer), limit__in=limits).order_by("name"):
        newest.setdefault(reading.limit_id, []).append(reading)
    rows = []
    for limit in limits:
        for found in newest.get(limit.pk) or [None]:
            verdict = verdict_of(limit, found)
            assert verdict is not None
            rows.append(Standing(limit, found, verdict))
    return rows
