"""Beginning an inspection: from a pattern, or by hand; and adding places to one."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from tickover.planning import inspections as patterns
from tickover.records import inspecting
from tickover.records.from_template import names_like
from tickover.records.models import Build, Inspection, InspectionLine
from tickover.shed.base.cautions import caution_for
from tickover.shed.base.pages import writing
from tickover.shed.inspection.forms import BeginForm, ByHandForm, PlacesForm
from tickover.units import BadInput


def begin(request: HttpRequest, build_id: int, pattern_id: str) -> HttpResponse:
    """What a pattern reads on this bike, against which limits; POST begins it, as one change."""
    build = get_object_or_404(Build, pk=build_id)
    try:
        pattern = patterns.get(pattern_id)
    except BadInput as problem:
        raise Http404(str(problem)) from problem
    initial = {"each": names_like(build, pattern.each, pattern.each_usual)} if pattern.each else {}
    form = BeginForm(request.POST or None, build=build, pattern=pattern, initial=initial)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        with writing(request, f"Inspection begun: {given['name']}"[:300]):
            limits = [
                new.save() if form.written(number) else given[f"limit-{number}"]
                for number, new in enumerate(form.new_limits)
            ]
            inspection = inspecting.begin(build, pattern, given.get("each") or [""], given["name"], limits)
        return redirect(inspection)
    context = {
        "build": build,
        "chapter": "readings",
        "pattern": pattern,
        "form": form,
        "caution": caution_for(pattern.chapter),
    }
    return render(request, "inspection/begin.html", context, status=422 if form.is_bound else 200)


def by_hand(request: HttpRequest, build_id: int) -> HttpResponse:
    """An inspection of the builder's own places."""
    build = get_object_or_404(Build, pk=build_id)
    form = ByHandForm(request.POST or None, build=build)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        with writing(request, f"Inspection begun: {given['name']}"[:300]):
            inspection = Inspection(build=build, name=given["name"], chapter=given["chapter"])
            inspection.save()
            _add_places(inspection, form, 1)
        return redirect(inspection)
    return _form(request, build, form, "An inspection by hand", "Begin it", reverse("inspections", args=[build.pk]))


def more_places(request: HttpRequest, inspection_id: int) -> HttpResponse:
    """Add places at the end of an inspection."""
    inspection = get_object_or_404(Inspection.objects.select_related("build"), pk=inspection_id)
    form = PlacesForm(request.POST or None, build=inspection.build)
    if request.method == "POST" and form.is_valid():
        last = inspection.lines.order_by("number").last()
        with writing(request, f"{inspection}: places added"[:300]):
            _add_places(inspection, form, last.number + 1 if last else 1)
        return redirect(inspection)
    return _form(
        request, inspection.build, form, f"More places: {inspection}", "Add them", inspection.get_absolute_url()
    )


def _add_places(inspection: Inspection, form: PlacesForm, first: int) -> None:
    limit, part = form.cleaned_data["limit"], form.cleaned_data["part"]
    for number, place in enumerate(form.cleaned_data["places"], start=first):
        InspectionLine(
            build=inspection.build,
            inspection=inspection,
            number=number,
            name=place,
            limit=limit,
            part=part or (limit.part if limit else None),
        ).save()


def _form(request: HttpRequest, build: Build, form: PlacesForm, title: str, button: str, leave: str) -> HttpResponse:
    context = {
        "build": build,
        "chapter": "readings",
        "form": form,
        "title": title,
        "button": button,
        "leave": leave,
    }
    return render(request, "inspection/places.html", context, status=422 if form.is_bound else 200)
