"""What must come off before a part can be reached or taken off, and in which order parts go back on."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import F, Q

from tickover.planning import strip_order
from tickover.planning.strip_order import Circle, Covering, Refitting
from tickover.records.models import Build, ChangeLine, Cover, Part
from tickover.records.models.words import Condition, Now, ToDo

_COLUMNS = ("pk", "cover_id", "covered_id", "how", "guessed")

_ABOVE = """
WITH RECURSIVE above(part) AS (
    SELECT CAST(%s AS bigint) UNION SELECT cover_id FROM records_cover JOIN above ON covered_id = part
)
SELECT records_cover.id FROM records_cover JOIN above ON covered_id = part
"""


@dataclass(frozen=True)
class Access:
    """What comes off, in this order: ``reach`` before the part is reached, ``more`` before it comes off as well."""

    reach: list[Part]
    more: list[Part]
    guessed: frozenset[int]
    """Numbers of parts that stand in the list only because of a guess."""
    circles: list[Circle]
    parts: dict[int, Part]
    """Every part that the lists and the circles name."""

    @property
    def minutes(self) -> float:
        """What taking off those that are still on takes, as far as anybody has said."""
        return sum(part.reach_minutes or 0.0 for part in self.reach if part.is_on)


def _above(part: Part) -> list[Covering]:
    """Every covering over a part, cover behind cover. Two queries, however high it is piled."""
    numbers = [row.pk for row in Cover.objects.raw(_ABOVE, [part.pk])]
    return [Covering(*row) for row in Cover.objects.filter(pk__in=numbers).values_list(*_COLUMNS)]


def _known(coverings: list[Covering], part: Part) -> dict[int, Part]:
    return Part.objects.in_bulk({c.cover for c in coverings} | {part.pk})


def access_to(part: Part) -> Access:
    """How a part is reached and taken off. Three queries."""
    coverings = _above(part)
    parts = _known(coverings, part)
    numbers = {number: known.came_off_order for number, known in parts.items()}
    reach = strip_order.access(part.pk, coverings, numbers)
    off = strip_order.access(part.pk, coverings, numbers, taking_off=True)
    sure = strip_order.access(part.pk, [c for c in coverings if not c.guessed], numbers, taking_off=True)
    return Access(
        reach=[parts[number] for number in reach],
        more=[parts[number] for number in off if number not in reach],
        guessed=frozenset(off) - frozenset(sure),
        circles=strip_order.find_circles(coverings, {number: _plain(known) for number, known in parts.items()}),
        parts=parts,
    )


def to_reach(part: Part) -> list[Part]:
    """All that comes off before a part is reached, in the order in which it comes off."""
    return access_to(part).reach


def all_to_reach(build_id: int) -> dict[int, list[Part]]:
    """The same for every part of a build that is covered, by its number; two queries."""
    over: dict[int, list[Covering]] = defaultdict(list)
    for row in Cover.objects.filter(build_id=build_id).values_list(*_COLUMNS):
        covering = Covering(*row)
        over[covering.covered].append(covering)
    parts = Part.objects.in_bulk({c.cover for covers in over.values() for c in covers})
    numbers = {number: part.came_off_order for number, part in parts.items()}
    reached = {}
    for covered in over:
        piled, waiting = [], [covered]
        seen: set[int] = set()
        while waiting:
            number = waiting.pop()
            if number not in seen:
                seen.add(number)
                piled += over.get(number, [])
                waiting += [c.cover for c in over.get(number, [])]
        reached[covered] = [parts[number] for number in strip_order.access(covered, piled, numbers)]
    return {covered: covers for covered, covers in reached.items() if covers}


def circle_with(cover: Part, covered: Part) -> Circle | None:
    """The circle that would close if ``cover`` were said to cover ``covered``; what to strike out is on record."""
    coverings = _above(cover)
    new = Covering(0, cover.pk, covered.pk)
    parts = {number: _plain(known) for number, known in (_known(coverings, cover) | {covered.pk: covered}).items()}
    circles = strip_order.find_circles([*coverings, new], parts)
    ring = next((circle for circle in circles if new in circle.coverings), None)
    if ring is None:
        return None
    on_record = [c for c in ring.coverings if c is not new and c != new]
    strike = next((c for c in on_record if c.guessed), ring.strike if ring.strike in on_record else on_record[-1])
    return Circle(ring.coverings, strike, ring.why)


def makes_a_circle(cover: Part, covered: Part) -> bool:
    """Whether ``covered`` already has to come off before ``cover`` can be reached or taken off."""
    return cover == covered or circle_with(cover, covered) is not None


# -- the way back on -------------------------------------------------------------------------------------------

_IS_ON = (Now.ON_THE_BIKE, Now.FITTED)
_AWAY = {Now.OUT_FOR_WORK: "out for work", Now.ON_ORDER: "on order"}


def _waits(now: str, condition: str, to_do: str) -> str:
    """Why a part that is off cannot go on yet."""
    if now in _AWAY:
        return _AWAY[Now(now)]
    if to_do in (ToDo.REPLACE, ToDo.MAKE):
        return f"to {to_do}"
    return "missing" if condition == Condition.MISSING else ""


def _plain(part: Part) -> strip_order.Part:
    return strip_order.Part(
        part.pk, part.name, part.is_on, part.came_off_order, part.chapter, part.came_off,
        _waits(part.now, part.condition, part.to_do),
    )  # fmt: skip


_FIELDS = ("pk", "name", "now", "came_off_order", "condition", "to_do")
_OFF = ~Q(now__in=(Now.ON_THE_BIKE, Now.FITTED))
_WAITS = Q(now__in=_AWAY) | Q(to_do__in=(ToDo.REPLACE, ToDo.MAKE)) | Q(condition=Condition.MISSING)
"""The rule of `_waits`, for the database."""


def refitting_of(build: Build, most: int | None = None) -> Refitting:
    """The refitting order of all parts that are off and not for sale; with ``most``, so many at hand and waiting.

    A part that nothing covers or holds, and that covers and holds nothing, only takes its turn; so of those no more
    than ``most`` have to be looked at. Four queries, however many records.
    """
    wanted = Part.objects.filter(build=build).exclude(to_do=ToDo.SELL)
    covers = Cover.objects.filter(build=build)
    piled = Q(pk__in=covers.values("cover")) | Q(pk__in=covers.values("covered"))
    alone = wanted.filter(_OFF).exclude(piled).order_by(F("came_off_order").desc(nulls_last=True), "pk")
    coverings = [Covering(*row) for row in covers.values_list(*_COLUMNS)]
    parts = [
        strip_order.Part(pk, name, now in _IS_ON, number, waits=_waits(now, condition, to_do))
        for rows in (wanted.filter(piled).order_by(), alone.exclude(_WAITS)[:most], alone.filter(_WAITS)[:most])
        for pk, name, now, number, condition, to_do in rows.values_list(*_FIELDS)
    ]
    return strip_order.refit(parts, coverings)


def how_many_off(build: Build) -> int:
    """How many parts are off and are to go back on. One query."""
    return Part.objects.filter(_OFF, build=build).exclude(to_do=ToDo.SELL).count()


# -- asked kindly and little -----------------------------------------------------------------------------------


def guess_cover(part: Part) -> Cover | None:
    """Write down the one cover that the order of removal suggests for a part that has just come off, if any.

    The rule stands in `strip_order.likely_cover`. Call it inside the change in which the part comes off.
    """
    if part.came_off_order is None:
        return None
    before = (
        Part.objects.filter(build_id=part.build_id, came_off_order__lt=part.came_off_order)
        .order_by("-came_off_order")
        .first()
    )
    if before is None:
        return None
    guess = strip_order.likely_cover(
        _plain(part),
        _plain(before),
        written=Cover.objects.filter(Q(covered=part) | Q(cover=part, covered=before)).exists(),
        refused=ChangeLine.objects.filter(
            kind="cover", after__isnull=True, before__cover=before.pk, before__covered=part.pk
        ).exists(),
        open_questions=Cover.objects.filter(build_id=part.build_id, guessed=True).count(),
    )
    if guess is None or makes_a_circle(before, part):
        return None
    cover = Cover(build_id=part.build_id, cover=before, covered=part, guessed=True)
    cover.save()
    return cover


def likely_covers(part: Part, most: int = 20) -> list[Part]:
    """Parts that may cover ``part``, to choose from: of its chapter, those that came off nearest before it first."""
    others = Part.objects.filter(build_id=part.build_id, chapter=part.chapter).exclude(pk=part.pk)
    others = others.only("name", "build", "came_off_order")
    number = part.came_off_order
    if number is None:
        return list(others[:most])
    before = others.filter(came_off_order__lte=number).order_by("-came_off_order")[:most]
    after = others.filter(came_off_order__gt=number).order_by("came_off_order")[:most]
    unnumbered = others.filter(came_off_order=None)[:most]
    near = sorted([*before, *after], key=lambda other: (abs((other.came_off_order or 0) - number), other.name))
    return [*near, *unnumbered][:most]


def open_questions(build: Build) -> list[Cover]:
    """Guesses that nobody has answered yet."""
    return list(Cover.objects.filter(build=build, guessed=True).select_related("cover", "covered").order_by("pk"))
