"""What a phone may keep while it has no connection and send later: which views take it, and when it was made."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TypeVar

from django.http import HttpRequest
from django.utils import timezone

from tickover.records.models import Build, ChangeLine, Record, Stint
from tickover.records.stint_at import stint_at
from tickover.units import BadInput

View = TypeVar("View", bound=Callable[..., object])

KINDS = ("reading", "tick", "balloon")
"""What is kept by its form; photos have a door of their own (``send_photo``)."""


def may_wait(kind: str) -> Callable[[View], View]:
    """A view whose form may be kept on the phone and sent later; its form says ``data-outbox="<kind>"``.

    It answers a good form with a redirect, and a bad one with its page or ``BadInput``; it asks ``made_at`` for the
    time and ``stint_then`` for the stint. What overwrites asks ``must_be_newest`` first.
    """

    def mark(view: View) -> View:
        view.may_wait = kind  # type: ignore[attr-defined]
        return view

    return mark


def made_at(request: HttpRequest) -> datetime:
    """When the button was pressed: now, or earlier where it was kept on the phone."""
    made: datetime = getattr(request, "made_at", None) or timezone.now()
    return made


def stint_then(request: HttpRequest, build: Build) -> Stint | None:
    """The stint that was running when the button was pressed."""
    return stint_at(build, made_at(request))


def must_be_newest(request: HttpRequest, record: Record, field: str) -> None:
    """``BadInput`` where ``field`` was changed after the button was pressed: an older tick undoes nothing newer."""
    made = getattr(request, "made_at", None)
    if made is None:
        return
    lines = ChangeLine.objects.filter(kind=record._meta.model_name, record=record.pk, before__has_key=field)
    newer = lines.filter(change__when__gt=made).select_related("change").order_by("-id").first()
    if newer is not None:
        when = timezone.localtime(newer.change.when)
        raise BadInput(
            f"“{record}” was changed at {when:%H:%M on %d %b %Y} ({newer.change.says}), after this was pressed; "
            "look at it, and press again there if it still holds."
        )


LONGEST = timedelta(days=3650)
"""No phone keeps anything longer; a greater age comes from a clock that was wrong."""


def by_age(typed: str) -> datetime:
    """When something was made that is so many seconds old by the phone's own clock, be that right or wrong."""
    try:
        age = min(max(timedelta(seconds=float(typed or 0)), timedelta()), LONGEST)
    except (ValueError, OverflowError):
        raise BadInput(f"“{typed[:20]}” is no age; give the seconds since the button was pressed.") from None
    return timezone.now() - age
