"""A torque that is in no book: worked out by a sheet, kept with it, and marked as worked out."""

from __future__ import annotations

import re

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from tickover import sheets
from tickover.chapters.fabrication.bolt_torque import YIELD
from tickover.records.models import FastenerSet, SavedSheet
from tickover.shed.base.pages import writing
from tickover.shed.sheets.views import answer, keep
from tickover.standards import threads
from tickover.units import BadInput, show

SHEET = "fabrication.bolt_torque"

_PLAIN_METRIC = re.compile(r"M\s*(\d+(?:\.\d+)?)\s*[x×*]\s*(\d+(?:\.\d+)?)", re.IGNORECASE)


def work_out(request: HttpRequest, set_id: int) -> HttpResponse:
    """The sheet, filled in from what is on record of the set; POST keeps it and takes its torque."""
    record = get_object_or_404(FastenerSet.objects.select_related("build", "holds"), pk=set_id)
    this = sheets.get(SHEET)
    given = request.POST or request.GET
    typed = {key: str(value)[:200] for key, value in given.items()} if given else known_of(record)
    context = answer(record.build, this, typed)
    worked = context["worked"]
    if request.method == "POST" and isinstance(worked, sheets.Worked):
        torque = worked.results["torque"]
        assert torque is not None
        saved = SavedSheet(build=record.build, sheet=this.id, name=str(record)[:160])
        with writing(request, f"{record}: torque worked out"):
            keep(request, saved, context)
            record.torque, record.torque_sheet = torque.value, saved
            record.torque_from = "worked out, not from the book"
            record.save()
        messages.success(request, f"{record}: the torque is worked out, and marked so.")
        return redirect(record)
    if request.method == "POST" and not context["wrong"]:
        context["wrong"] = f"not all that it needs is given: {context.get('missing')}"
    context |= {"chapter": "strip_down", "record": record}
    return render(request, "refitting/torque.html", context, status=422 if request.method == "POST" else 200)


def known_of(record: FastenerSet) -> dict[str, str]:
    """What the set itself says: thread, and the property class where its material names one."""
    typed = {}
    thread = _thread(record.thread)
    if thread:
        typed |= {
            name: show(value, "length", digits=6) for name, value in zip(("diameter", "pitch"), thread, strict=True)
        }
    named = [name for name in YIELD if re.search(rf"(?<![\d.]){re.escape(name)}(?![\d.])", record.material)]
    if named:
        typed["property_class"] = named[-1]
    return typed


def _thread(text: str) -> tuple[float, float] | None:
    """Diameter and pitch in metres of a thread as written on record; None where it cannot be read."""
    try:
        known = threads.designation(re.sub(r"\s*[x×*]\s*", "x", text.strip()))
    except BadInput:
        plain = _PLAIN_METRIC.fullmatch(text.strip())
        return (float(plain[1]) / 1e3, float(plain[2]) / 1e3) if plain else None
    return known.diameter, known.pitch
