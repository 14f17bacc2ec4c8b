"""A job card template held against a build, and written as a whole card."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import models

from tickover.planning.card_templates import CardTemplate, ReadingWanted
from tickover.planning.matching import fits, is_one, nearest, words
from tickover.records.models import Build, JobCard, JobPart, JobStep, Limit, NeededReading, Part


@dataclass(frozen=True, slots=True)
class PartFound:
    """A part of the build that a template may mean. ``sure`` where its name ends in the template's words."""

    part: Part
    role: str
    sure: bool


def parts_like(build: Build, *phrases: str) -> list[Part]:
    """The build's parts whose names may fit one of the phrases; one query that leaves the rest where they are."""
    wanted = models.Q(pk=None)
    for phrase in (one for several in phrases for one in several.split("|")):
        if there := words(phrase):
            wanted |= models.Q(*(models.Q(name__icontains=word) for word in there))
    return list(build.parts.filter(wanted).order_by("pk"))


def parts_for(build: Build, template: CardTemplate) -> list[PartFound]:
    """The build's parts that the template names, each once: those it fits first, the sure ones first."""
    parts = parts_like(build, *(wanted.name for wanted in template.parts))
    found: dict[int, PartFound] = {}
    for match, sure in ((is_one, True), (fits, False)):
        for wanted in template.parts:
            for part in parts:
                if part.pk not in found and match(wanted.name, part.name):
                    found[part.pk] = PartFound(part, wanted.role, sure)
    return sorted(found.values(), key=lambda one: (not one.sure, one.role, one.part.name))


def names_on(build: Build, template: CardTemplate) -> str:
    """The ones that a template is done to, by the build's own part names: “left, right”."""
    return names_like(build, template.each, template.each_usual)


SIDES = frozenset(["left", "right", "front", "rear", "middle", "inner", "outer", "upper", "lower", "near", "off"])


def names_like(build: Build, what: str, usual: str) -> str:
    """How the build's own part names tell its ``what`` apart by side (“left carburettor”); else ``usual``."""
    wanted = words(what)
    names = []
    for part in parts_like(build, what):
        there = words(part.name)
        if wanted and there[1:] == wanted and there[0] in SIDES:
            names.append(there[0])
    return ", ".join(dict.fromkeys(names)) if len(set(names)) > 1 else usual


def limit_for(reading: ReadingWanted, limits: Iterable[Limit]) -> Limit | None:
    """The limit whose name fits a wanted reading's, of the same kind of quantity."""
    by_name = {limit.name: limit for limit in limits if limit.dimension == reading.dimension}
    found = nearest(reading.limit, by_name) if reading.limit else None
    return by_name[found] if found is not None else None


def write_card(
    build: Build,
    template: CardTemplate,
    each: Sequence[str],
    *,
    title: str = "",
    parts: Sequence[tuple[Part, str]] = (),
    limits: Sequence[Limit | None] | None = None,
) -> JobCard:
    """Write the whole card: steps, parts with their roles, needed readings. Call it inside one `writing` block.

    ``limits`` stand in the order of the template's readings for ``each``; left out, they are found by name.
    """
    readings = template.readings_for(each)
    if limits is None:
        on_record = list(build.limits.all())
        limits = [limit_for(reading, on_record) for reading in readings]
    card = JobCard(
        build=build,
        title=title or template.title,
        chapter=template.chapter,
        needed_for=template.needed_for,
        why=template.why,
        tools=template.tools,
        consumables=template.consumables,
        caution=template.caution,
        hours=template.hours,
    )
    card.save()
    for number, says in enumerate(template.steps_for(each), start=1):
        JobStep(build=build, card=card, number=number, says=says).save()
    for part, role in parts:
        JobPart(build=build, card=card, part=part, role=role).save()
    for reading, limit in zip(readings, limits, strict=True):
        NeededReading(build=build, card=card, name=reading.name, dimension=reading.dimension, limit=limit).save()
    return card
