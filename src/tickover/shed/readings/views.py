"""Chapter 5, the readings: standard value, service limit, newest reading and its verdict."""

from __future__ import annotations

from itertools import groupby

from django.core.paginator import Page, Paginator
from django.db.models import Exists, OuterRef, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from tickover.records.models import Build, KitItem, Limit, Reading, SavedSheet
from tickover.records.models.words import Chapter, in_chapter_order
from tickover.records.remembered import as_long_as_nothing_changes
from tickover.records.verdicts import Standing, standing, verdict_of
from tickover.shed.base.cautions import inspection
from tickover.shed.base.outbox import may_wait, stint_then
from tickover.shed.base.pages import record_form
from tickover.shed.base.strike_out import strike_out
from tickover.shed.readings.forms import LimitForm, ReadingForm, now_typed
from tickover.standards.instruments import INSTRUMENTS

A_PAGE = 20
LIMITS = 30
"""Limits on one page."""


def readings(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    limits = build.limits.select_related("build", "part").order_by(in_chapter_order(), "name", "pk")
    limits_page = Paginator(limits, LIMITS).get_page(request.GET.get("limits"))
    rows = standing(limits_page.object_list)
    by_chapter = [
        (Chapter(name).label, list(group)) for name, group in groupby(rows, key=lambda row: row.limit.chapter)
    ]
    taken = build.readings.select_related("part", "limit")
    context = {
        "build": build,
        "chapter": "readings",
        "by_chapter": by_chapter,
        "caution": next((says for row in rows if (says := inspection(row.limit.chapter))), ""),
        "limits_page": limits_page,
        "unmeasured": as_long_as_nothing_changes((build.pk, "unmeasured"), lambda: _unmeasured(build)),
        "page_of": Paginator(taken, A_PAGE).get_page(request.GET.get("page")),
    }
    return render(request, "readings/readings.html", context)


def _unmeasured(build: Build) -> int:
    return build.limits.filter(~Exists(Reading.objects.filter(limit=OuterRef("pk")))).count()


def reading(request: HttpRequest, reading_id: int) -> HttpResponse:
    record = get_object_or_404(Reading.objects.select_related("build", "part", "limit__build", "stint"), pk=reading_id)
    verdict = verdict_of(record.limit, record)
    context = {
        "build": record.build,
        "chapter": "readings",
        "record": record,
        "verdict": verdict,
        "caution": inspection(record.limit.chapter if record.limit else record.part.chapter if record.part else ""),
        "standing": [Standing(record.limit, record, verdict)] if record.limit and verdict else [],
        "instrument": INSTRUMENTS.get(record.instrument),
        "uncertainty_dimension": difference_of(record.dimension),
        "jobs": record.answers.select_related("card"),
        "inspected": record.inspection_lines.select_related("inspection"),
        "of_kits": KitItem.objects.filter(Q(old=record) | Q(new=record)).select_related("kit"),
        "sheets": [sheet for sheet in record.build.savedsheets.all() if _stands_on(sheet, record)],
        "others": record.limit.readings.exclude(pk=record.pk).select_related("part")[:12] if record.limit else [],
    }
    return render(request, "readings/reading.html", context)


def difference_of(dimension: str) -> str:
    """The dimension an uncertainty is shown in: a temperature's is a difference of temperatures."""
    return "temperature_difference" if dimension == "temperature" else dimension


def _stands_on(sheet: SavedSheet, reading: Reading) -> bool:
    return any(taken.get("reading") == reading.pk for taken in sheet.readings.values())


def _numbers(request: HttpRequest, *names: str) -> dict[str, object]:
    """Numbers of records that a link has put into the address, for a form's first showing."""
    return {name: number for name in names if (number := request.GET.get(name, "")).isdecimal()}


@may_wait("reading")
def new_reading(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    initial = {"taken_at": now_typed()} | _numbers(request, "part", "limit")
    return record_form(
        request,
        ReadingForm,
        build,
        record=Reading(build=build, stint=stint_then(request, build)),
        title="A reading",
        button="Reading taken",
        chapter="readings",
        initial=initial,
        template="readings/form.html",
    )


def edit_reading(request: HttpRequest, reading_id: int) -> HttpResponse:
    record = get_object_or_404(Reading.objects.select_related("build"), pk=reading_id)
    return record_form(
        request,
        ReadingForm,
        record.build,
        record=record,
        title=record.name,
        chapter="readings",
        template="readings/form.html",
    )


def strike_out_reading(request: HttpRequest, reading_id: int) -> HttpResponse:
    record = get_object_or_404(Reading.objects.select_related("build"), pk=reading_id)
    return strike_out(request, record, chapter="readings", then=reverse("readings", args=[record.build_id]))


def limit(request: HttpRequest, limit_id: int) -> HttpResponse:
    record = get_object_or_404(Limit.objects.select_related("build", "part"), pk=limit_id)
    page_of: Page[Reading] = Paginator(record.readings.all(), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "build": record.build,
        "chapter": "readings",
        "record": record,
        "kind": record.dimension.replace("_", " "),
        "caution": inspection(record.chapter),
        "standing": standing([record]),
        "page_of": page_of,
        "taken": [(reading, _read_with(reading), verdict_of(record, reading)) for reading in page_of.object_list],
        "jobs": record.needed.select_related("card"),
    }
    return render(request, "readings/limit.html", context)


def _read_with(reading: Reading) -> str:
    instrument = INSTRUMENTS.get(reading.instrument)
    return instrument.name if instrument else "not known"


def new_limit(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    return record_form(
        request,
        LimitForm,
        build,
        title="A limit",
        button="Write it down",
        chapter="readings",
        initial=_numbers(request, "part"),
        template="readings/form.html",
    )


def edit_limit(request: HttpRequest, limit_id: int) -> HttpResponse:
    record = get_object_or_404(Limit.objects.select_related("build"), pk=limit_id)
    return record_form(
        request,
        LimitForm,
        record.build,
        record=record,
        title=record.name,
        chapter="readings",
        template="readings/form.html",
    )


def strike_out_limit(request: HttpRequest, limit_id: int) -> HttpResponse:
    record = get_object_or_404(Limit.objects.select_related("build"), pk=limit_id)
    return strike_out(request, record, chapter="readings", then=reverse("readings", args=[record.build_id]))
