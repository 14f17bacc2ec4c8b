"""The plan of a milestone: what must be on the bike, the jobs in order and why, what waits, what can wait."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from tickover.planning.facts import MILESTONES, Buy, Job, Joint, Part, and_, rank, the
from tickover.planning.needed import (
    Needed,
    chosen,
    loose_joints,
    must_be_gone,
    needed,
    open_jobs_by_part,
    ready,
)
from tickover.planning.order import Before, Kind, befores, chain_behind, covers_of, in_order, without_circles
from tickover.units import BadInput

T = TypeVar("T", Job, Part)

CAN_BE_DONE = "can be done now"
WAITS = "waits for a part"
LATER = "comes after other jobs"


@dataclass(frozen=True, slots=True)
class PlannedJob:
    """A needed job in its place. All texts are clauses without their stops.

    ``reasons`` say why it is needed, ``comes_after`` which open jobs go before it and why, ``waits_for`` what
    has not come yet, ``first`` what to read or take off before anything is closed up, ``opens`` the ids of
    the jobs right behind it. ``hours_behind`` is the longest chain of work that must follow it.
    """

    job: Job
    position: int
    reasons: tuple[str, ...]
    comes_after: tuple[str, ...]
    waits_for: tuple[str, ...]
    first: tuple[str, ...]
    opens: tuple[int, ...]
    hours_behind: float

    @property
    def ready(self) -> bool:
        return not self.comes_after and not self.waits_for

    @property
    def readings_left(self) -> tuple[str, ...]:
        """Names of the readings without which it is not signed off."""
        return tuple(reading.name for reading in self.job.readings if not reading.taken)

    @property
    def state(self) -> str:
        if self.waits_for:
            return WAITS
        return LATER if self.comes_after else CAN_BE_DONE


@dataclass(frozen=True, slots=True)
class WaitingJob:
    """An open job the milestone does not need, and why not."""

    job: Job
    why: str


@dataclass(frozen=True, slots=True)
class PlannedPart:
    """A part that must be on the bike: why, how it stands, and the ids of the jobs that put it on."""

    part: Part
    reasons: tuple[str, ...]
    ready: bool
    state: str
    jobs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """All of it. ``circles`` and ``missing`` are sentences; ``gone`` are lash-ups that must be off."""

    milestone: str
    needed: tuple[PlannedJob, ...]
    can_wait: tuple[WaitingJob, ...]
    must_be_on: tuple[PlannedPart, ...]
    loose: tuple[Joint, ...]
    gone: tuple[Part, ...]
    missing: tuple[str, ...]
    circles: tuple[str, ...]

    @property
    def next(self) -> PlannedJob | None:
        """The first job that can be done now."""
        return next((planned for planned in self.needed if planned.ready), None)

    @property
    def next_three(self) -> tuple[PlannedJob, ...]:
        """The next job and the two behind it; what can be done now stands first."""
        return self.needed[:3]

    @property
    def ready_parts(self) -> tuple[PlannedPart, ...]:
        return tuple(planned for planned in self.must_be_on if planned.ready)

    @property
    def parts_to_go(self) -> tuple[PlannedPart, ...]:
        return tuple(planned for planned in self.must_be_on if not planned.ready)

    @property
    def hours(self) -> float:
        """Hours of all needed jobs whose hours somebody has guessed."""
        return sum(planned.job.hours or 0.0 for planned in self.needed)

    @property
    def jobs_without_hours(self) -> int:
        return sum(planned.job.hours is None for planned in self.needed)

    @property
    def nothing_left(self) -> bool:
        """Nothing on record stands between the bike and the milestone."""
        return not (self.needed or self.parts_to_go or self.gone or self.missing or self.circles)

    def of(self, job: int) -> PlannedJob | None:
        return next((planned for planned in self.needed if planned.job.id == job), None)


def plan(milestone: str, jobs: Iterable[Job], parts: Iterable[Part], joints: Iterable[Joint] = ()) -> Plan:
    """Plan ``milestone`` from all jobs, parts and joints of a build.

    `BadInput` for an unknown milestone or for an id that two records share or no record has.

    >>> starter = Part(1, "Starter", needed_for="first start")
    >>> cover = Part(2, "Left side cover")
    >>> jobs = [Job(1, "Fit the starter", fits=(1,)), Job(2, "Paint the side cover", fits=(2,))]
    >>> worked = plan("first start", jobs, [starter, cover])
    >>> [(planned.job.title, planned.reasons) for planned in worked.needed]
    [('Fit the starter', ('first start needs the starter on the bike',))]
    >>> worked.can_wait[0].why
    'first start does not need the left side cover'
    """
    goal = rank(milestone)
    by_job, by_part = _index("job", jobs), _index("part", parts)
    _check(by_job, by_part)
    joints = list(joints)
    loose = loose_joints(joints)
    found = needed(milestone, by_job, by_part, loose)
    members = {number: by_job[number] for number in by_job if number in found.jobs}
    orders, circles = without_circles(befores(members, by_job, by_part), by_job)
    put_on = open_jobs_by_part(members.values())
    waits = {number: _waits_for(job, by_part, loose, put_on) for number, job in members.items()}
    held_up = [number for number, says in waits.items() if says]
    sequence = in_order(members, orders, held_up)
    behind = chain_behind(members, orders)
    reasons = {number: list(found.jobs[number]) for number in sequence}
    for before in orders:
        if before.kind in (Kind.COVER, Kind.READING):
            reasons[before.first].append(f"must come before “{by_job[before.then].title}”: {before.why}")
    covers = covers_of(by_part)
    fitting = open_jobs_by_part(by_job.values())
    return Plan(
        milestone=milestone,
        needed=tuple(
            PlannedJob(
                job=by_job[number],
                position=position,
                reasons=tuple(reasons[number]),
                comes_after=tuple(_after(before, by_job) for before in orders if before.then == number),
                waits_for=tuple(waits[number]),
                first=tuple(_first(by_job[number], by_job, by_part, covers)),
                opens=tuple(before.then for before in orders if before.first == number),
                hours_behind=behind[number],
            )
            for position, number in enumerate(sequence, start=1)
        ),
        can_wait=_can_wait(milestone, found, by_job, by_part, loose),
        must_be_on=tuple(
            _planned_part(by_part[number], why, loose.get(number, []), chosen(fitting.get(number, []), goal))
            for number, why in sorted(found.parts.items(), key=lambda item: (by_part[item[0]].name, item[0]))
        ),
        loose=tuple(joint for joint in joints if joint.loose and joint.holds in found.parts),
        gone=tuple(part for part in by_part.values() if part.on and must_be_gone(part, milestone)),
        missing=tuple(_missing(found, by_job, by_part)),
        circles=tuple(circles),
    )


def _index(kind: str, things: Iterable[T]) -> dict[int, T]:
    index: dict[int, T] = {}
    for thing in sorted(things, key=lambda thing: thing.id):
        if thing.id in index:
            raise BadInput(f"Two {kind}s have the number {thing.id}; each needs its own.")
        index[thing.id] = thing
    return index


def _check(jobs: Mapping[int, Job], parts: Mapping[int, Part]) -> None:
    for job in jobs.values():
        for after in job.after:
            if after.job not in jobs:
                raise BadInput(f"The job “{job.title}” comes after job {after.job}, which there is not.")
        for number in (*job.fits, *job.needs):
            if number not in parts:
                raise BadInput(f"The job “{job.title}” names part {number}, which there is not.")
        if job.needed_for:
            rank(job.needed_for)
    for part in parts.values():
        for cover in part.covered_by:
            if cover not in parts:
                raise BadInput(f"The part “{part.name}” is covered by part {cover}, which there is not.")


def _open(buys: Iterable[Buy]) -> list[Buy]:
    return [buy for buy in buys if buy.open]


def _waits_for(
    job: Job,
    parts: Mapping[int, Part],
    loose: Mapping[int, list[Joint]],
    put_on: Mapping[int, list[Job]],
) -> list[str]:
    """What has not come yet: the job's purchases, and parts neither here nor put on by another job."""
    says = [buy.says for buy in _open(job.buys)]
    for number in dict.fromkeys((*job.fits, *job.needs)):
        part = parts[number]
        if ready(part, loose.get(number, ())) or (number not in job.fits and number in put_on):
            continue
        says += [buy.says for buy in _open(part.buys) if buy.says not in says]
        if not _open(part.buys):
            away = _away(part)
            says += [away] if away else []
    return says


