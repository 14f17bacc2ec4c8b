"""Pages of a part: its facts, what covers it, what holds it, what was measured on it, and its moves."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.records.access import makes_a_circle, to_reach
from tickover.records.models import Build, Cover, Part, Store
from tickover.records.models.words import Chapter, Now
from tickover.records.verdicts import standing
from tickover.shed.base.cautions import caution_for
from tickover.shed.base.pages import back, record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.strip_down.forms import PartForm
from tickover.shed.strip_down.views import next_number
from tickover.units import BadInput

MOVES = {
    "back_on": ("Goes back on", Now.FITTED),
    "came_off": ("Came off", Now.IN_STORES),
    "in_stores": ("Put in stores", Now.IN_STORES),
    "out": ("Out for work", Now.OUT_FOR_WORK),
    "on_order": ("On order", Now.ON_ORDER),
}
"""What one press does with a part: the words on the button, and where the part is then."""


def part(request: HttpRequest, part_id: int) -> HttpResponse:
    record = get_object_or_404(Part.objects.select_related("build", "place"), pk=part_id)
    build = record.build
    access = to_reach(record)
    still_on = [cover for cover in access if cover.is_on]
    context = {
        "build": build,
        "chapter": "strip_down",
        "record": record,
        "access": access,
        "still_on": still_on,
        "minutes": sum(cover.reach_minutes or 0.0 for cover in still_on),
        "own_covers": record.covered_by.select_related("cover"),
        "covers": record.covers.select_related("covered"),
        "others": build.parts.exclude(pk=record.pk).only("name", "build"),
        "places": build.stores.all(),
        "fasteners": record.fasteners.select_related("place"),
        "standing": standing(record.limits.select_related("build")),
        "readings": record.readings.filter(limit=None),
        "balloons": record.balloons.select_related("photo"),
        "target": f"part:{record.pk}",
        "jobs": record.job_parts.select_related("card"),
        "purchases": record.purchases.all(),
        "components": record.in_loom.all(),
        "caution": caution_for(record.chapter),
        "moves": [(name, says) for name, (says, now) in MOVES.items() if _makes_sense(name, record)],
    }
    return render(request, "strip_down/part.html", context)


def _makes_sense(move: str, record: Part) -> bool:
    if record.is_on:
        return move == "came_off"
    return move == "in_stores" or (move != "came_off" and MOVES[move][1] != record.now)


@require_POST
def move_part(request: HttpRequest, part_id: int) -> HttpResponse:
    """One press: goes back on, came off, put in stores, out for work, on order."""
    record = get_object_or_404(Part.objects.select_related("build"), pk=part_id)
    move = request.POST.get("move", "")
    if move not in MOVES:
        raise BadInput(f"“{move}” is no move of a part; it is one of {', '.join(MOVES)}.")
    place = _place(request, record.build)
    says, now = MOVES[move]
    record.now = now
    if now != Now.IN_STORES:
        record.place = None
    elif "place" in request.POST:
        record.place = place
    if move == "came_off":
        record.came_off, record.came_off_order = timezone.localdate(), next_number(record.build)
    with writing(request, f"{says}: {record}"):
        record.save()
    messages.success(request, f"{record}: {record.now}.")
    if move == "back_on":
        hidden = [c.covered for c in record.covers.select_related("covered") if not c.covered.is_on]
        if hidden:
            names = ", ".join(str(covered) for covered in hidden)
            messages.warning(request, f"It covers what is not back on yet: {names}.")
    return back(request, record.get_absolute_url())


def _place(request: HttpRequest, build: Build) -> Store | None:
    number = request.POST.get("place", "")
    if not number:
        return None
    place = build.stores.filter(pk=number).first() if number.isdecimal() and len(number) < 19 else None
    if place is None:
        raise BadInput(f"“{number}” is no place of this build; choose one of the stores.")
    return place


def new_part(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    place, chapter = request.GET.get("place", ""), request.GET.get("chapter", "")
    initial = {"place": place if place.isdecimal() else None}
    if chapter in Chapter.values:
        initial["chapter"] = chapter
    return record_form(
        request,
        PartForm,
        build,
        title="A part",
        button="Write it down",
        chapter="strip_down",
        initial=initial,
    )


def edit_part(request: HttpRequest, part_id: int) -> HttpResponse:
    record = get_object_or_404(Part.objects.select_related("build"), pk=part_id)
    return record_form(
        request,
        PartForm,
        record.build,
        record=record,
        title=str(record),
        chapter="strip_down",
        caution=caution_for(record.chapter),
    )


def strike_out_part(request: HttpRequest, part_id: int) -> HttpResponse:
    record = get_object_or_404(Part.objects.select_related("build"), pk=part_id)
    return strike_out(request, record, chapter="strip_down", then=reverse("strip_down", args=[record.build_id]))


@require_POST
def add_cover(request: HttpRequest, part_id: int) -> HttpResponse:
    """Say that another part must come off before this one can be reached."""
    record = get_object_or_404(Part.objects.select_related("build"), pk=part_id)
    number = request.POST.get("cover", "")
    known = number.isdecimal() and len(number) < 19
    cover = record.build.parts.filter(pk=number).first() if known else None
    if cover is None:
        raise BadInput(f"Choose the part that covers {record} from the list.")
    if Cover.objects.filter(cover=cover, covered=record).exists():
        raise BadInput(f"That {cover} covers {record} is already written down.")
    if makes_a_circle(cover, record):
        raise BadInput(
            f"{record} has to come off before {cover} can be reached, so {cover} cannot cover it; "
            "strike the other cover out first if it is wrong."
        )
    with writing(request, f"{cover} covers {record}"):
        Cover(build=record.build, cover=cover, covered=record).save()
    return redirect(record)


def strike_out_cover(request: HttpRequest, part_id: int, cover_id: int) -> HttpResponse:
    link = get_object_or_404(Cover.objects.select_related("build", "cover", "covered"), covered=part_id, cover=cover_id)
    return strike_out(request, link, chapter="strip_down", then=link.get_absolute_url())
