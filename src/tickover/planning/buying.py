"""In which order to buy: first what the first needed job of the nearest milestone waits for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tickover.planning.facts import MILESTONES, Job, Joint, Part
from tickover.planning.plan import Plan, plan


@dataclass(frozen=True, slots=True)
class Wanted:
    """Where a purchase is first waited for: the milestone, the place in its plan, and the job or part.

    ``milestone`` is empty where no milestone waits for it; ``job`` is empty where only a part does.
    """

    milestone: str = ""
    place: int = 0
    job: int | None = None
    part: int | None = None

    @property
    def turn(self) -> tuple[int, int]:
        """What is bought first has the smallest turn."""
        return MILESTONES.index(self.milestone) if self.milestone else len(MILESTONES), self.place


def wanted(jobs: Iterable[Job], parts: Iterable[Part], joints: Iterable[Joint] = ()) -> dict[int, Wanted]:
    """For each purchase that has not arrived and that a milestone waits for, where it is first waited for.

    >>> from tickover.planning.facts import Buy
    >>> hose = Part(1, "Fuel hose", needed_for="first start", buys=(Buy(7, "fuel hose, 1 m", "to order"),))
    >>> wanted([Job(3, "Run the fuel hose", fits=(1,))], [hose])
    {7: Wanted(milestone='first start', place=1, job=3, part=None)}
    """
    jobs, parts, joints = list(jobs), list(parts), list(joints)
    found: dict[int, Wanted] = {}
    for milestone in MILESTONES:
        for buy, place in _of_plan(plan(milestone, jobs, parts, joints), {part.id: part for part in parts}):
            found.setdefault(buy, place)
    return found


def _of_plan(way: Plan, parts: dict[int, Part]) -> Iterable[tuple[int, Wanted]]:
    for planned in way.needed:
        of_parts = [
            buy
            for number in (*planned.job.fits, *planned.job.needs)
            if not parts[number].fit_for_use
            for buy in parts[number].buys
        ]
        for buy in (*planned.job.buys, *of_parts):
            if buy.open:
                yield buy.id, Wanted(way.milestone, planned.position, job=planned.job.id)
    behind = len(way.needed) + 1
    for row in way.parts_to_go:
        for buy in row.part.buys:
            if buy.open:
                yield buy.id, Wanted(way.milestone, behind, part=row.part.id)
