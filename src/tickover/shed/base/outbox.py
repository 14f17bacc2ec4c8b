"""What a phone may keep while it has no connection and send later: which views take it, and when it was made."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from django.http import HttpRequest
from django.utils import timezone

from tickover.records.models import Build, Stint

View = TypeVar("View", bound=Callable[..., object])

KINDS = ("reading", "tick", "balloon")
"""What is kept by its form; photos have a door of their own (``send_photo``)."""


def may_wait(kind: str) -> Callable[[View], View]:
    """A view whose form may be kept on the phone and sent later; its form says ``data-outbox="<kind>"``.

    It answers a good form with a redirect, and a bad one with its page or ``BadInput``; it asks ``made_at`` for the
    time and ``stint_then`` for the stint.
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
    made = made_at(request)
    begun = Stint.objects.filter(build=build, started__lte=made).order_by("-started")
    return next((stint for stint in begun[:5] if stint.ended is None or stint.ended >= made), None)
