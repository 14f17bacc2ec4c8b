"""A job card's page at the bike: tick steps, take readings, set joints, sign off."""

from __future__ import annotations

from collections import Counter

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from tickover import units
from tickover.records import sign_off as signing
from tickover.records.as_plan import places_of, plan_of
from tickover.records.models import FastenerSet, JobCard, JobPart, JobStep, NeededReading, Part, Reading
from tickover.records.models.words import Joint
from tickover.records.verdicts import verdict_of
from tickover.shed.base.outbox import made_at, may_wait, must_be_newest, stint_then
from tickover.shed.base.pages import running_stint, who, writing
from tickover.shed.job_cards import cautions
from tickover.shed.job_cards.forms import TakenForm


def _card(card_id: int) -> JobCard:
    return get_object_or_404(JobCard.objects.select_related("build"), pk=card_id)


def job_card(request: HttpRequest, card_id: int, *, taken: TakenForm | None = None, refused: str = "") -> HttpResponse:
    """The card. ``taken`` is a reading's form that was not good; ``refused`` why it was not signed off."""
    card = _card(card_id)
    steps = list(card.steps.all())
    readings = list(card.needed_readings.select_related("limit", "reading"))
    at_hand = _readings_at_hand(readings)
    fasteners = _fasteners(card)
    lacking = signing.what_is_missing(steps, readings)
    way = plan_of(card.build)
    context = {
        "build": card.build,
        "chapter": "job_cards",
        "card": card,
        "record": card,
        "caution": cautions.of_card(card),
        "steps": steps,
        "next_step": next((step for step in steps if step.done_at is None), None),
        "parts": _parts(card),
        "fasteners": fasteners,
        "loose": [one for one in fasteners if one.joint in (Joint.APART, Joint.FINGER_TIGHT)],
        "joints": Joint.values,
        "readings": [_reading_row(card, needed, taken, at_hand) for needed in readings],
        "next_reading": next((needed for needed in readings if needed.reading_id is None), None),
        "lacking": lacking,
        "refused": refused,
        "who": _signature(request, card),
        "before": card.comes_after.select_related("first"),
        "after": card.comes_before.select_related("then"),
        "purchases": card.purchases.all(),
        "planned": way.of(card.pk),
        "waiting": next((waiting for waiting in way.can_wait if waiting.job.id == card.pk), None),
    }
    return render(request, "job_cards/job_card.html", context, status=422 if taken or refused else 200)


def _parts(card: JobCard) -> list[dict[str, object]]:
    places = places_of(card.build)
    return [
        {"part": row.part, "role": row.role, "place": places.get(row.part.place_id or 0, "")}
        for row in card.job_parts.select_related("part", "part__place").order_by("role", "part__name")
    ]


def _fasteners(card: JobCard) -> list[FastenerSet]:
    """The fastener sets that hold this card's parts; those of the parts it fits come first."""
    roles = dict(card.job_parts.values_list("part_id", "role"))
    sets = FastenerSet.objects.filter(holds_id__in=roles).select_related("holds", "place")
    return sorted(sets, key=lambda one: (roles[one.holds_id] != JobPart.Role.FITS, one.pk))


def _readings_at_hand(needed: list[NeededReading]) -> dict[int, Reading]:
    """The reading on record that may answer each one asked for, by its number. One query.

    It is the newest of the same name, so that the left bowl is never answered by the right one's; of another name only
    where the card asks for its limit once.
    """
    limits = Counter(one.limit_id for one in needed if one.limit_id is not None)
    named: dict[tuple[int | None, str], Reading] = {}
    newest: dict[int | None, Reading] = {}
    for reading in Reading.objects.filter(limit_id__in=limits).order_by("taken_at", "pk"):
        named[reading.limit_id, reading.name.casefold()] = newest[reading.limit_id] = reading
    found = {
        one.pk: named.get((one.limit_id, one.name.casefold()))
        or (newest.get(one.limit_id) if limits[one.limit_id] == 1 else None)
        for one in needed
    }
    return {number: reading for number, reading in found.items() if reading is not None}


def _reading_row(
    card: JobCard, needed: NeededReading, taken: TakenForm | None, at_hand: dict[int, Reading]
) -> dict[str, object]:
    if needed.limit is not None:
        needed.limit.build = card.build
    refused = taken is not None and taken.needed.pk == needed.pk
    return {
        "needed": needed,
        "reading": needed.reading,
        "verdict": verdict_of(needed.limit, needed.reading),
        "at_hand": None if needed.reading_id is not None else at_hand.get(needed.pk),
        "form": taken if refused else TakenForm(needed=needed),
        "unit": units.DIMENSIONS[needed.dimension].default(card.build.system).symbol
        if needed.dimension in units.DIMENSIONS
        else "",
    }


