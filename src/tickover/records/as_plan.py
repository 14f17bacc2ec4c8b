"""The records of a build as the plain data a plan is made from."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

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
from tickover.records.verdicts import verdict_of


@dataclass(frozen=True, slots=True)
class Facts:
    """All jobs, parts and joints of a build, ready to be planned with."""

    jobs: list[facts.Job]
    parts: list[facts.Part]
    joints: list[facts.Joint]


def facts_of(build: Build) -> Facts:
    """What the plans of a build are made from. Nine queries, however many records."""
    buys_of_card, buys_of_part = _buys(build)
    joints = FastenerSet.objects.filter(build=build).values_list("pk", "name", "joint", "holds_id")
    return Facts(_jobs(build, buys_of_card), _parts(build, buys_of_part), [facts.Joint(*joint) for joint in joints])


def plan_of(build: Build, milestone: str | None = None) -> Plan:
    """The plan of a build towards ``milestone``, or towards the one it works towards."""
    known = facts_of(build)
    return plan(milestone or build.milestone, known.jobs, known.parts, known.joints)


def buying_of(build: Build) -> dict[int, Wanted]:
    """Where each purchase that has not arrived is first waited for, by the purchase's number."""
    known = facts_of(build)
    return wanted(known.jobs, known.parts, known.joints)


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


def _parts(build: Build, buys: dict[int, list[facts.Buy]]) -> list[facts.Part]:
    covered_by: dict[int, list[int]] = defaultdict(list)
    for cover, covered in Cover.objects.filter(build=build).values_list("cover_id", "covered_id"):
        covered_by[covered].append(cover)
    places = places_of(build)
    return [
        facts.Part(
            id=part.pk,
            name=part.name,
            needed_for=part.needed_for,
            now=part.now,
            condition=part.condition,
            to_do=part.to_do,
            lash_up=part.lash_up,
            covered_by=tuple(sorted(covered_by[part.pk])),
            buys=tuple(buys[part.pk]),
            place=places.get(part.place_id or 0, ""),
        )
        for part in Part.objects.filter(build=build)
    ]


def places_of(build: Build) -> dict[int, str]:
    """Each place in words, from the outermost in: “shelf 2 › box 4 › bag 12”. One query."""
    stores = {store.pk: store for store in Store.objects.filter(build=build)}
    said: dict[int, str] = {}
    for number, store in stores.items():
        path: list[Store] = []
        place: Store | None = store
        while place is not None and place not in path:
            path.insert(0, place)
            place = stores.get(place.inside_id or 0)
        said[number] = " › ".join(step.mark or step.name for step in path)
    return said
