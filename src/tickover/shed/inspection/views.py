"""Inspections of a build, one with its table and what follows, and its form to print."""

from __future__ import annotations

from itertools import groupby

from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from tickover.planning.inspections import all_patterns
from tickover.records import inspecting
from tickover.records.models import Build, Inspection, InspectionLine, Part
from tickover.records.models.words import Chapter
from tickover.shed.base.cautions import caution_for
from tickover.shed.base.cautions import inspection as what_it_does_not_replace
from tickover.shed.base.pages import record_form
from tickover.shed.base.strike_out import strike_out
from tickover.shed.inspection.forms import InspectionForm, PlaceForm

A_PAGE = 40


def inspections(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    begun = build.inspections.annotate(places=Count("lines"), taken=Count("lines__reading")).order_by(
        "-begun_at", "-pk"
    )
    order = list(Chapter.values)
    patterns = sorted(all_patterns().values(), key=lambda one: order.index(one.chapter))
    context = {
        "build": build,
        "chapter": "readings",
        "page_of": Paginator(begun, A_PAGE).get_page(request.GET.get("page")),
        "patterns": [
            (Chapter(name).label, list(group)) for name, group in groupby(patterns, key=lambda one: one.chapter)
        ],
    }
    return render(request, "inspection/inspections.html", context)


def _inspection(inspection_id: int) -> Inspection:
    return get_object_or_404(Inspection.objects.select_related("build"), pk=inspection_id)


def inspection(request: HttpRequest, inspection_id: int) -> HttpResponse:
    record = _inspection(inspection_id)
    rows = inspecting.rows_of(record)
    failed = inspecting.failed_of(record, rows)
    words = [row.word for row in rows]
    context = {
        "build": record.build,
        "chapter": "readings",
        "record": record,
        "rows": inspecting.worst_first(rows),
        "parts": _parts(rows),
        "counts": [(words.count(word), word) for word in inspecting.WORST_FIRST if word in words],
        "untaken": sum(row.line.reading_id is None for row in rows),
        "shapes": inspecting.shapes_of(record, rows, list(record.build.limits.all())),
        "unsettled": [row for row in rows if row.word == "too close to call"],
        "failed": failed,
        "open": [one for one in failed if not one.done],
        "caution": what_it_does_not_replace(record.chapter),
    }
    return render(request, "inspection/inspection.html", context)


def _parts(rows: list[inspecting.Row]) -> list[Part]:
    """The parts that are read, each once, in the order of the lines."""
    return list(dict.fromkeys(row.line.part for row in rows if row.line.part is not None))


def form(request: HttpRequest, inspection_id: int) -> HttpResponse:
    """The form to print: with what was read, or with ``?blank`` for the pencil."""
    record = _inspection(inspection_id)
    rows = inspecting.rows_of(record)
    context = {
        "build": record.build,
        "chapter": "readings",
        "record": record,
        "rows": rows,
        "parts": _parts(rows),
        "blank": "blank" in request.GET,
        "caution": caution_for(record.chapter) or what_it_does_not_replace(record.chapter),
    }
    return render(request, "inspection/form.html", context)


def edit_inspection(request: HttpRequest, inspection_id: int) -> HttpResponse:
    record = _inspection(inspection_id)
    return record_form(request, InspectionForm, record.build, record=record, title=f"Edit {record}", chapter="readings")


def strike_out_inspection(request: HttpRequest, inspection_id: int) -> HttpResponse:
    record = _inspection(inspection_id)
    return strike_out(request, record, chapter="readings", then=reverse("inspections", args=[record.build_id]))


def _place(inspection_id: int, line_id: int) -> InspectionLine:
    return get_object_or_404(
        InspectionLine.objects.select_related("build", "inspection"), pk=line_id, inspection=inspection_id
    )


def edit_place(request: HttpRequest, inspection_id: int, line_id: int) -> HttpResponse:
    """Another name, limit or part for a place; its reading stays."""
    line = _place(inspection_id, line_id)
    return record_form(request, PlaceForm, line.build, record=line, title=line.name, chapter="readings")


def strike_out_place(request: HttpRequest, inspection_id: int, line_id: int) -> HttpResponse:
    line = _place(inspection_id, line_id)
    return strike_out(request, line, chapter="readings", then=line.inspection.get_absolute_url())
