"""The records of a build as the plain data a plan is made from."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q

from tickover.planning import facts
from tickover.planning.buying import Wanted, wanted
from tickover.planning.plan import Plan, plan
from tickover.records.models import (
    Build,
    Cover,
    FastenerSet,
    JobCard,
    JobOrder,
    JobPart,
    NeededReading,
    Part,
    Purchase,
    Store,
)
from tickover.records.models.words import Joint
from tickover.records.remembered import as_long_as_nothing_changes
from tickover.records.verdicts import verdict_of


@dataclass(frozen=True, slots=True)
class Facts:
    """The jobs, parts and loose joints of a build, ready to be planned with."""

    jobs: list[facts.Job]
    parts: list[facts.Part]
    joints: list[facts.Joint]


def facts_of(build: Build) -> Facts:
    """What the plans of a build are made from: of its parts those that a plan can name. Ten queries, however many."""
    buys_of_card, buys_of_part = _buys(build)
    jobs = _jobs(build, buys_of_card)
    parts = _parts(build, jobs, buys_of_part)
    held = {part.id for part in parts}
    joints = FastenerSet.objects.filter(build=build, joint__in=(Joint.APART, Joint.FINGER_TIGHT)).order_by("name", "pk")
    loose = [facts.Joint(*row) for row in joints.values_list("pk", "name", "joint", "holds_id") if row[3] in held]
    return Facts(jobs, parts, loose)


def plan_of(build: Build, milestone: str | None = None) -> Plan:
    """The plan of a build towards ``milestone``, or towards the one it works towards."""
    goal = milestone or build.milestone

    def work() -> Plan:
        known = facts_of(build)
        return plan(goal, known.jobs, known.parts, known.joints)

    return as_long_as_nothing_changes((build.pk, "plan", goal), work)


def buying_of(build: Build) -> dict[int, Wanted]:
    """Where each purchase that has not arrived is first waited for, by the purchase's number."""

    def work() -> dict[int, Wanted]:
        known = facts_of(build)
        return wanted(known.jobs, known.parts, known.joints)

    return as_long_as_nothing_changes((build.pk, "buying"), work)


def _buys(build: Build) -> tuple[dict[int, list[facts.Buy]], dict[int, list[facts.Buy]]]:
    """Purchases by the card and by the part they are for."""
    of_card: dict[int, list[facts.Buy]] = defaultdict(list)
    of_part: dict[int, list[facts.Buy]] = defaultdict(list)
    for bought in Purchase.objects.filter(build=build).order_by("pk"):
        buy = facts.Buy(bought.pk, bought.what, bought.state, bought.expected_on)
        if bought.card_id is not None:
            of_card[bought.card_id].append(buy)
        if bought.part_id is not None:
            of_part[bought.part_id].append(buy)
    return of_card, of_part


def _jobs(build: Build, buys: dict[int, list[facts.Buy]]) -> list[facts.Job]:
    fits: dict[int, list[int]] = defaultdict(list)
    needs: dict[int, list[int]] = defaultdict(list)
    for card, part, role in (
        JobPart.objects.filter(build=build).order_by("pk").values_list("card_id", "part_id", "role")
    ):
        (fits if role == JobPart.Role.FITS else needs)[card].append(part)
    after: dict[int, list[facts.After]] = defaultdict(list)
    for first, then, why in JobOrder.objects.filter(build=build).values_list("first_id", "then_id", "why"):
        after[then].append(facts.After(first, why))
    readings: dict[int, list[facts.ReadingNeeded]] = defaultdict(list)
    for needed in NeededReading.objects.filter(build=build).select_related("limit", "reading"):
        readings[needed.card_id].append(_reading(build, needed))
    return [
        facts.Job(
            id=card.pk,
            title=card.title,
            chapter=card.chapter,
            hours=card.hours,
            needed_for=card.needed_for,
            signed_off=card.signed_off_at is not None,
            fits=tuple(fits[card.pk]),
            needs=tuple(needs[card.pk]),
            after=tuple(after[card.pk]),
            readings=tuple(readings[card.pk]),
            buys=tuple(buys[card.pk]),
        )
        for card in JobCard.objects.filter(build=build)
    ]


def _reading(build: Build, needed: NeededReading) -> facts.ReadingNeeded:
    if needed.limit is not None:
        needed.limit.build = build
    verdict = verdict_of(needed.limit, needed.reading)
    part = needed.limit.part_id if needed.limit is not None else None
    if needed.reading is not None and needed.reading.part_id is not None:
        part = needed.reading.part_id
    return facts.ReadingNeeded(
        name=needed.name,
        taken=needed.reading_id is not None,
        verdict=verdict.verdict if verdict is not None else None,
        part=part,
    )


def _parts(build: Build, jobs: list[facts.Job], buys: dict[int, list[facts.Buy]]) -> list[facts.Part]:
    """Parts that a milestone asks for, that jobs, readings or purchases name, lash-ups, and all that covers these."""
    covered_by: dict[int, list[int]] = defaultdict(list)
    for cover, covered in Cover.objects.filter(build=build).values_list("cover_id", "covered_id"):
        covered_by[covered].append(cover)
    named = set(buys)
    for job in jobs:
        named |= {*job.fits, *job.needs} | {reading.part for reading in job.readings if reading.part is not None}
    asked = Part.objects.filter(build=build).filter(~Q(needed_for="") | Q(lash_up=True))
    waiting = list(named | set(asked.order_by().values_list("pk", flat=True)))
    known: set[int] = set()
    while waiting:
        number = waiting.pop()
        if number not in known:
            known.add(number)
            waiting += covered_by.get(number, [])
    places = places_of(build)
    columns = ("pk", "name", "needed_for", "now", "condition", "to_do", "lash_up", "place_id")
    return [
        facts.Part(
            *row,
            covered_by=tuple(sorted(covered_by.get(number, ()))),
            buys=tuple(buys.get(number, ())),
            place=places.get(place or 0, ""),
        )
        for *row, place in Part.objects.filter(build=build, pk__in=known).values_list(*columns)
        for number in row[:1]
    ]


def places_of(build: Build) -> dict[int, str]:
    """Each place in words, from the outermost in: “shelf 2 › box 4 › bag 12”. One query."""
    rows = Store.objects.filter(build=build).order_by().values_list("pk", "inside_id", "mark", "name")
    inside = {number: outer for number, outer, _, _ in rows}
    called = {number: mark or name for number, _, mark, name in rows}
    said: dict[int, str] = {}
    for number in called:
        path: list[int] = []
        place: int | None = number
        while place is not None and place not in path and place in called:
            path.insert(0, place)
            place = inside[place]
        said[number] = " › ".join(called[step] for step in path)
    return said