def _away(part: Part) -> str:
    """Why a part that nobody is buying is not at hand; empty where it is."""
    arrived = any(not buy.open for buy in part.buys)
    if part.on or arrived:
        return ""
    if part.now == "out for work":
        return f"{part.name}: out for work"
    if part.now == "on order":
        return f"{part.name}: on order"
    if part.condition == "missing" and part.to_do != "make":
        return f"{part.name}: missing, and on no buying list"
    return ""


def _after(before: Before, jobs: Mapping[int, Job]) -> str:
    because = f": {before.why}" if before.why else ""
    return f"after “{jobs[before.first].title}”{because}"


def _first(
    job: Job, jobs: Mapping[int, Job], parts: Mapping[int, Part], covers: Mapping[int, set[int]]
) -> Iterable[str]:
    """What to take off before the job can begin, and which readings a cover would close up."""
    off: dict[int, str] = {}
    for number in job.fits:
        if not parts[number].on:
            for cover in sorted(covers.get(number, ())):
                if parts[cover].on and cover not in job.fits:
                    off.setdefault(cover, f"take {the(parts[cover].name)} off to reach {the(parts[number].name)}")
    yield from off.values()
    fits = set(job.fits)
    for other in jobs.values():
        if other.signed_off:
            continue
        for reading in other.readings:
            behind = sorted(fits & covers.get(reading.part, set())) if reading.part is not None else []
            if behind and not reading.taken:
                yield f"take the reading “{reading.name}” first: it is behind {the(parts[behind[0]].name)}"
            elif other is job and reading.verdict == "outside":
                yield f"the reading “{reading.name}” is outside its limit: put that right"
            elif other is job and reading.verdict == "too close to call":
                yield f"the reading “{reading.name}” is too close to call: read it again"


