"""From what had to come off first: how a part is reached, in which order parts go back on, and circles.

A `Covering` says that one part had to come off before another: it covers it or it holds it. What is covered or
held goes back on before what covers or holds it, so the refitting order is a topological order of the coverings;
among parts that are free, the one that came off last goes on first (A. B. Kahn, Topological sorting of large
networks, Communications of the ACM 5, 1962, pages 558-562).
"""

from __future__ import annotations

import heapq
import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from typing import Any

import networkx as nx

from tickover.planning.facts import and_, the


@dataclass(frozen=True, slots=True)
class Part:
    """A part as the order of removal knows it: ``number`` is its place in that order.

    ``waits`` is why it cannot go on yet, a clause without its stop; empty where it is at hand.
    """

    id: int
    name: str
    on: bool = False
    number: int | None = None
    chapter: str = ""
    came_off: date | None = None
    waits: str = ""


@dataclass(frozen=True, slots=True)
class Covering:
    """``cover`` had to come off before ``covered``; ``guessed`` from the order of removal and not yet answered."""

    id: int
    cover: int
    covered: int
    how: str = "covers"
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One part on its way back on. ``reasons`` and ``waits`` are clauses without their stops.

    ``after`` are the parts that go on before it; ``off_first`` are parts on the bike that are in its way.
    """

    part: Part
    position: int
    reasons: tuple[str, ...]
    waits: str
    after: tuple[int, ...] = ()
    off_first: tuple[int, ...] = ()

    @property
    def ready(self) -> bool:
        return not self.waits and not self.after


@dataclass(frozen=True, slots=True)
class Circle:
    """Coverings that go round: each one's covered part is the next one's cover. Struck out, ``strike`` ends it."""

    coverings: tuple[Covering, ...]
    strike: Covering
    why: str


@dataclass(frozen=True)
class Refitting:
    """The parts that are off, in the order in which they go back on."""

    steps: tuple[Step, ...]
    circles: tuple[Circle, ...] = ()
    names: Mapping[int, str] = field(default_factory=dict)

    @property
    def next(self) -> Step | None:
        """The first part that can go on now."""
        return next((step for step in self.steps if step.ready), None)

    @property
    def at_hand(self) -> tuple[Step, ...]:
        """What can go on, now or after others that can."""
        return tuple(step for step in self.steps if not step.waits)

    @property
    def waiting(self) -> tuple[Step, ...]:
        return tuple(step for step in self.steps if step.waits)


# -- how a part is reached -------------------------------------------------------------------------------------


def access(
    part: int, coverings: Iterable[Covering], numbers: Mapping[int, int | None], *, taking_off: bool = False
) -> list[int]:
    """All that comes off before a part is reached, in that order; with ``taking_off``, before it comes off.

    What only holds the part need not come off to reach it, but what holds one of its covers must. Among what is
    free, what came off first comes off first. In a circle each part still stands once.

    >>> clamp, guard = Covering(1, 8, 5, "holds"), Covering(2, 9, 8)
    >>> access(5, [clamp, guard], {}), access(5, [clamp, guard], {}, taking_off=True)
    ([], [9, 8])
    """
    above: dict[int, list[Covering]] = defaultdict(list)
    for covering in coverings:
        above[covering.covered].append(covering)
    reached = [c.cover for c in above.get(part, ()) if taking_off or c.how != "holds"]
    found: set[int] = set()
    while reached:
        cover = reached.pop()
        if cover not in found and cover != part:
            found.add(cover)
            reached += [c.cover for c in above.get(cover, ())]
    before = {number: {c.cover for c in above.get(number, ())} & found for number in found}
    return _in_order(before, lambda number: (_number(numbers.get(number)), number))


def _number(number: int | None) -> float:
    return float("inf") if number is None else number


def _in_order(before: Mapping[int, Collection[int]], key: Any) -> list[int]:
    """Kahn's order of the keys of ``before``, the smallest ``key`` first among the free; a circle is cut there too."""
    then: dict[int, list[int]] = defaultdict(list)
    open_before = {}
    for number, firsts in before.items():
        open_before[number] = len(firsts)
        for first in firsts:
            then[first].append(number)
    free = [(key(number), number) for number, count in open_before.items() if not count]
    heapq.heapify(free)
    order: list[int] = []
    while open_before:
        number = heapq.heappop(free)[1] if free else min(open_before, key=key)
        del open_before[number]
        order.append(number)
        for other in then[number]:
            if other in open_before:
                open_before[other] -= 1
                if not open_before[other]:
                    heapq.heappush(free, (key(other), other))
    return order


