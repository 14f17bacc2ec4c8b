"""Fault-finding at the bike: one question a page, each answer one tap, each step with its reason."""

from __future__ import annotations

import threading

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.chapters.electrics.loom.document import Loom
from tickover.faultfinding import naming, wording
from tickover.faultfinding.complaints import complaints
from tickover.faultfinding.search import Search, kept_after, ruled_out
from tickover.records.as_search import loom_of, search_of
from tickover.records.models import Build, FaultReading, FaultSearch, JobCard, MilestoneReached
from tickover.records.models.words import Milestone
from tickover.shed.base.pages import writing
from tickover.units import BadInput

MOST_SHOWN = 8

_working = threading.Lock()
"""One search is worked out at a time: whoever comes second finds the simulated bikes of the first."""


def _work_ahead(loom: Loom, complaint: str) -> None:
    """Simulate the bike with each of its faults while the builder still reads the list of complaints."""

    def work() -> None:
        with _working:
            _ = Search(loom, complaint).next

    if not _working.locked():
        threading.Thread(target=work, daemon=True, name="fault-finding ahead").start()


def fault_finding(request: HttpRequest, build_id: int) -> HttpResponse:
    """The searches of a build, and what a new one can start from; POST starts one."""
    build = get_object_or_404(Build, pk=build_id)
    context: dict[str, object] = {
        "build": build, "chapter": "fault_finding",
        "searches": [(row, _complaint_in_words(row)) for row in FaultSearch.objects.filter(build=build)[:50]],
    }  # fmt: skip
    wrong = ""
    try:
        loom = loom_of(build)
        if request.method == "POST":
            return _start(request, build, loom)
        context["complaints"] = offered = complaints(loom)
        if offered:
            _work_ahead(loom, offered[0].reading)
    except BadInput as problem:
        wrong = str(problem)
    context |= {"wrong": wrong, "typed": request.POST.get("typed", "")}
    return render(request, "fault_finding/fault_finding.html", context, status=422 if request.method == "POST" else 200)


def _start(request: HttpRequest, build: Build, loom: Loom) -> HttpResponse:
    complaint = (request.POST.get("complaint") or request.POST.get("typed", "")).strip()
    if not complaint:
        raise BadInput(
            "No complaint is chosen; tap one of those below or type a reading such as seen:cranks@KEY=on=no."
        )
    reading = naming.parse_complaint(complaint, loom)
    with writing(request, f"Fault search: {wording.asks(loom, reading.test)} {reading.value}"):
        card = request.POST.get("card", "")
        asked_by = JobCard.objects.filter(build=build, pk=card).first() if card.isdecimal() else None
        search = FaultSearch.objects.create(build=build, complaint=str(reading), card=asked_by)
        tapped = request.POST.get("complaint")
        for said in next((offer.also for offer in complaints(loom) if offer.reading == tapped), ()):
            test, _, value = said.rpartition("=")
            FaultReading.objects.create(
                build=build, search=search, test=test, value=value, ruled_out="Said with the complaint."
            )
    return redirect(search)


def _complaint_in_words(record: FaultSearch) -> str:
    test, _, value = record.complaint.rpartition("=")
    what, _, at = test.removeprefix("seen:").partition("@")
    return f"{what.replace('.', ' ').replace('_', ' ')}: {value}" + (
        f" ({at.replace('=', ' ').replace(',', ', ')})" if at else ""
    )


def fault_search(request: HttpRequest, search_id: int) -> HttpResponse:
    """What is suspected now and the one test to take next; ``?test=`` shows another that was offered."""
    record = get_object_or_404(FaultSearch.objects.select_related("build"), pk=search_id)
    return _page(request, record)


def _page(request: HttpRequest, record: FaultSearch, wrong: str = "", typed: str = "") -> HttpResponse:
    context: dict[str, object] = {
        "build": record.build, "chapter": "fault_finding", "record": record, "wrong": wrong, "typed": typed,
    }  # fmt: skip
    readings = list(record.readings.all())
    try:
        loom = loom_of(record.build)
        with _working:
            search = search_of(record, loom=loom)
            _ = search.next, search.suspects
    except BadInput as problem:
        context |= {"stale": str(problem), "taken": [(row, row.test) for row in readings]}
        return render(request, "fault_finding/search.html", context)
    chosen = request.POST.get("test") or request.GET.get("test", "")
    step = next((offer for offer in search.next if offer.test == chosen), next(iter(search.next), None))
    context |= {
        "asks": wording.asks(loom, search.complaint.test),
        "answer": search.complaint.value,
        "taken": [(row, wording.asks(loom, naming.parse_test(row.test, loom))) for row in readings],
        "search": search,
        "suspects": [_suspect(row) for row in search.suspects[:MOST_SHOWN]],
        "more": max(0, len(search.suspects) - MOST_SHOWN),
        "step": step,
        "figure": step is not None and step.test.startswith(("volts:", "ohms:")),
        "others": [offer for offer in search.next if offer is not step],
        "number": len(readings) + 1,
        "mended_names": [_fault_in_words(search, name) for name in record.found],
    }
    return render(request, "fault_finding/search.html", context, status=422 if wrong else 200)


