"""An inspection at the bike: one reading a screen."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from tickover import units
from tickover.planning.inspections import group_of
from tickover.records.inspecting import dimension_of
from tickover.records.models import Inspection, InspectionLine, Reading
from tickover.records.verdicts import verdict_of
from tickover.shed.base.cautions import inspection as what_it_does_not_replace
from tickover.shed.base.outbox import made_at, may_wait, stint_then
from tickover.shed.base.pages import writing
from tickover.shed.inspection.forms import TakeForm
from tickover.units import DIMENSIONS


def take_next(request: HttpRequest, inspection_id: int) -> HttpResponse:
    """To the first place that is not read yet behind ``after``; to the table where there is none."""
    inspection = get_object_or_404(Inspection, pk=inspection_id)
    after = request.GET.get("after", "")
    return redirect(_next(inspection, int(after) if after.isdecimal() else 0))


def _next(inspection: Inspection, after: int) -> str:
    line = inspection.lines.filter(number__gt=after, reading=None).order_by("number").first()
    table = inspection.get_absolute_url()
    return table if line is None else f"{table}/take/{line.number}"


@may_wait("reading")
def take(request: HttpRequest, inspection_id: int, number: int) -> HttpResponse:
    """One place, large: POST keeps its reading and goes to the next. A reading taken before stays on record."""
    inspection = get_object_or_404(Inspection.objects.select_related("build"), pk=inspection_id)
    lines = list(inspection.lines.select_related("limit", "reading", "part"))
    line = next((one for one in lines if one.number == number), None)
    if line is None and request.method == "POST":
        raise Http404  # a reading that was kept on a phone must not pass for written
    if line is None:
        return redirect(inspection)
    if line.limit is not None:
        line.limit.build = inspection.build
    group = group_of(line.name)
    dimension = dimension_of(line, group)
    form = TakeForm(
        request.POST or None,
        dimension=dimension,
        system=inspection.build.system,
        read_with=group.read_with if group else (),
        initial={"instrument": request.GET.get("with") or _last_instrument(lines, line, dimension)},
    )
    if request.method == "POST" and form.is_valid():
        _keep(request, inspection, line, form)
        return redirect(_next(inspection, number))
    context = {
        "build": inspection.build,
        "chapter": "readings",
        "inspection": inspection,
        "line": line,
        "form": form,
        "place": lines.index(line) + 1,
        "count": len(lines),
        "taken": sum(one.reading_id is not None for one in lines),
        "table": inspection.get_absolute_url(),
        "coming": [
            f"{inspection.get_absolute_url()}/take/{one.number}"
            for one in lines
            if one.number > number and one.reading_id is None
        ],
        "before": max((one.number for one in lines if one.number < number), default=None),
        "unit": DIMENSIONS[dimension].default(inspection.build.system).symbol,
        "verdict": verdict_of(line.limit, line.reading) if line.reading else None,
        "caution": what_it_does_not_replace(inspection.chapter),
    }
    return render(request, "inspection/take.html", context, status=422 if form.is_bound else 200)


def _last_instrument(lines: list[InspectionLine], line: InspectionLine, dimension: str) -> str:
    """What the newest reading here was read with: under the same limit, else of the same kind of quantity."""
    if line.reading is not None and line.reading.instrument:
        return line.reading.instrument
    taken = [one for one in lines if one.reading is not None and one.reading.dimension == dimension]
    taken.sort(key=lambda one: (one.limit_id == line.limit_id, one.reading.taken_at, one.reading.pk))  # type: ignore[union-attr]
    return taken[-1].reading.instrument if taken and taken[-1].reading is not None else ""


def _keep(request: HttpRequest, inspection: Inspection, line: InspectionLine, form: TakeForm) -> None:
    taken = form.cleaned_data["taken"]
    with writing(request, f"{inspection}: “{line.name}” {taken.typed}"[:300]):
        reading = Reading(
            build=inspection.build,
            name=line.name,
            part=line.part,
            limit=line.limit,
            stint=stint_then(request, inspection.build),
            taken_at=made_at(request),
            dimension=form.dimension,
            typed=taken.typed,
            value=taken.value,
            plus_minus=taken.plus_minus,
            instrument=form.cleaned_data["instrument"],
        )
        reading.save()
        if line.reading is None or line.reading.taken_at <= reading.taken_at:
            line.reading = reading
            line.save()
    verdict = verdict_of(line.limit, reading)
    shown = units.show(reading.value, reading.dimension, reading.plus_minus, system=inspection.build.system)
    messages.success(request, f"{line.name}: {shown}{f', {verdict.verdict}' if verdict else ''}.")