# -- the way back on -------------------------------------------------------------------------------------------


def refit(parts: Iterable[Part], coverings: Iterable[Covering]) -> Refitting:
    """The order in which all parts that are off go back on, with reasons; and the circles that have to be broken.

    ``parts`` are those that are to be on the finished bike. What waits, and what waits behind it, comes last.

    >>> wheel, chain = Part(1, "Rear wheel", number=7), Part(2, "Drive chain", number=6)
    >>> worked = refit([chain, wheel], [Covering(1, cover=2, covered=1, how="holds")])
    >>> [(step.part.name, step.reasons) for step in worked.steps]
    [('Rear wheel', ('before what holds it: the drive chain',)), ('Drive chain', ('after the rear wheel',))]
    """
    by_id = {part.id: part for part in parts}
    known = [c for c in coverings if c.cover in by_id and c.covered in by_id and c.cover != c.covered]
    circles = find_circles(known, by_id)
    cut = {circle.strike.id for circle in circles}
    under: dict[int, list[Covering]] = defaultdict(list)
    over: dict[int, list[Covering]] = defaultdict(list)
    for covering in known:
        if covering.id not in cut:
            under[covering.cover].append(covering)
            over[covering.covered].append(covering)
    off = {number for number, part in by_id.items() if not part.on}
    concerned = off | under.keys() | over.keys()
    before = {number: {c.covered for c in under.get(number, ())} for number in concerned}
    climb = _in_order(before, lambda number: number)
    held_up: dict[int, int] = {}  # and the first part that it waits for
    left: dict[int, set[int]] = {}
    for number in climb:
        part = by_id[number]
        left[number] = set()
        for first in before[number]:
            left[number] |= {first} if first in off else left[first]
        behind = [held_up[first] for first in sorted(left[number]) if first in held_up]
        if number in off and (part.waits or behind):
            held_up[number] = number if part.waits else behind[0]

    def waits(number: int) -> str:
        root = by_id[held_up[number]]
        return root.waits if root.id == number else f"behind {the(root.name)}: {root.waits}"

    def turn(number: int) -> tuple[bool, float, int]:
        part = by_id[number]
        return (
            number in held_up or (part.on and any(first in held_up for first in left[number])),
            -float("inf") if part.on else -(part.number or 0.5),
            number,
        )

    order = [number for number in _in_order(before, turn) if number in off]
    place = {number: position for position, number in enumerate(order, 1)}
    steps = []
    for number, position in place.items():
        steps.append(
            Step(
                part=by_id[number],
                position=position,
                reasons=tuple(_reasons(by_id[number], left[number], over, by_id)),
                waits=waits(number) if number in held_up else "",
                after=tuple(sorted(left[number], key=place.__getitem__)),
                off_first=tuple(sorted(_on_above(number, over, by_id))),
            )
        )
    return Refitting(tuple(steps), tuple(circles), {number: part.name for number, part in by_id.items()})


def _on_above(number: int, over: Mapping[int, Sequence[Covering]], parts: Mapping[int, Part]) -> set[int]:
    """Parts on the bike that cover or hold this one, or what covers it: in the way of putting it on."""
    found: set[int] = set()
    reached = [c.cover for c in over.get(number, ())]
    while reached:
        cover = reached.pop()
        if cover not in found and parts[cover].on:
            found.add(cover)
            reached += [c.cover for c in over.get(cover, ())]
    return found


def _reasons(
    part: Part, left: Collection[int], over: Mapping[int, Sequence[Covering]], parts: Mapping[int, Part]
) -> Iterable[str]:
    if left:
        yield "after " + and_([the(parts[number].name) for number in sorted(left)])
    for how in ("covers", "holds"):
        names = [
            the(parts[c.cover].name) + (" (a guess)" if c.guessed else "")
            for c in over.get(part.id, ())
            if c.how == how and not parts[c.cover].on
        ]
        if names:
            yield f"before what {how} it: {and_(names)}"
    if not left and not any(not parts[c.cover].on for c in over.get(part.id, ())):
        yield "nothing goes on before it" if part.number is None else f"came off as number {part.number}"


