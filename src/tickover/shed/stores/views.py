"""Chapter 3, the stores: which place stands in which, and what lies where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover.records.models import Build, FastenerSet, Part, Record, Store
from tickover.records.models.words import Joint, Now
from tickover.shed.base.pages import record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.stores.forms import StoreForm
from tickover.units import BadInput

R = TypeVar("R", bound=Record)


@dataclass
class Row:
    """A place in the tree: how deep it stands, and how many things lie in it and in all that it holds."""

    store: Store
    depth: int
    here: int
    within: int = 0


def _counts(model: type[Part] | type[FastenerSet], build: Build) -> dict[int, int]:
    placed = model.objects.filter(build=build, place__isnull=False).order_by()
    return dict(placed.values("place").annotate(count=Count("pk")).values_list("place", "count"))


def tree(build: Build) -> list[Row]:
    """All places of a build, each behind the one it stands in, in three queries."""
    parts, fasteners = _counts(Part, build), _counts(FastenerSet, build)
    inside: dict[int | None, list[Store]] = {}
    for store in build.stores.order_by("-name", "-pk"):
        inside.setdefault(store.inside_id, []).append(store)
    rows: list[Row] = []
    above: list[Row] = []
    waiting = [(store, 0) for store in inside.get(None, [])]
    while waiting:
        store, depth = waiting.pop()
        here = parts.get(store.pk, 0) + fasteners.get(store.pk, 0)
        row = Row(store, depth, here)
        rows.append(row)
        above = [*above[:depth], row]
        for outer in above:
            outer.within += here
        waiting.extend((held, depth + 1) for held in inside.get(store.pk, []))
    return rows


def nowhere(build: Build) -> tuple[list[Part], list[FastenerSet]]:
    """Parts in stores and fastener sets out of their joint whose place is not known."""
    parts = build.parts.filter(now=Now.IN_STORES, place=None)
    fasteners = build.fastenersets.filter(joint=Joint.APART, place=None).select_related("holds", "place")
    return list(parts), list(fasteners)


def stores(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    parts, fasteners = nowhere(build)
    context = {
        "build": build,
        "chapter": "stores",
        "rows": tree(build),
        "parts": parts,
        "fasteners": fasteners,
        "lost": len(parts) + len(fasteners),
        "places": list(build.stores.all()),
    }
    return render(request, "stores/stores.html", context)


def store(request: HttpRequest, store_id: int) -> HttpResponse:
    record = get_object_or_404(Store.objects.select_related("build", "inside"), pk=store_id)
    build = record.build
    context = {
        "build": build,
        "chapter": "stores",
        "record": record,
        "path": record.path()[:-1],
        "holds": record.holds.annotate(things=Count("parts", distinct=True) + Count("fasteners", distinct=True)),
        "parts": record.parts.select_related("place"),
        "fasteners": record.fasteners.select_related("holds", "place"),
        "other_parts": build.parts.exclude(place=record).exclude(now__in=[Now.ON_THE_BIKE, Now.FITTED]),
        "other_sets": build.fastenersets.filter(Q(place=None) | ~Q(place=record), joint=Joint.APART),
    }
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
def put_in(request: HttpRequest, build_id: int) -> HttpResponse:
    """Put parts and fastener sets into a place of the same build, all as one change."""
    build = get_object_or_404(Build, pk=build_id)
    place = _number_of(Store, build, request.POST.get("place", ""))
    if place is None:
        raise BadInput("Choose the place that they lie in from the list of stores.")
    things = [_thing(build, text) for text in request.POST.getlist("what")]
    if not things:
        raise BadInput(f"Choose what goes into {place}.")
    names = ", ".join(str(thing) for thing in things)
    with writing(request, f"Put in {place}: {names}"[:300]):
        for thing in things:
            thing.place = place
            if isinstance(thing, Part):
                thing.now = Now.IN_STORES
            else:
                thing.joint = Joint.APART
            thing.save()
    messages.success(request, f"In {place}: {names}.")
    return redirect(place)


def _thing(build: Build, text: str) -> Part | FastenerSet:
    """The part or fastener set that a form names as ``part:31``."""
    kind, _, number = text.partition(":")
    models: dict[str, type[Part] | type[FastenerSet]] = {"part": Part, "fasteners": FastenerSet}
    thing = _number_of(models[kind], build, number) if kind in models else None
    if thing is None:
        raise BadInput(f"“{text}” is no part or fastener set of {build}; choose one from the list.")
    return thing


def _number_of(model: type[R], build: Build, number: str) -> R | None:
    """The record of this build with this number, as a form sends it."""
    known = number.isdecimal() and len(number) < 19
    return model._default_manager.filter(build=build, pk=number).first() if known else None


def strike_out_store(request: HttpRequest, store_id: int) -> HttpResponse:
    record = get_object_or_404(Store.objects.select_related("build"), pk=store_id)
    held = record.holds.count() + record.parts.count() + record.fasteners.count()
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
