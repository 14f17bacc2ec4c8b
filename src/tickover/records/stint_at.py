"""Which stint was running at a time: what is sent later belongs to the stint in which it was made."""

from __future__ import annotations

from datetime import datetime

from tickover.records.models import Build, Stint


def stint_at(build: Build, when: datetime) -> Stint | None:
    """The stint begun last that had not ended at ``when``."""
    begun = Stint.objects.filter(build=build, started__lte=when).order_by("-started")
    return begun.exclude(ended__lt=when).first()
