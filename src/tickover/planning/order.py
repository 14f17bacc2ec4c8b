"""In which order the needed jobs are done: what must come before what, circles, and the order of work.

Among the jobs that are free, the one with the longest chain of work behind it goes first: the "highest level
first" rule of list scheduling (T. C. Hu, Parallel sequencing and assembly line problems, Operations Research
9, 1961, pages 841-848). The chains are those of the critical path method (J. E. Kelley and M. R. Walker,
Critical-path planning and scheduling, 1959).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from enum import IntEnum

import networkx as nx

from tickover.planning.facts import Job, Part, the
from tickover.planning.needed import open_jobs_by_part


class Kind(IntEnum):
    """Where an order comes from; the last is given up first when jobs go in a circle."""

    CARD = 0
    NEEDS = 1
    COVER = 2
    READING = 3


@dataclass(frozen=True, slots=True)
class Before:
    """The job ``first`` comes before the job ``then``; ``why`` is a clause, or empty."""

    first: int
    then: int
    why: str
    kind: Kind


def covers_of(parts: Mapping[int, Part]) -> dict[int, set[int]]:
    """All that must come off before a part can be reached, cover behind cover, by the part's id."""
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(parts)
    graph.add_edges_from((part.id, cover) for part in parts.values() for cover in part.covered_by)
    return {part: set(nx.descendants(graph, part)) - {part} for part in parts if parts[part].covered_by}


def befores(needed: Collection[int], jobs: Mapping[int, Job], parts: Mapping[int, Part]) -> list[Before]:
    """Every order among the needed open jobs, one for each pair of jobs, from the firmest ground."""
    members = [job for job in jobs.values() if job.id in needed]
    fitting = open_jobs_by_part(members)
    covers = covers_of(parts)
    found: list[Before] = []
    for job in members:
        for after in job.after:
            if after.job in needed:
                found.append(Before(after.job, job.id, after.why.rstrip("."), Kind.CARD))
        for part in job.needs:
            for other in fitting.get(part, []):
                found.append(Before(other.id, job.id, f"it needs {the(parts[part].name)} on the bike", Kind.NEEDS))
        for part in job.fits:
            for cover in sorted(covers.get(part, ())):
                for other in fitting.get(cover, []):
                    why = f"with {the(parts[cover].name)} on, nobody reaches {the(parts[part].name)}"
                    found.append(Before(job.id, other.id, why, Kind.COVER))
        for reading in job.readings:
            if reading.taken or reading.part is None:
                continue
            for cover in sorted(covers.get(reading.part, ())):
                for other in fitting.get(cover, []):
                    why = f"“{reading.name}” is read behind {the(parts[cover].name)}"
                    found.append(Before(job.id, other.id, why, Kind.READING))
    firmest: dict[tuple[int, int], Before] = {}
    for before in sorted(found, key=lambda b: (b.kind, not b.why)):
        if before.first != before.then:
            kept = firmest.setdefault((before.first, before.then), before)
            if not kept.why and before.why:
                firmest[before.first, before.then] = Before(before.first, before.then, before.why, kept.kind)
    return sorted(firmest.values(), key=lambda b: (b.first, b.then))


def without_circles(orders: Iterable[Before], jobs: Mapping[int, Job]) -> tuple[list[Before], list[str]]:
    """The orders less those that would close a circle, the firmest kept; and one sentence a knot of circles."""
    orders = sorted(orders, key=lambda before: (before.kind, before.first, before.then))
    graph = _graph(jobs, orders)
    says = [_circle(graph, min(knot), jobs) for knot in nx.strongly_connected_components(graph) if len(knot) > 1]
    after: dict[int, int] = dict.fromkeys(graph, 0)  # what follows each job, as the bits of a whole number
    bit = {job: 1 << place for place, job in enumerate(graph)}
    kept: list[Before] = []
    for before in orders:
        if after[before.then] & bit[before.first]:
            continue
        kept.append(before)
        more = after[before.then] | bit[before.then]
        for job in after:
            if job == before.first or after[job] & bit[before.first]:
                after[job] |= more
    return kept, sorted(says)


def _circle(graph: nx.DiGraph[int], start: int, jobs: Mapping[int, Job]) -> str:
    """A shortest circle through ``start`` in one sentence."""
    ways = [
        nx.shortest_path(graph, then, start)
        for then in sorted(graph.successors(start))
        if nx.has_path(graph, then, start)
    ]
    chain = " before ".join(f"“{jobs[job].title}”" for job in [start, *min(ways, key=len)])
    return f"These jobs wait for each other: {chain}; take out one of these orders, or split one of the jobs."


def chain_behind(jobs: Mapping[int, Job], orders: Iterable[Before]) -> dict[int, float]:
    """Hours of the longest chain of work that must follow each job (its own not counted); no circles allowed.

    >>> two = {1: Job(1, "first", hours=2.0), 2: Job(2, "then", hours=3.0)}
    >>> chain_behind(two, [Before(1, 2, "", Kind.CARD)])
    {2: 0.0, 1: 3.0}
    """
    graph = _graph(jobs, orders)
    behind: dict[int, float] = {}
    for job in reversed(list(nx.lexicographical_topological_sort(graph))):
        behind[job] = max((jobs[then].hours_for_order + behind[then] for then in graph.successors(job)), default=0.0)
    return behind


def in_order(jobs: Mapping[int, Job], orders: Iterable[Before], held_up: Collection[int]) -> list[int]:
    """Ids in the order of work; no circles allowed. ``held_up`` wait for a part: they come last.

    Free jobs go by the longest chain behind them, then by how many jobs they open, then the shortest first.
    """
    graph = _graph(jobs, orders)
    behind = chain_behind(jobs, orders)
    late = set(held_up)
    for job in held_up:
        late |= nx.descendants(graph, job)

    def turn(job: int) -> tuple[bool, float, int, float, int]:
        return job in late, -behind[job], -len(nx.descendants(graph, job)), jobs[job].hours_for_order, job

    open_before = {job: graph.in_degree(job) for job in graph}
    free = [job for job, count in open_before.items() if count == 0]
    turns = {job: turn(job) for job in graph}
    done: list[int] = []
    while free:
        job = min(free, key=turns.__getitem__)
        free.remove(job)
        done.append(job)
        for then in graph.successors(job):
            open_before[then] -= 1
            if open_before[then] == 0:
                free.append(then)
    return done


def _graph(jobs: Mapping[int, Job], orders: Iterable[Before]) -> nx.DiGraph[int]:
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(sorted(jobs))
    graph.add_edges_from((before.first, before.then) for before in orders)
    return graph
