"""Labels: what is labelled, on what it is printed, how it will look, and the print as PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from tickover.drawing.labels import STOCKS, Page, Sheet, lay_out, to_pdf, to_svg, without_code
from tickover.records.labels import Labelled, chosen, in_place, labels_of, named, tags_between
from tickover.records.models import Build, FastenerSet, Part, Store, WireTag
from tickover.shed.base.pages import writing
from tickover.shed.labels.address import checked, reached
from tickover.shed.labels.forms import StockForm
from tickover.shed.stores.views import place_named
from tickover.units import BadInput

MOST = 400
"""As many labels are printed at once."""
FOUND = 30
SHOWN = 6
"""As many pages of the print are shown beforehand."""
SETTINGS = ("stock", "start", "right", "down", "wire", "outlines")


@dataclass
class Choice:
    """What the page was asked to label."""

    records: list[Labelled]
    wrong: dict[str, str]
    """The sentence at each field that cannot be used."""


def _choice(build: Build, asked: QueryDict) -> Choice:
    """What is ticked, all that is in a place, and the wire tags from one mark to another, each once."""
    records, wrong = chosen(build, asked.getlist("what")), {}
    if asked.get("in", ""):
        try:
            records += in_place(build, place_named(build, asked["in"]))
        except BadInput as problem:
            wrong["in"] = str(problem)
    first, last = asked.get("from", ""), asked.get("to", "")
    if first or last or "all_tags" in asked:
        tags = tags_between(build, first, last)
        if not tags:
            wrong["from"] = "No wire tag has a mark from there to there; look at the list of wire tags."
        records += tags
    records = list(dict.fromkeys(records))
    if len(records) > MOST:
        wrong["what"] = f"That is {len(records)} labels; at most {MOST} are printed at once: choose a smaller place."
        records = records[:MOST]
    return Choice(records, wrong)


def _found(build: Build, words: str, besides: list[Labelled]) -> list[Labelled]:
    """What can be labelled and holds every word in its name or mark."""
    found: list[Labelled] = []
    for model, fields in ((Store, ("mark", "name")), (Part, ("name", "number")), (FastenerSet, ("name", "thread")),
                          (WireTag, ("mark", "function", "colours"))):  # fmt: skip
        rows = model._default_manager.filter(build=build)
        for word in words.split()[:8]:
            held = model._default_manager.none()
            for field in fields:
                held = held | rows.filter(**{f"{field}__icontains": word})
            rows = held
        found += [row for row in rows.distinct()[:FOUND] if row not in besides]
    return found[:FOUND]


def _settings(request: HttpRequest) -> dict[str, Any]:
    """What was asked for, or what was printed on last at this device."""
    kept: dict[str, Any] = request.session.get("labels", {})
    return {"stock": "a4-3x7", "start": "1"} | {name: kept[name] for name in ("stock", "right", "down") if name in kept}


def _form(request: HttpRequest, build: Build, asked: QueryDict) -> StockForm:
    given = {name: asked[name] for name in SETTINGS if name in asked}
    return StockForm(_settings(request) | given, build=build)


def _pages(request: HttpRequest, build: Build, form: StockForm, records: list[Labelled]) -> tuple[list[Page], int]:
    """The pages of the print, and how many labels found no room for their code."""
    asked = form.cleaned_data
    wire = None if asked["wire"] is None else 1000 * asked["wire"]
    labels = labels_of(build, records, reached(request, build).base, wire=wire)
    pages = lay_out(
        labels,
        STOCKS[asked["stock"]],
        start=asked["start"],
        right=1000 * asked["right"],
        down=1000 * asked["down"],
        outlines=asked["outlines"],
    )
    return pages, len(without_code(labels, pages))


def _print(request: HttpRequest, build: Build) -> list[Page]:
    choice, form = _choice(build, request.GET), _form(request, build, request.GET)
    for sentence in choice.wrong.values():
        raise BadInput(sentence)
    if not form.is_valid():
        raise BadInput(str(next(iter(form.errors.values()))[0]))
    if not choice.records:
        raise BadInput("There is no label to print; choose what to label first.")
    return _pages(request, build, form, choice.records)[0]


@require_safe
def labels(request: HttpRequest, build_id: int) -> HttpResponse:
    return _page(request, get_object_or_404(Build, pk=build_id), request.GET)


def _page(
    request: HttpRequest, build: Build, asked: QueryDict, address: str | None = None, address_wrong: str = ""
) -> HttpResponse:
    """The page for what was asked; ``address`` is what was typed there and could not be used."""
    choice, form = _choice(build, asked), _form(request, build, asked)
    pages: list[Page] = []
    bare, wrong = 0, choice.wrong
    if form.is_valid() and choice.records:
        try:
            pages, bare = _pages(request, build, form, choice.records)
        except BadInput as problem:
            form.add_error("stock", str(problem))
    query = _query(choice.records, form.data)
    words = " ".join(asked.get("q", "").split())
    context = {
        "build": build,
        "chapter": "stores",
        "form": form,
        "chosen": [(named(record), record) for record in choice.records],
        "found": [(named(record), record) for record in (_found(build, words, choice.records) if words else [])],
        "q_what": words,
        "wrong": wrong,
        "asked": asked,
        "from_mark": asked.get("from", ""),
        "reached": reached(request, build),
        "address": build.address if address is None else address,
        "address_wrong": address_wrong,
        "pages": pages,
        "shown": list(enumerate(pages[:SHOWN], start=1)),
        "is_sheet": isinstance(STOCKS.get(form.data.get("stock", "")), Sheet),
        "bare": bare,
        "query": query,
    }
    is_right = not wrong and not address_wrong and form.is_valid()
    return render(request, "labels/labels.html", context, status=200 if is_right else 422)


def _query(records: list[Labelled], data: dict[str, Any]) -> str:
    query = QueryDict(mutable=True)
    query.setlist("what", [named(record) for record in records])
    for name in SETTINGS:
        if data.get(name):
            query[name] = data[name]
    return query.urlencode(safe=":")


@require_safe
def preview(request: HttpRequest, build_id: int) -> HttpResponse:
    """One page of the print as a picture, as it will come out."""
    build = get_object_or_404(Build, pk=build_id)
    pages, number = _print(request, build), request.GET.get("page", "1")
    if not number.isdecimal() or not 1 <= int(number) <= len(pages):
        raise Http404
    response = HttpResponse(to_svg(pages[int(number) - 1]), content_type="image/svg+xml")
    response["Cache-Control"] = "private, max-age=60"
    return response


@require_safe
def pdf(request: HttpRequest, build_id: int) -> HttpResponse:
    """The print. The stock and the printer's correction are the first choice the next time."""
    build = get_object_or_404(Build, pk=build_id)
    pages = _print(request, build)
    request.session["labels"] = {name: request.GET.get(name, "") for name in ("stock", "right", "down")}
    response = HttpResponse(to_pdf(pages, f"Labels, {build}"), content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="labels.pdf"'
    return response


@require_POST
def set_address(request: HttpRequest, build_id: int) -> HttpResponse:
    """Write down where a phone reaches the workshop, and show the same labels again."""
    build = get_object_or_404(Build, pk=build_id)
    query, typed = QueryDict(request.POST.get("query", "")), request.POST.get("address", "")
    try:
        build.address = checked(typed)
    except BadInput as problem:
        return _page(request, build, query, typed, str(problem))
    says = f"Address on labels: {build.address}" if build.address else "No address on labels"
    with writing(request, says):
        build.save()
    messages.success(request, f"{says}.")
    return redirect(f"{reverse('labels', args=[build.pk])}?{query.urlencode()}")


@require_safe
def from_code(request: HttpRequest, letter: str, number: str) -> HttpResponse:
    """What a code opens: its letter is a capital there."""
    return redirect(f"/{letter.lower()}/{number}", permanent=True)
