"""Pages of a wire tag: its mark, what it joins, its colours, and what it is in the loom."""

from __future__ import annotations

from django.contrib import messages
from django.db import IntegrityError
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover.records.marks import first_free
from tickover.records.models import Build, WireEnd, WireTag
from tickover.shed.base.pages import back, record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.strip_down import tag_lists
from tickover.shed.strip_down.balloons import newest_balloons
from tickover.shed.strip_down.forms import WireTagForm
from tickover.shed.strip_down.tag_rows import MOST_ROWS, Rows, offer
from tickover.units import BadInput


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
        "differing": tag_lists.differing(record),
        "balloons": newest_balloons(record),
        "target": f"tag:{record.pk}",
    }
    return render(request, "strip_down/wire_tag.html", context)


def new_wire_tag(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    return record_form(
        request,
        WireTagForm,
        build,
        title="A wire tag",
        button="Write it down",
        chapter="strip_down",
        template="strip_down/wire_tag_form.html",
        initial={"mark": first_free(build.wiretags.values_list("mark", flat=True))},
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


@require_POST
def mend_wire_tag(request: HttpRequest, tag_id: int) -> HttpResponse:
    """Mend what is missing of a tag: what it may be, one colour, a splice where the colour changes, its other end."""
    record = _get(tag_id)
    how = request.POST.get("how", "")
    with writing(request, f"Tag {record.mark}: {_MENDS.get(how, '')}"):
        if how == "function":
            done = tag_lists.name_function(record, request.POST.get("function", "").replace("\0", ""))
        elif how == "colour":
            done = tag_lists.one_colour(record, request.POST.get("colours", ""))
        elif how == "splice":
            done = tag_lists.put_splice_between(record)
        elif how == "same":
            other = get_object_or_404(record.build.wiretags, pk=_number(request.POST.get("other", "")))
            done = tag_lists.same_wire(record, other)
        else:
            raise BadInput(f"Say what is to be mended of tag {record.mark}: its function, colour, splice or other end.")
    messages.success(request, done)
    return back(request, record.get_absolute_url())


_MENDS = {
    "function": "what it may be",
    "colour": "one colour at both ends",
    "splice": "a splice where its colour changes",
    "same": "its other end joined",
}


def _number(typed: str) -> int:
    return int(typed) if typed.isdecimal() and len(typed) < 18 else 0


def many_wire_tags(request: HttpRequest, build_id: int) -> HttpResponse:
    """A whole connector or branch of the loom: rows of wire ends, written down all together or not at all."""
    build = get_object_or_404(Build, pk=build_id)
    rows = Rows.typed(build, request.POST) if request.method == "POST" else Rows(build, [])
    lines, wrong, pasted_wrong = request.POST.get("lines", ""), "", ""
    if request.method != "POST":
        rows.offer_next(request.GET.get("mark", "")[:20])
        rows.show_offers()
    elif "another" in request.POST:
        if len(rows.rows) >= MOST_ROWS:
            wrong = f"A page holds {MOST_ROWS} rows; write these down first."
        else:
            row = rows.offer_next()
            if request.headers.get("HX-Request"):
                return render(request, "strip_down/tag_row.html", {"build": build, "row": row, "is_new": True})
        rows.show_offers()
    elif "paste" in request.POST:
        try:
            rows.take_in(lines)
            lines = ""
        except BadInput as problem:
            pasted_wrong = str(problem)
        if not rows.rows:
            rows.offer_next()
        rows.show_offers()
    elif rows.check():
        try:
            return _write_down(request, build, rows)
        except IntegrityError:
            wrong = "One of these marks was taken by somebody else in the meantime; press the button again."
    elif not any(row.errors for row in rows.rows):
        wrong = "Nothing is written in the rows yet; give the first wire’s colours or where its other end is."
        rows.show_offers()
    context = {
        "build": build,
        "chapter": "strip_down",
        "rows": rows.rows or [rows.offer_next()],
        "lines": lines,
        "wrong": wrong,
        "pasted_wrong": pasted_wrong,
        "connectors": _connectors(build),
    }
    refused = request.method == "POST" and not ({"another", "paste"} & request.POST.keys() and not pasted_wrong)
    return render(request, "strip_down/many_wire_tags.html", context, status=422 if refused else 200)


def _write_down(request: HttpRequest, build: Build, rows: Rows) -> HttpResponse:
    marks = list(dict.fromkeys(row.cleaned_data["mark"] for row in rows.rows))
    named = f"tag {marks[0]}" if len(marks) == 1 else f"{len(marks)} wire tags, {marks[0]} to {marks[-1]}"
    with writing(request, f"Written down: {named}"):
        rows.save()
    left = f" The last row, tag {rows.left_out}, was as it was offered and is left out." if rows.left_out else ""
    messages.success(request, f"Written down: {named}.{left}")
    return redirect(f"{reverse('strip_down', args=[build.pk])}?show=tags")


def _connectors(build: Build) -> list[str]:
    """Names of connectors that are on record, to choose from while typing."""
    named = WireEnd.objects.filter(build=build).exclude(connector="").order_by("connector")
    return list(named.values_list("connector", flat=True).distinct()[:100])


def wire_mark(request: HttpRequest, build_id: int, number: int) -> HttpResponse:
    """What the mark typed in a row stands for already, with the offer to join it."""
    build = get_object_or_404(Build, pk=build_id)
    rows = Rows.typed(build, {key: value for key, value in request.GET.items() if key == f"{number}-mark"})
    tag = build.wiretags.filter(mark=rows.rows[0].typed("mark") if rows.rows else "").prefetch_related("ends").first()
    for row in rows.rows:
        row.offer = offer(tag) if tag else ""
    return render(request, "strip_down/tag_offer.html", {"row": rows.rows[0] if rows.rows else None})