def _suspect(suspect: object) -> dict[str, object]:
    probability = getattr(suspect, "probability", 0.0)
    return {"row": suspect, "percent": f"{100 * probability:.0f}" if probability >= 0.01 else "under 1"}


def _fault_in_words(search: Search, name: str) -> str:
    return next(
        (wording.hypothesis_name(search.loom, h) for h in search.table.garage.hypotheses if h.name == name),
        name,
    )


@require_POST
def answer(request: HttpRequest, search_id: int) -> HttpResponse:
    """One answer: kept with what it rules out, then the next question."""
    record = get_object_or_404(FaultSearch.objects.select_related("build"), pk=search_id)
    test, value = request.POST.get("test", "").strip(), request.POST.get("value", "").strip()
    if record.mended_at is not None or record.ended is not None:
        messages.info(request, "This search has ended; start another from the fault-finding page.")
        return redirect(record)
    try:
        if not value:
            raise BadInput("No figure is given; type what the meter shows, such as 12.4 V, or tap an answer.")
        loom = loom_of(record.build)
        reading = naming.parse_reading(f"{test}={value}", loom)
        says = "Tells nothing, and is kept so."
        with _working:
            before, after = search_of(record, loom=loom), search_of(record, loom=loom, also=[str(reading)])
            if reading.tells:
                says = ruled_out(before, after)
        with writing(request, f"{wording.asks(loom, reading.test)}: {reading.value}"):
            FaultReading.objects.create(
                build=record.build, search=record, test=str(reading.test),
                value=str(reading).rpartition("=")[2], ruled_out=says,
            )  # fmt: skip
    except BadInput as problem:
        return _page(request, record, wrong=str(problem), typed=value)
    return redirect(record)


@require_POST
def take_back_reading(request: HttpRequest, search_id: int) -> HttpResponse:
    """Strike the last reading out; it may have been the wrong pin."""
    record = get_object_or_404(FaultSearch.objects.select_related("build"), pk=search_id)
    last = record.readings.order_by("-id").first()
    if last is not None and record.mended_at is None:
        with writing(request, f"Taken back in fault-finding: {last}"):
            last.delete()
    return redirect(record)


@require_POST
def mended(request: HttpRequest, search_id: int) -> HttpResponse:
    """What the search found has been mended; next the complaint is tried again."""
    record = get_object_or_404(FaultSearch.objects.select_related("build"), pk=search_id)
    found = search_of(record).found
    if found is None:
        raise BadInput("The search has not found the cause yet; take the next reading first.")
    record.found, record.repair, record.mended_at = list(found.faults), found.repair[:300], timezone.now()
    with writing(request, f"Mended: {found.repair}"):
        record.save()
    return redirect(record)


@require_POST
def tried(request: HttpRequest, search_id: int) -> HttpResponse:
    """The complaint tried again after the repair: gone, or still there; then a search for what is behind begins."""
    record = get_object_or_404(FaultSearch.objects.select_related("build"), pk=search_id)
    if record.mended_at is None or record.cured is not None:
        return redirect(record)
    build = record.build
    record.cured = request.POST.get("still") == "no"
    record.ended = timezone.now()
    if record.cured:
        with writing(request, "Tried again: it is cured"):
            record.save()
            if record.complaint.startswith("seen:fires"):
                _first_start(record)
        return redirect(record)
    search = search_of(record)
    with writing(request, "Tried again: it still does it"):
        record.save()
        after = FaultSearch.objects.create(
            build=build,
            card=record.card,
            complaint=record.complaint,
            mended_before=sorted({*record.mended_before, *record.found}),
        )
        for kept in kept_after(search, record.found):
            test, _, value = kept.rpartition("=")
            FaultReading.objects.create(
                build=build,
                search=after,
                test=test,
                value=value,
                ruled_out="Kept from before the repair: a sound bike shows it too.",
            )
    messages.info(
        request,
        "There is something else behind it. Readings that the repair may have changed were set aside.",
    )
    return redirect(after)


def _first_start(record: FaultSearch) -> None:
    reached = MilestoneReached.objects.filter(build=record.build, milestone=Milestone.FIRST_START)
    if not reached.exists():
        MilestoneReached.objects.create(
            build=record.build,
            milestone=Milestone.FIRST_START,
            shown_by=f"It fires. Mended last: {record.repair}"[:200],
        )


@require_POST
def set_aside(request: HttpRequest, search_id: int) -> HttpResponse:
    """End a search without a finding; it stays on record."""
    record = get_object_or_404(FaultSearch.objects.select_related("build"), pk=search_id)
    record.ended = timezone.now()
    with writing(request, "Fault search set aside"):
        record.save()
    return redirect("fault_finding", record.build_id)