# -- circles ---------------------------------------------------------------------------------------------------


def find_circles(coverings: Sequence[Covering], parts: Mapping[int, Part]) -> list[Circle]:
    """Circles in what covers what, one after another until none is left when each one's ``strike`` is struck out.

    The one to strike out is the least certain: a guess before what somebody wrote, then the one that contradicts
    the order of removal the most, then the one written down last.
    """
    graph: nx.DiGraph[int] = nx.DiGraph()
    for covering in coverings:
        graph.add_edge(covering.cover, covering.covered, covering=covering)
    found: list[Circle] = []
    knots = [sorted(knot) for knot in nx.strongly_connected_components(graph) if len(knot) > 1]
    for knot in sorted(knots):
        inside = graph.subgraph(knot).copy()
        while (ring := _shortest_ring(inside)) is not None:
            strike = max(ring, key=lambda c: _doubt(c, parts))
            found.append(Circle(tuple(ring), strike, _why(strike, parts)))
            inside.remove_edge(strike.cover, strike.covered)
    return found


def _shortest_ring(graph: nx.DiGraph[int]) -> list[Covering] | None:
    """A shortest circle through the first part that is in one."""
    for knot in sorted(sorted(knot) for knot in nx.strongly_connected_components(graph) if len(knot) > 1):
        start, inside = knot[0], graph.subgraph(knot)
        back = nx.single_source_shortest_path(inside.reverse(), start)
        ring = [start, *min((back[then][::-1] for then in sorted(inside.successors(start))), key=len)]
        return [graph.edges[cover, covered]["covering"] for cover, covered in pairwise(ring)]
    return None


def _contradicts(covering: Covering, parts: Mapping[int, Part]) -> int:
    """By how many places the cover came off after what it is said to cover; nought where it did not."""
    cover, covered = parts[covering.cover].number, parts[covering.covered].number
    return 0 if cover is None or covered is None else max(cover - covered, 0)


def _doubt(covering: Covering, parts: Mapping[int, Part]) -> tuple[bool, int, int]:
    return covering.guessed, _contradicts(covering, parts), covering.id


def _why(strike: Covering, parts: Mapping[int, Part]) -> str:
    cover, covered = parts[strike.cover], parts[strike.covered]
    if strike.guessed:
        return "it is only a guess from the order of removal"
    if _contradicts(strike, parts):
        return (
            f"{the(cover.name)} came off as number {cover.number}, after {the(covered.name)} (number {covered.number})"
        )
    return "the order of removal contradicts none of them; this one was written down last"


# -- asked kindly and little -----------------------------------------------------------------------------------

OPEN_QUESTIONS = 3
"""No more is guessed while this many guesses wait for an answer."""

_SIDES = re.compile(r"\b(left|right|front|rear|upper|lower|inner|outer|near|off)\b", re.IGNORECASE)


def likely_cover(part: Part, before: Part | None, *, written: bool, refused: bool, open_questions: int) -> Part | None:
    """The part that probably had to come off before ``part``, or None where nothing is guessed.

    ``before`` is the part that came off right before it. It is taken for a cover when it is still off, came off on
    the same day and belongs to the same chapter; not when the two are a pair (left and right, front and rear), when
    somebody has ``written`` what covers the part already, when this very guess was ``refused`` once, or while three
    guesses are unanswered. So at most one question is asked a part, never twice, and never many at a time.

    >>> seat, tank = Part(1, "Seat", number=1, chapter="chassis"), Part(2, "Tank", number=2, chapter="chassis")
    >>> likely_cover(tank, seat, written=False, refused=False, open_questions=0).name
    'Seat'
    """
    if before is None or written or refused or open_questions >= OPEN_QUESTIONS:
        return None
    if before.on or before.chapter != part.chapter or before.came_off != part.came_off or _are_a_pair(part, before):
        return None
    return before


def _are_a_pair(one: Part, other: Part) -> bool:
    names = [" ".join(_SIDES.sub(" ", part.name).lower().split()) for part in (one, other)]
    return names[0] == names[1]
