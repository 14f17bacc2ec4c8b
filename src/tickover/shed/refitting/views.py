"""What goes back on next, in order and with reasons; what is only finger-tight; what waits; what goes round."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from tickover.planning.strip_order import Circle, Refitting, Step
from tickover.records.access import how_many_off, open_questions, refitting_of
from tickover.records.loose_counts import uneven
from tickover.records.models import Build, FastenerSet, Part
from tickover.records.models.words import Joint, Now
from tickover.records.remembered import as_long_as_nothing_changes

SHOWN = 20
"""So many parts of each list stand on the page; how many more there are is said."""


@dataclass(frozen=True)
class Row:
    """A step with the part's record and the names of what is in its way."""

    step: Step
    part: Part
    off_first: list[Part]


@dataclass(frozen=True)
class Round:
    """A circle in words: each line is one entry; the one to strike out is marked."""

    lines: list[tuple[str, bool]]
    cover: int
    covered: int
    why: str


def refitting(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    worked = as_long_as_nothing_changes((build.pk, "refitting"), lambda: refitting_of(build, SHOWN))
    at_hand, waiting, off = (
        worked.at_hand,
        worked.waiting,
        as_long_as_nothing_changes((build.pk, "off"), lambda: how_many_off(build)),
    )
    shown = [*at_hand[:SHOWN], *waiting[:SHOWN]]
    parts = Part.objects.select_related("place").in_bulk(
        {step.part.id for step in shown} | {number for step in shown for number in step.off_first}
    )
    rows = {step.part.id: Row(step, parts[step.part.id], [parts[n] for n in step.off_first]) for step in shown}
    nearest = worked.next
    joints = FastenerSet.objects.filter(build=build).select_related("holds", "place")
    context = {
        "build": build,
        "chapter": "strip_down",
        "next": rows[nearest.part.id] if nearest else None,
        "at_hand": [rows[step.part.id] for step in at_hand[:SHOWN] if step is not nearest],
        "waiting": [rows[step.part.id] for step in waiting[:SHOWN]],
        "more": off - len(shown),
        "off": off,
        "circles": rounds(worked.circles, worked),
        "finger_tight": joints.filter(joint=Joint.FINGER_TIGHT)[:SHOWN],
        "apart": joints.filter(joint=Joint.APART, holds__now__in=(Now.ON_THE_BIKE, Now.FITTED))[:SHOWN],
        "uneven": uneven(build),
        "questions": open_questions(build),
    }
    return render(request, "refitting/refitting.html", context)


def rounds(circles: tuple[Circle, ...] | list[Circle], named: Refitting | dict[int, Part]) -> list[Round]:
    """Circles as they stand on a page."""
    names = named.names if isinstance(named, Refitting) else {number: part.name for number, part in named.items()}
    return [
        Round(
            [
                (
                    f"{names[c.cover]} {c.how} {names[c.covered]}" + (", a guess" if c.guessed else ""),
                    c == circle.strike,
                )
                for c in circle.coverings
            ],
            circle.strike.cover,
            circle.strike.covered,
            circle.why,
        )
        for circle in circles
    ]
