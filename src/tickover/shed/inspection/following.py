"""What an inspection adds: parts marked, job cards, purchases; one tap each, or all at once."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from tickover.records import inspecting
from tickover.records.models import Inspection
from tickover.shed.base.pages import writing
from tickover.units import BadInput


@require_POST
def add(request: HttpRequest, inspection_id: int) -> HttpResponse:
    """Write what follows from ``of`` (a part or a place that is outside, or ``all``): ``what`` names it."""
    inspection = get_object_or_404(Inspection.objects.select_related("build"), pk=inspection_id)
    of, _, what = request.POST.get("adds", "").partition(" ")
    failed = inspecting.failed_of(inspection, inspecting.rows_of(inspection))
    chosen = failed if of == "all" else [one for one in failed if one.key == of]
    if not chosen:
        raise BadInput(f"Nothing of “{inspection}” that was chosen is outside its limit now; look at its table again.")
    names = ", ".join(one.name for one in chosen)
    with writing(request, f"{inspection}: added for {names}"[:300]):
        for number, one in enumerate(chosen):
            if number:
                one = next(again for again in _again(inspection) if again.key == one.key)
            inspecting.add(inspection, one, what)
    messages.success(request, f"Added for {names}.")
    return redirect(f"{inspection.get_absolute_url()}#adds")


def _again(inspection: Inspection) -> list[inspecting.Failed]:
    """What is outside, read again: two parts may share a job card that was just written."""
    return inspecting.failed_of(inspection, inspecting.rows_of(inspection))
