"""Pages of a wire tag: its mark, what it joins, its colours, and what it is in the loom."""

from __future__ import annotations

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from tickover.records.models import Build, WireEnd, WireTag
from tickover.shed.base.pages import record_form
from tickover.shed.base.strike_out import strike_out
from tickover.shed.strip_down.forms import WireTagForm


def _get(tag_id: int) -> WireTag:
    return get_object_or_404(WireTag.objects.select_related("build"), pk=tag_id)


def wire_tag(request: HttpRequest, tag_id: int) -> HttpResponse:
    record = _get(tag_id)
    kept = {end.side: end for end in record.ends.select_related("component")}
    known = [end for end in kept.values() if end.is_known]
    beside: dict[tuple[int | None, str], list[WireTag]] = {}
    if known:
        pins = Q()
        for end in known:
            pins |= Q(component=end.component_id, pin=end.pin)
        for other in WireEnd.objects.filter(pins).exclude(tag=record).select_related("tag"):
            beside.setdefault((other.component_id, other.pin), []).append(other.tag)
    ends = [
        (side.label, end, beside.get((end.component_id, end.pin), []) if end else [])
        for side in WireEnd.Side
        for end in [kept.get(side)]
    ]
    context = {
        "build": record.build,
        "chapter": "strip_down",
        "record": record,
        "ends": ends,
        "joins": len(known) == 2,
        "lacks": [
            says
            for says, lacking in (
                ("an end", len(known) < 2),
                ("its conductor", record.area is None),
                ("its length", record.length is None),
            )
            if lacking
        ],
        "balloons": record.balloons.select_related("photo"),
        "target": f"tag:{record.pk}",
    }
    return render(request, "strip_down/wire_tag.html", context)


def new_wire_tag(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    marks = [int(mark) for mark in build.wiretags.values_list("mark", flat=True) if mark.isdecimal()]
    return record_form(
        request,
        WireTagForm,
        build,
        title="A wire tag",
        button="Write it down",
        chapter="strip_down",
        template="strip_down/wire_tag_form.html",
        initial={"mark": str(max(marks, default=0) + 1)},
    )


def edit_wire_tag(request: HttpRequest, tag_id: int) -> HttpResponse:
    record = _get(tag_id)
    return record_form(
        request,
        WireTagForm,
        record.build,
        record=record,
        title=f"Tag {record.mark}",
        chapter="strip_down",
        template="strip_down/wire_tag_form.html",
    )


def strike_out_wire_tag(request: HttpRequest, tag_id: int) -> HttpResponse:
    record = _get(tag_id)
    then = reverse("strip_down", args=[record.build_id]) + "?show=tags"
    return strike_out(request, record, chapter="strip_down", then=then)
