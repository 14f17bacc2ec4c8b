"""Laws every plan keeps, on random workshops."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.planning.facts import MILESTONES, After, Buy, Job, Joint, Part, ReadingNeeded, rank
from tickover.planning.plan import plan

MANY = 9
MILESTONE = st.sampled_from(MILESTONES)
MAYBE = st.sampled_from(("", "", *MILESTONES))


@st.composite
def workshops(draw: st.DrawFn) -> tuple[str, list[Job], list[Part], list[Joint]]:
    parts_there = draw(st.integers(0, MANY))
    jobs_there = draw(st.integers(0, MANY))
    numbers = st.lists(st.integers(1, parts_there), max_size=3, unique=True) if parts_there else st.just([])

    def buys(first: int) -> tuple[Buy, ...]:
        states = draw(st.lists(st.sampled_from(("to order", "on order", "arrived")), max_size=1))
        return tuple(Buy(first, "it", state) for state in states)

    parts = [
        Part(
            number,
            f"part {number}",
            needed_for=draw(MAYBE),
            now=draw(st.sampled_from(("on the bike", "in stores", "out for work", "on order", "fitted"))),
            condition=draw(st.sampled_from(("good", "damaged", "missing"))),
            to_do=draw(st.sampled_from(("refit", "replace", "make"))),
            lash_up=draw(st.booleans()),
            covered_by=tuple(cover for cover in draw(numbers) if cover != number),
            buys=buys(number),
        )
        for number in range(1, parts_there + 1)
    ]
    others = st.lists(st.integers(1, jobs_there), max_size=2, unique=True) if jobs_there else st.just([])
    jobs = [
        Job(
            number,
            f"job {number}",
            hours=draw(st.one_of(st.none(), st.floats(0.1, 20.0))),
            needed_for=draw(MAYBE),
            signed_off=draw(st.booleans()),
            fits=tuple(fits := draw(numbers)),
            needs=tuple(part for part in draw(numbers) if part not in fits),
            after=tuple(After(other, "so") for other in draw(others) if other != number),
            readings=tuple(ReadingNeeded("it", taken=draw(st.booleans()), part=part) for part in draw(numbers)[:1]),
            buys=buys(100 + number),
        )
        for number in range(1, jobs_there + 1)
    ]
    joints = [
        Joint(part.id, f"joint {part.id}", draw(st.sampled_from(("finger-tight", "torqued"))), holds=part.id)
        for part in parts
    ]
    return draw(MILESTONE), jobs, parts, joints


def broken(
    milestone: str, jobs: list[Job], parts: list[Part], joints: list[Joint], done: set[int]
) -> set[tuple[str, int]]:
    """The needs that the set ``done`` of jobs leaves open. Written from the rules anew, without the planner.

    Where it answers nothing ``done`` is enough; where it answers something without a job, that job is needed.
    """
    goal = rank(milestone)
    open_jobs = {job.id: job for job in jobs if not job.signed_off}
    loose = {joint.holds for joint in joints if joint.state in ("apart", "finger-tight")}
    by_number = {part.id: part for part in parts}

    def asked(word: str) -> bool:
        return word != "" and MILESTONES.index(word) <= goal

    def is_ready(part: Part) -> bool:
        fit = part.now == "fitted" or (
            part.now == "on the bike" and part.condition not in ("damaged", "missing") and part.to_do == "refit"
        )
        return fit and part.id not in loose

    open_needs = {("asked", job.id) for job in open_jobs.values() if asked(job.needed_for) and job.id not in done}
    must_be_on = {
        part.id for part in parts if asked(part.needed_for) and not (part.lash_up and milestone == "road-ready")
    }
    must_be_on |= {part for number in done for part in open_jobs[number].needs}
    for number in must_be_on:
        if not is_ready(by_number[number]):
            fitting = [job for job in open_jobs.values() if number in job.fits]
            sooner = [job for job in fitting if not job.needed_for or asked(job.needed_for)]
            open_needs |= {("fits", job.id) for job in sooner or fitting if job.id not in done}
    for number in done:
        open_needs |= {
            ("before", after.job)
            for after in open_jobs[number].after
            if after.job in open_jobs and after.job not in done
        }
    return open_needs


@settings(max_examples=300, deadline=None)
@given(workshops())
def test_the_needed_jobs_meet_every_need_and_none_is_too_many(
    workshop: tuple[str, list[Job], list[Part], list[Joint]],
) -> None:
    worked = plan(*workshop)
    done = {planned.job.id for planned in worked.needed}
    assert not broken(*workshop, done=done)
    for number in done:
        assert broken(*workshop, done=done - {number}), f"job {number} is not needed"


@settings(max_examples=300, deadline=None)
@given(workshops())
def test_needed_and_waiting_are_all_the_open_jobs_each_once(
    workshop: tuple[str, list[Job], list[Part], list[Joint]],
) -> None:
    worked = plan(*workshop)
    needed = [planned.job.id for planned in worked.needed]
    waiting = [row.job.id for row in worked.can_wait]
    assert sorted(needed + waiting) == [job.id for job in workshop[1] if not job.signed_off]
    assert all(row.why for row in worked.can_wait)
    assert all(planned.reasons for planned in worked.needed)
    assert [planned.position for planned in worked.needed] == list(range(1, len(needed) + 1))


@settings(max_examples=300, deadline=None)
@given(workshops())
def test_nothing_comes_before_what_it_must_follow(
    workshop: tuple[str, list[Job], list[Part], list[Joint]],
) -> None:
    worked = plan(*workshop)
    place = {planned.job.id: planned.position for planned in worked.needed}
    for planned in worked.needed:
        assert all(place[then] > planned.position for then in planned.opens)
    if not worked.circles:
        for planned in worked.needed:
            for after in planned.job.after:
                assert place.get(after.job, 0) < planned.position
    states = [planned.state for planned in worked.needed]
    if worked.next is not None:
        assert worked.next.position == 1
    else:
        assert "can be done now" not in states


@settings(max_examples=100, deadline=None)
@given(workshops(), st.randoms())
def test_the_plan_does_not_depend_on_how_the_records_lie(
    workshop: tuple[str, list[Job], list[Part], list[Joint]], shuffler: object
) -> None:
    milestone, jobs, parts, joints = workshop
    again_jobs, again_parts = list(jobs), list(parts)
    shuffler.shuffle(again_jobs)  # type: ignore[attr-defined]
    shuffler.shuffle(again_parts)  # type: ignore[attr-defined]
    assert plan(milestone, again_jobs, again_parts, joints) == plan(milestone, jobs, parts, joints)


@settings(max_examples=100, deadline=None)
@given(workshops())
def test_a_later_milestone_asks_for_all_that_an_earlier_one_asks_for(
    workshop: tuple[str, list[Job], list[Part], list[Joint]],
) -> None:
    _, jobs, parts, joints = workshop
    for milestone in MILESTONES:
        worked = plan(milestone, jobs, parts, joints)
        sooner = MILESTONES[: rank(milestone) + 1]
        on = {row.part.id for row in worked.must_be_on}
        gone = {part.id for part in parts if part.lash_up and milestone == "road-ready"}
        assert {part.id for part in parts if part.needed_for in sooner} <= on | gone
        needed = {planned.job.id for planned in worked.needed}
        assert {job.id for job in jobs if not job.signed_off and job.needed_for in sooner} <= needed
