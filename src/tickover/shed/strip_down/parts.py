"""Pages of a part: its facts, what covers it, what holds it, what was measured on it, and its moves."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.records import loose_counts
from tickover.records.access import access_to, circle_with, guess_cover, likely_covers
from tickover.records.models import Build, Cover, Part, Store
from tickover.records.models.words import Chapter, Joint, Now
from tickover.records.verdicts import standing
from tickover.shed.base.cautions import caution_for
from tickover.shed.base.choosing import chosen
from tickover.shed.base.pages import back, record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.refitting.views import rounds
from tickover.shed.strip_down.balloons import newest_balloons
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
    access = access_to(record)
    context = {
        "build": build,
        "chapter": "strip_down",
        "record": record,
        "access": access,
        "circles": rounds(access.circles, access.parts),
        "own_covers": record.covered_by.select_related("cover"),
        "covers": record.covers.select_related("covered"),
        "likely_covers": likely_covers(record),
        "loose": record.loose_counts.all(),
        "uneven": loose_counts.of(record.loose_counts.all()),
        "fasteners": record.fasteners.select_related("place"),
        "standing": standing(record.limits.select_related("build")),
        "readings": record.readings.filter(limit=None)[:12],
        "balloons": newest_balloons(record),
        "target": f"part:{record.pk}",
        "jobs": record.job_parts.select_related("card"),
        "purchases": record.purchases.all(),
        "kit_items": record.kit_items.select_related("kit"),
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
        if move == "came_off":
            for fasteners in record.fasteners.exclude(joint=Joint.APART):
                fasteners.joint = Joint.APART
                fasteners.save()
            guess_cover(record)
    messages.success(request, f"{record}: {record.now}.")
    if move == "back_on":
        hidden = [c.covered for c in record.covers.select_related("covered") if not c.covered.is_on]
        if hidden:
            names = ", ".join(str(covered) for covered in hidden)
            messages.warning(request, f"It covers what is not back on yet: {names}.")
    return back(request, record.get_absolute_url())


def _place(request: HttpRequest, build: Build) -> Store | None:
    place: Store | None = chosen(build.stores.all(), request.POST.get("place", ""))
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
    """Say that another part must come off before this one can be reached or taken off; a guess gives way to it."""
    record = get_object_or_404(Part.objects.select_related("build"), pk=part_id)
    how = request.POST.get("how", Cover.How.COVERS)
    if how not in Cover.How.values:
        raise BadInput(f"“{how}” is not known; the part {' or '.join(Cover.How.labels)}.")
    cover = _named(request.POST.get("cover", ""), record)
    link = Cover.objects.filter(cover=cover, covered=record).first()
    if link is not None and not link.guessed and link.how == how:
        raise BadInput(f"That {cover} {how} {record} is already written down.")
    with writing(request, f"{cover} {how} {record}"):
        while link is None and (circle := circle_with(cover, record)) is not None:
            against = Cover.objects.select_related("cover", "covered").get(pk=circle.strike.id)
            if not against.guessed:
                raise BadInput(
                    f"{record} has to come off before {cover} can be reached, so {cover} cannot cover it; strike out "
                    f"first that {against.cover} {against.how} {against.covered}, if that is wrong."
                )
            against.delete()
        link = link or Cover(build=record.build, cover=cover, covered=record)
        link.how, link.guessed = how, False
        link.save()
    return redirect(record)


def _named(typed: str, record: Part) -> Part:
    """The other part of the build that was meant: by its number (31 or p31) or by its name."""
    typed = typed.strip()[:200]
    number = typed.removeprefix("p")
    others = record.build.parts.exclude(pk=record.pk)
    if number.isdecimal() and len(number) < 19 and (known := others.filter(pk=number).first()) is not None:
        return known
    found = list(others.filter(name__iexact=typed)[:2]) if typed else []
    if len(found) > 1:
        raise BadInput(
            f"Several parts are called {typed}; write the number of the one that is meant, such as p{found[0].pk}."
        )
    if not found:
        said = f"“{typed}” is no other part of this build" if typed else "No part is named"
        raise BadInput(f"{said}; write the name or the number of the part that covers or holds {record}.")
    return found[0]


@require_POST
def answer_cover(request: HttpRequest, part_id: int, cover_id: int) -> HttpResponse:
    """One tap on a guess: yes, it had to come off first; or no, and the guess is struck out."""
    answer = request.POST.get("answer", "")
    if answer not in ("yes", "no"):
        raise BadInput(f"“{answer}” is no answer; it is yes or no.")
    link = Cover.objects.select_related("build", "cover", "covered").filter(covered=part_id, cover=cover_id).first()
    if link is None:
        part = get_object_or_404(Part, pk=part_id)
        messages.info(request, "That question has been answered already.")
        return back(request, part.get_absolute_url())
    with writing(request, f"{link.cover} before {link.covered}: {answer}"):
        if answer == "no":
            link.delete()
        elif link.guessed:
            link.guessed = False
            link.save()
    return back(request, link.covered.get_absolute_url())


def strike_out_cover(request: HttpRequest, part_id: int, cover_id: int) -> HttpResponse:
    link = get_object_or_404(Cover.objects.select_related("build", "cover", "covered"), covered=part_id, cover=cover_id)
    return strike_out(request, link, chapter="strip_down", then=link.get_absolute_url())