def _planned_part(part: Part, reasons: list[str], loose: list[Joint], fitting: list[Job]) -> PlannedPart:
    return PlannedPart(
        part=part,
        reasons=tuple(dict.fromkeys(reasons)),
        ready=ready(part, loose),
        state=_state(part, loose),
        jobs=tuple(job.id for job in fitting),
    )


def _state(part: Part, loose: list[Joint]) -> str:
    buys = _open(part.buys)
    if part.on and not part.fit_for_use:
        return f"{part.now}, {part.condition}, to {part.to_do}" + (f"; {buys[0].says}" if buys else "")
    if part.on and loose:
        return f"{part.now}, " + ", ".join(f"{joint.name} {joint.state}" for joint in loose)
    if part.on:
        return f"{part.now}, lash-up" if part.lash_up else part.now
    if buys:
        return buys[0].says
    return part.now if part.condition != "missing" else "missing"


def _missing(found: Needed, jobs: Mapping[int, Job], parts: Mapping[int, Part]) -> Iterable[str]:
    """Parts that must go on or be put right and are on no job card; loose joints have their own list."""
    fitting = open_jobs_by_part(jobs.values())
    for number in sorted(found.parts):
        part = parts[number]
        if part.fit_for_use or number in fitting:
            continue
        name = part.name[:1].upper() + part.name[1:]
        if part.on:
            yield f"{name}: {part.condition}, to {part.to_do}, and on no open job card."
        else:
            yield f"{name}: must go on, and no open job card puts it on."


def _can_wait(
    milestone: str,
    found: Needed,
    jobs: Mapping[int, Job],
    parts: Mapping[int, Part],
    loose: Mapping[int, list[Joint]],
) -> tuple[WaitingJob, ...]:
    left = [job for job in jobs.values() if not job.signed_off and job.id not in found.jobs]
    later = {other: needed(other, jobs, parts, loose) for other in MILESTONES[rank(milestone) + 1 :] if left}
    waiting = []
    for job in left:
        wanted = next((other for other, set_of in later.items() if job.id in set_of.jobs), "")
        if job.needed_for:
            why = f"only {job.needed_for} asks for it"
        elif wanted:
            why = f"not before {wanted}: {later[wanted].jobs[job.id][0]}"
        elif job.fits:
            names = and_([the(parts[part].name) for part in job.fits], "or")
            why = f"{milestone} does not need {names}"
        else:
            why = "no milestone asks for it"
        waiting.append((list(later).index(wanted) if wanted else len(later), job.id, WaitingJob(job, why)))
    return tuple(job for _, _, job in sorted(waiting, key=lambda item: item[:2]))
