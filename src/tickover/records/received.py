"""What a phone sends is written once, however often it is sent: the mark that the phone gave it says so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.db import transaction

from tickover.records.models import Build, Received
from tickover.units import BadInput


def mark_of(typed: str) -> UUID | None:
    """The mark as it was sent; ``None`` where there is none, ``BadInput`` where it is no UUID."""
    if not typed:
        return None
    try:
        return UUID(typed)
    except ValueError:
        raise BadInput(f"“{typed[:60]}” is no mark; a mark is a UUID (RFC 9562).") from None


def once(build: Build, mark: UUID | None, kind: str, write: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """What ``write`` answered, the first time and every time after it.

    All that ``write`` saves and the note that it was received stand or fall together. The row of the mark is
    made first, so that of two sendings at the same moment the second waits for the first and then reads its answer.
    """
    with transaction.atomic():
        if mark is None:
            return write()
        row, is_new = Received.objects.get_or_create(mark=mark, defaults={"build": build, "kind": kind})
        if is_new:
            row.answer = write()
            row.save(update_fields=["answer"])
        elif row.build_id != build.pk or row.kind != kind:
            raise BadInput(f"The mark {mark} belongs to something else that was sent; give this one its own.")
        answer: dict[str, Any] = row.answer
        return answer
