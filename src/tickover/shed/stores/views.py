"""Chapter 3, the stores: which place stands in which, and what lies where."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeVar, cast

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.db.models import F, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover.records.models import Build, FastenerSet, LooseCount, Part, Record, Store
from tickover.records.models.words import Joint, Now
from tickover.records.places import KEPT, Kept, Places, by_mark, is_mark, places_of
from tickover.records.remembered import as_long_as_nothing_changes
from tickover.shed.base.choosing import resolve
from tickover.shed.base.pages import record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.stores.forms import StoreForm
from tickover.shed.strip_down.balloons import newest_balloons
from tickover.units import BadInput

R = TypeVar("R", bound=Record)
THINGS: dict[str, type[Part] | type[FastenerSet] | type[LooseCount]] = {
    "part": Part,
    "fasteners": FastenerSet,
    "count": LooseCount,
}
"""What can lie in a place, by the word that a form names it with: ``part:31``."""
A_PAGE = 40
FOUND = 20


@dataclass
class Row:
    """A place in the tree: what lies in it, in it and all that it holds, and what stands in it where that is shown."""

    number: int
    name: str
    here: int
    within: int
    holds: int
    rows: list[Row] = field(default_factory=list)

    @property
    def address(self) -> str:
        return Store.address_of(self.number)


def _rows(places: Places, counts: tuple[dict[int, int], dict[int, int]], numbers: list[int]) -> list[Row]:
    here, within = counts
    return [
        Row(number, places.called[number], here[number], within[number], len(places.holds.get(number, ())))
        for number in numbers
    ]


def tree(places: Places) -> list[Row]:
    """The outermost places, and what stands in each of them; the next level is asked for when one is opened."""
    counts = places.counts
    rows = _rows(places, counts, places.holds.get(None, []))
    for row in rows:
        row.rows = _rows(places, counts, places.holds.get(row.number, []))
    return rows


def nowhere(build: Build) -> list[QuerySet[Part] | QuerySet[FastenerSet] | QuerySet[LooseCount]]:
    """Parts in stores, fastener sets out of their joint and things counted out, whose place is not known."""
    return [
        build.parts.filter(now=Now.IN_STORES, place=None),
        build.fastenersets.filter(joint=Joint.APART, place=None).select_related("holds"),
        build.loosecounts.filter(counted_in=None, place=None).select_related("part"),
    ]


def _names(things: list[Kept]) -> list[tuple[str, Kept]]:
    """Each thing with what a form names it by."""
    words = {model: word for word, model in THINGS.items()}
    return [(f"{words[type(thing)]}:{thing.pk}", thing) for thing in things]


def stores(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    words = " ".join(request.GET.get("mark", "").split())
    found = by_mark(build.pk, words)
    if found and is_mark(found[0], words) and not (len(found) > 1 and is_mark(found[1], words)):
        return redirect(found[0])
    places = places_of(build.pk)
    lost: list[Kept] = []
    count = as_long_as_nothing_changes((build.pk, "nowhere"), lambda: sum(rows.count() for rows in nowhere(build)))
    for rows in nowhere(build):
        lost += rows[: FOUND - len(lost)]
    context = {
        "build": build,
        "chapter": "stores",
        "rows": tree(places),
        "count": len(places.inside),
        "words": words,
        "found": found,
        "lost": _names(lost),
        "lost_count": count,
        "places": places,
    }
    return render(request, "stores/stores.html", context)


def holds(request: HttpRequest, store_id: int) -> HttpResponse:
    """What stands in a place, as the next level of the tree."""
    record = get_object_or_404(Store, pk=store_id)
    places = places_of(record.build_id)
    rows = _rows(places, places.counts, places.holds.get(record.pk, []))
    return render(request, "stores/branch.html", {"rows": rows})


@dataclass(frozen=True)
class Lying:
    """A thing that lies in a place, or in one that stands in it."""

    name: str
    thing: Kept
    place: int
    inner: str
    """The places within, down to the one it lies in: “bag 12”; empty where it lies in the place itself."""


def _lying(
    record: Store, places: Places, within: list[int], words: str, page: str | None
) -> tuple[Page[int], list[Lying]]:
    """One page of what lies in these places: parts, then fastener sets, then counts, each in the order of names."""
    everywhere = len(within) == len(places.inside)
    lies_there = Q(place__isnull=False) if everywhere else Q(place__in=within)
    kinds: list[QuerySet[Part] | QuerySet[FastenerSet] | QuerySet[LooseCount]] = [
        _holding(model._default_manager.filter(lies_there, build=record.build_id), words) for model in KEPT
    ]
    if words:
        counts = [rows.count() for rows in kinds]
    else:
        counts = [sum(places.lying[model].get(number, 0) for number in within) for model in KEPT]
    shown: Page[int] = Paginator(range(sum(counts)), A_PAGE).get_page(page)
    start, end = (shown.object_list[0], shown.object_list[-1] + 1) if shown.object_list else (0, 0)
    things: list[Kept] = []
    for rows, count in zip(kinds, counts, strict=True):
        if start < count and end > 0:
            things += rows[max(start, 0) : min(end, count)]
        start, end = start - count, end - count
    return shown, [
        Lying(name, thing, thing.place_id, places.says(thing.place_id, below=record.pk))
        for name, thing in _names(things)
    ]


def _holding(rows: QuerySet[R], words: str) -> QuerySet[R]:
    """The rows in which every word stands somewhere."""
    extra = {Part: "number", FastenerSet: "thread", LooseCount: "remark"}[rows.model]  # type: ignore[index]
    for word in words.split()[:8]:
        rows = rows.filter(Q(name__icontains=word) | Q(**{f"{extra}__icontains": word}) | Q(remark__icontains=word))
    return rows


def _elsewhere(record: Store, words: str) -> tuple[list[Kept], bool]:
    """What could be put in: off the bike and not in this place, nowhere first; whether there is more of it."""
    found: list[Kept] = []
    build = record.build
    for rows in (
        build.parts.exclude(now__in=[Now.ON_THE_BIKE, Now.FITTED]),
        build.fastenersets.filter(joint=Joint.APART).select_related("holds"),
        build.loosecounts.filter(counted_in=None),
    ):
        rows = _holding(rows.filter(Q(place=None) | ~Q(place=record)), words)
        found += rows.order_by(F("place").asc(nulls_first=True), "name", "pk")[: FOUND + 1]
    found.sort(key=lambda thing: thing.place_id is not None)
    return found[:FOUND], len(found) > FOUND


def store(request: HttpRequest, store_id: int) -> HttpResponse:
    record = get_object_or_404(Store.objects.select_related("build", "inside"), pk=store_id)
    build, places = record.build, places_of(record.build_id)
    within = places.within(record.pk)
    words, more_words = (" ".join(request.GET.get(name, "").split()) for name in ("q", "into"))
    only = "only" in request.GET
    shown, lying = _lying(record, places, within[:1] if only else within, words, request.GET.get("page"))
    elsewhere, is_more = _elsewhere(record, more_words)
    context = {
        "build": build,
        "chapter": "stores",
        "record": record,
        "path": [(number, places.called[number]) for number in places.path(record.pk)[:-1]],
        "rows": _rows(places, places.counts, places.holds.get(record.pk, [])),
        "within": len(within) - 1,
        "places": places,
        "inside": set(within),
        "shown": shown,
        "lying": lying,
        "words": words,
        "only": only,
        "query": ("only=1&" if only else "") + (f"q={words}&" if words else ""),
        "elsewhere": [(name, thing, places.says(thing.place_id) if thing.place_id else "")
                      for name, thing in _names(elsewhere)],
        "is_more": is_more,
        "into": more_words,
        "balloons": newest_balloons(record),
        "target": f"place:{record.pk}",
    }  # fmt: skip
    return render(request, "stores/store.html", context)


def new_store(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    inside = request.GET.get("inside", "")
    initial: dict[str, object] = {"inside": inside if inside.isdecimal() else None}
    return record_form(
        request,
        StoreForm,
        build,
        title="A place",
        button="Write it down",
        chapter="stores",
        initial=initial,
    )


def edit_store(request: HttpRequest, store_id: int) -> HttpResponse:
    record = get_object_or_404(Store.objects.select_related("build"), pk=store_id)
    return record_form(request, StoreForm, record.build, record=record, title=str(record), chapter="stores")


@require_POST
def move_store(request: HttpRequest, store_id: int) -> HttpResponse:
    """A place goes into another, and all in it goes with it: one change."""
    record = get_object_or_404(Store.objects.select_related("build", "inside"), pk=store_id)
    typed = request.POST.get("inside", "").strip()
    inside = place_named(record.build, typed) if typed else None
    if inside is not None and record in inside.path():
        where = "itself" if inside == record else f"{inside}, which stands in it"
        raise BadInput(f"{record} cannot stand in {where}; choose a place outside it.")
    before = record.inside
    record.inside = inside
    to = f"into {inside}" if inside else "out of all others"
    with writing(request, f"Moved {to}: {record}" + (f", from {before}" if before else "")):
        record.save()
    messages.success(request, f"{record}, with all in it, stands in {inside or 'no other place'} now.")
    return redirect(record)


@require_POST
def put_in(request: HttpRequest, build_id: int) -> HttpResponse:
    """Put parts, fastener sets and counts into a place of the same build, all as one change."""
    build = get_object_or_404(Build, pk=build_id)
    typed = request.POST.get("place", "").strip()
    if not typed:
        raise BadInput("Choose the place that they lie in from the list of stores.")
    place = place_named(build, typed)
    things = [_thing(build, text) for text in request.POST.getlist("what")]
    if not things:
        raise BadInput(f"Choose what goes into {place}.")
    names = ", ".join(str(thing) for thing in things)
    with writing(request, f"Put in {place}: {names}"[:300]):
        for thing in things:
            thing.place = place
            if isinstance(thing, Part):
                thing.now = Now.IN_STORES
            elif isinstance(thing, FastenerSet):
                thing.joint = Joint.APART
            thing.save()
    messages.success(request, f"In {place}: {names}.")
    return redirect(place)


def place_named(build: Build, typed: str) -> Store:
    """The place of this build that a form names, by its number or as it was typed. `BadInput` where there is none."""
    if not typed.isdecimal():
        return cast(Store, resolve([build.stores.all()], typed))
    place = _number_of(Store, build, typed)
    if place is None:
        raise BadInput(f"“{typed}” is no place of this build; choose one of the stores.")
    return place


def _thing(build: Build, text: str) -> Kept:
    """The part, fastener set or count that a form names as ``part:31``."""
    kind, _, number = text.partition(":")
    thing = _number_of(THINGS[kind], build, number) if kind in THINGS else None
    if thing is None:
        raise BadInput(f"“{text}” is no part or fastener set of {build}; choose one from the list.")
    return thing


def _number_of(model: type[R], build: Build, number: str) -> R | None:
    """The record of this build with this number, as a form sends it."""
    known = number.isdecimal() and len(number) < 19
    return model._default_manager.filter(build=build, pk=number).first() if known else None


def strike_out_store(request: HttpRequest, store_id: int) -> HttpResponse:
    record = get_object_or_404(Store.objects.select_related("build"), pk=store_id)
    held = record.holds.count() + record.parts.count() + record.fasteners.count() + record.loose_counts.count()
    refusal = (
        f"{record} is not empty ({held} thing{'' if held == 1 else 's'} in it); put them elsewhere first."
        if held
        else ""
    )
    return strike_out(
        request,
        record,
        chapter="stores",
        then=reverse("stores", args=[record.build_id]),
        refusal=refusal,
    )