def _signature(request: HttpRequest, card: JobCard) -> str:
    stint = running_stint(card.build)
    return who(request) or (stint.who if stint else "")


@may_wait("tick")
@require_POST
def tick(request: HttpRequest, card_id: int, step_id: int) -> HttpResponse:
    """Tick a step, or untick it with ``done=no``. The same tap twice changes nothing more."""
    card = _card(card_id)
    step = get_object_or_404(JobStep, pk=step_id, card=card)
    signing.must_be_open(card)
    must_be_newest(request, step, "done_at")
    done = request.POST.get("done") != "no"
    if done != (step.done_at is not None):
        step.done_at = made_at(request) if done else None
        with writing(request, f"{card}: “{_short(step.says)}” {'done' if done else 'not done'}"):
            step.save()
    return redirect(card)


def _short(says: str) -> str:
    return says if len(says) <= 80 else f"{says[:79]}…"


@may_wait("tick")
@require_POST
def set_joint(request: HttpRequest, card_id: int, set_id: int) -> HttpResponse:
    """Say how a joint of this card stands: apart, finger-tight, torqued, witness-marked."""
    card = _card(card_id)
    fasteners = get_object_or_404(FastenerSet, pk=set_id, build_id=card.build_id)
    joint = request.POST.get("joint", "")
    if joint not in Joint.values:
        raise units.BadInput(f"“{joint}” is no state of a joint; it is one of {', '.join(Joint.values)}.")
    must_be_newest(request, fasteners, "joint")
    fasteners.joint = joint
    with writing(request, f"{fasteners}: {joint}"):
        fasteners.save()
    return redirect(card)


@may_wait("reading")
@require_POST
def take_reading(request: HttpRequest, card_id: int, needed_id: int) -> HttpResponse:
    """Write a needed reading down, and hold it against its limit. A reading taken before stays on record."""
    card = _card(card_id)
    needed = get_object_or_404(NeededReading.objects.select_related("limit", "reading"), pk=needed_id, card=card)
    signing.must_be_open(card)
    form = TakenForm(request.POST, needed=needed)
    if not form.is_valid():
        return job_card(request, card_id, taken=form)
    with writing(request, f"{card}: reading “{needed.name}” {form.cleaned_data['typed']}"[:300]):
        reading = Reading(
            build=card.build,
            name=needed.name,
            part_id=needed.limit.part_id if needed.limit else None,
            limit=needed.limit,
            stint=stint_then(request, card.build),
            taken_at=made_at(request),
            dimension=needed.dimension,
            typed=form.cleaned_data["typed"],
            value=form.cleaned_data["value"],
            plus_minus=form.cleaned_data["plus_minus"],
            instrument=form.cleaned_data["instrument"],
        )
        reading.save()
        if needed.reading is None or needed.reading.taken_at <= reading.taken_at:
            needed.reading = reading
            needed.save()
    return redirect(f"{card.get_absolute_url()}#reading-{needed.pk}")


@require_POST
def use_reading(request: HttpRequest, card_id: int, needed_id: int) -> HttpResponse:
    """Let a reading that is already on record answer what the card asks for."""
    card = _card(card_id)
    needed = get_object_or_404(NeededReading, pk=needed_id, card=card)
    signing.must_be_open(card)
    chosen = request.POST.get("reading", "")
    reading = Reading.objects.filter(pk=chosen, limit_id=needed.limit_id).first() if chosen.isdecimal() else None
    if reading is None or needed.limit_id is None:
        raise units.BadInput(f"Reading “{chosen}” is none of the limit that “{needed}” asks for; take it here.")
    needed.reading = reading
    with writing(request, f"{card}: “{needed.name}” answered by the reading {reading.typed}"[:300]):
        needed.save()
    return redirect(f"{card.get_absolute_url()}#reading-{needed.pk}")


@require_POST
def sign_off(request: HttpRequest, card_id: int) -> HttpResponse:
    card = _card(card_id)
    name = request.POST.get("who", "").strip()[:80] or _signature(request, card)
    try:
        if not name:
            raise units.BadInput("Write who signs the job off.")
        with writing(request, f"Signed off: {card}"):
            fitted: list[Part] = signing.sign_off(card, name)
    except units.BadInput as problem:
        return job_card(request, card_id, refused=str(problem))
    request.session["who"] = who(request) or name
    parts = f" Put down as fitted: {', '.join(str(part) for part in fitted)}." if fitted else ""
    messages.success(request, f"Signed off by {name}.{parts}")
    return redirect(card)


@require_POST
def open_again(request: HttpRequest, card_id: int) -> HttpResponse:
    card = _card(card_id)
    with writing(request, f"Opened again: {card}"):
        signing.open_again(card)
    messages.success(request, "Open again. Its parts still count as fitted; change that on their own pages.")
    return redirect(card)
