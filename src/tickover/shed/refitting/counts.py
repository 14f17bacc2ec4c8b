"""Loose things: counted out when it comes apart, counted in when it goes together, the difference shouted."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover.records import loose_counts as counting
from tickover.records.models import Build, LooseCount
from tickover.shed.base.cautions import caution_for
from tickover.shed.base.pages import back, record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.refitting.forms import CountInForm, LooseCountForm

A_PAGE = 60


def _get(count_id: int) -> LooseCount:
    return get_object_or_404(LooseCount.objects.select_related("build", "part", "place"), pk=count_id)


def loose_counts(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    rows = LooseCount.objects.filter(build=build).select_related("part", "place")
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "build": build,
        "chapter": "strip_down",
        "page_of": page,
        "uneven": counting.uneven(build),
    }
    return render(request, "refitting/counts.html", context)


def loose_count(request: HttpRequest, count_id: int, form: CountInForm | None = None) -> HttpResponse:
    record = _get(count_id)
    context = {
        "build": record.build,
        "chapter": "strip_down",
        "record": record,
        "says": counting.says(record),
        "form": form or CountInForm(),
        "next": request.POST.get("next") or request.GET.get("next") or "",
        "caution": caution_for(record.part.chapter) if record.part else "",
    }
    return render(request, "refitting/count.html", context, status=422 if form else 200)


@require_POST
def count_in(request: HttpRequest, count_id: int) -> HttpResponse:
    """How many went in; nothing typed with “out again” means that they are out once more."""
    record = _get(count_id)
    if "out_again" in request.POST:
        with writing(request, f"{record}: out again"):
            record.counted_in = None
            record.save()
        return redirect(record)
    form = CountInForm(request.POST)
    if not form.is_valid():
        return loose_count(request, count_id, form)
    record.counted_in = form.cleaned_data["counted_in"]
    with writing(request, f"{record}: {record.counted_in} counted in"):
        record.save()
    if counting.says(record):
        return redirect(record)
    messages.success(request, f"{record}: all {record.counted_in} are in.")
    return back(request, record.get_absolute_url())


def new_loose_count(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    initial = {name: number for name in ("part", "place") if (number := request.GET.get(name, "")).isdecimal()}
    return record_form(
        request,
        LooseCountForm,
        build,
        title="Loose things, counted out",
        button="Counted out",
        chapter="strip_down",
        initial=dict(initial),
    )


def edit_loose_count(request: HttpRequest, count_id: int) -> HttpResponse:
    record = _get(count_id)
    return record_form(request, LooseCountForm, record.build, record=record, title=str(record), chapter="strip_down")


def strike_out_loose_count(request: HttpRequest, count_id: int) -> HttpResponse:
    record = _get(count_id)
    return strike_out(request, record, chapter="strip_down", then=reverse("loose_counts", args=[record.build_id]))
