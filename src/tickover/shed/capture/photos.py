"""One photo sent from a phone: kept, filed, and answered for, exactly once."""

from __future__ import annotations

from typing import Any, BinaryIO, cast

from django.http import HttpRequest, JsonResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from tickover.records import photo_files
from tickover.records.by_kind import record_of
from tickover.records.models import Build
from tickover.records.received import mark_of, once
from tickover.records.taking_in import Taken, take_in
from tickover.shed.base.outbox import by_age
from tickover.shed.base.pages import writing
from tickover.shed.capture.uploads import dropped, too_large
from tickover.units import BadInput


@require_POST
def send_photo(request: HttpRequest, build_id: int) -> JsonResponse:
    """Fields: ``photo``; optional ``mark`` (UUID), ``age`` (seconds that it waited on the phone), ``shows``, and
    ``on_kind`` with ``on_record`` (what it was taken of)."""
    build = get_object_or_404(Build, pk=build_id)
    try:
        return JsonResponse(_receive(request, build))
    except BadInput as problem:
        return JsonResponse({"says": str(problem)}, status=422)


def _receive(request: HttpRequest, build: Build) -> dict[str, Any]:
    mark = mark_of(request.POST.get("mark", ""))
    when = by_age(request.POST.get("age", ""))
    kind, number = request.POST.get("on_kind", ""), request.POST.get("on_record", "")
    of = record_of(build, kind, number) if kind or number else None
    shows = request.POST.get("shows", "").strip()
    if len(shows) > 200 or "\0" in shows:
        raise BadInput("What it shows is longer than 200 letters; say it shorter.")
    upload = request.FILES.get("photo")
    for name in dropped(request):
        raise BadInput(too_large(name))
    if upload is None:
        raise BadInput("No picture came with it; choose one and send it again.")
    kept = photo_files.keep(cast(BinaryIO, upload), upload.name or "photo")

    def write() -> dict[str, Any]:
        with writing(request, f"A photo of {of}"[:300] if of else "A photo"):
            taken = take_in(build, kept, shows=shows, of=of, when=when)
        return {"photo": taken.photo.pk, "address": taken.photo.get_absolute_url(), "says": in_words(taken)}

    return once(build, mark, "photo", write)


def in_words(taken: Taken) -> str:
    """What became of a photo, in a sentence or two."""
    says = f"Kept: {taken.photo}." if taken.is_new else f"The same picture is here already: {taken.photo}."
    if taken.labels:
        says += f" Its label was read: filed with {', '.join(str(record) for record in taken.labels)}."
    return says
