"""Which jobs and parts a milestone needs: the least set that its rules lead to.

The rules: a job is needed when the milestone asks for it, when it puts on a part that must be on and is not
ready, or when it must come before a needed job. A part must be on when the milestone (or an earlier one)
asks for it, or when a needed job stands on it and some job puts it on. Starting from what the milestone asks
for and following the rules until nothing is added gives the least set: without any one job a rule is broken.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tickover.planning.facts import Job, Joint, Part, and_, rank, the


@dataclass(frozen=True, slots=True)
class Needed:
    """Ids of what is needed, each with its reasons as sentences without their stops."""

    jobs: dict[int, list[str]]
    parts: dict[int, list[str]]


def ready(part: Part, loose: Iterable[Joint] = ()) -> bool:
    """A part is ready when it is on the bike, fit for use, and none of its joints is loose."""
    return part.fit_for_use and not any(loose)


def loose_joints(joints: Iterable[Joint]) -> dict[int, list[Joint]]:
    """The loose joints of each part, by the part's id."""
    loose: dict[int, list[Joint]] = {}
    for joint in joints:
        if joint.loose and joint.holds is not None:
            loose.setdefault(joint.holds, []).append(joint)
    return loose


def needed(
    milestone: str, jobs: Mapping[int, Job], parts: Mapping[int, Part], loose: Mapping[int, list[Joint]]
) -> Needed:
    """All that ``milestone`` needs, and why; ``loose`` is from `loose_joints`. No job signed off is."""
    goal = rank(milestone)
    fitting = open_jobs_by_part(jobs.values())
    why_jobs: dict[int, dict[tuple[str, str], list[str]]] = {}
    why_parts: dict[int, list[str]] = {}
    to_follow: list[tuple[str, int]] = []

    def want_job(job: Job, why: str, name: str = "", so: str = "") -> None:
        """Parts wanted for the same reason share one sentence: ``why``, their names, ``so``."""
        if job.signed_off:
            return
        if job.id not in why_jobs:
            why_jobs[job.id] = {}
            to_follow.append(("job", job.id))
        why_jobs[job.id].setdefault((why, so), []).append(name)

    def want_part(part: Part, why: str) -> None:
        if part.id not in why_parts:
            why_parts[part.id] = []
            to_follow.append(("part", part.id))
        why_parts[part.id].append(why)

    for part in parts.values():
        if part.needed_for and rank(part.needed_for) <= goal and not must_be_gone(part, milestone):
            want_part(part, f"{part.needed_for} needs it")
    for job in jobs.values():
        if job.needed_for and rank(job.needed_for) <= goal:
            want_job(job, f"{job.needed_for} asks for this job itself")

    while to_follow:
        kind, number = to_follow.pop(0)
        if kind == "part":
            part = parts[number]
            if ready(part, loose.get(number, ())):
                continue
            asked = bool(part.needed_for) and rank(part.needed_for) <= goal
            why, so = (
                (f"{part.needed_for} needs ", " on the bike") if asked else ("it puts on ", f": {why_parts[number][0]}")
            )
            for job in chosen(fitting.get(number, []), goal):
                want_job(job, why, the(part.name), so)
        else:
            job = jobs[number]
            for after in job.after:
                because = f": {after.why.rstrip('.')}" if after.why else ""
                want_job(jobs[after.job], f"must come before “{job.title}”{because}")
            for part_id in job.needs:
                if part_id in fitting and fitting[part_id] != [job]:
                    want_part(parts[part_id], f"“{job.title}” stands on it")
    return Needed(
        {
            number: [why + and_(names) + so for (why, so), names in reasons.items()]
            for number, reasons in why_jobs.items()
        },
        why_parts,
    )


def open_jobs_by_part(jobs: Iterable[Job]) -> dict[int, list[Job]]:
    """The jobs not signed off that put each part on, by the part's id."""
    fitting: dict[int, list[Job]] = {}
    for job in jobs:
        if not job.signed_off:
            for part in job.fits:
                fitting.setdefault(part, []).append(job)
    return fitting


def chosen(fitting: list[Job], goal: int) -> list[Job]:
    """Of the jobs that put a part on, those not kept for a later milestone; all of them where all are."""
    sooner = [job for job in fitting if not job.needed_for or rank(job.needed_for) <= goal]
    return sooner or fitting


def must_be_gone(part: Part, milestone: str) -> bool:
    """A lash-up must be gone before the road."""
    return part.lash_up and milestone == "road-ready"
