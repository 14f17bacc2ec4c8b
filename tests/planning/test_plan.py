"""What a milestone needs, in which order and why."""

from __future__ import annotations

from datetime import date

import pytest

from tickover.planning.buying import Wanted, wanted
from tickover.planning.facts import After, Buy, Job, Joint, Part, ReadingNeeded
from tickover.planning.plan import CAN_BE_DONE, LATER, WAITS, Plan, plan
from tickover.units import BadInput


def titles(worked: Plan) -> list[str]:
    return [planned.job.title for planned in worked.needed]


STARTER = Part(1, "Starter", needed_for="first start", covered_by=(2,))
COVER = Part(2, "Left side cover", needed_for="rolling chassis")


def test_a_job_is_needed_when_it_puts_on_a_part_the_milestone_needs() -> None:
    worked = plan(
        "first start",
        [Job(1, "Fit the starter", fits=(1,)), Job(2, "Fit the cover", fits=(2,))],
        [STARTER, COVER],
    )
    assert titles(worked) == ["Fit the starter"]
    assert worked.needed[0].reasons == ("first start needs the starter on the bike",)
    assert worked.next is not None
    assert worked.next.state == CAN_BE_DONE
    assert [(row.job.title, row.why) for row in worked.can_wait] == [
        ("Fit the cover", "not before rolling chassis: rolling chassis needs the left side cover on the bike")
    ]


def test_parts_wanted_for_one_reason_share_one_sentence() -> None:
    parts = [Part(number, name, needed_for="first start") for number, name in enumerate(("Coils", "Leads", "Plugs"))]
    worked = plan("first start", [Job(1, "Ignition on", fits=(0, 1, 2))], parts)
    assert worked.needed[0].reasons == ("first start needs the coils, the leads and the plugs on the bike",)


def test_a_part_that_is_on_and_ready_needs_no_job() -> None:
    on = Part(1, "Starter", needed_for="first start", now="fitted")
    worked = plan("first start", [Job(1, "Fit the starter", fits=(1,))], [on])
    assert worked.needed == ()
    assert worked.nothing_left
    assert [row.part.name for row in worked.ready_parts] == ["Starter"]


@pytest.mark.parametrize(
    ("part", "ready"),
    [
        (Part(1, "Coil", needed_for="first start", now="on the bike"), True),
        (
            Part(1, "Coil", needed_for="first start", now="on the bike", condition="worn", to_do="refurbish"),
            True,
        ),
        (Part(1, "Coil", needed_for="first start", now="on the bike", condition="damaged"), False),
        (Part(1, "Coil", needed_for="first start", now="on the bike", to_do="replace"), False),
        (Part(1, "Coil", needed_for="first start", now="fitted", condition="damaged", to_do="replace"), True),
        (Part(1, "Coil", needed_for="first start", now="out for work"), False),
    ],
)
def test_what_counts_as_ready(part: Part, ready: bool) -> None:
    assert plan("first start", [], [part]).must_be_on[0].ready is ready


def test_a_loose_joint_keeps_a_part_from_being_ready() -> None:
    part = Part(1, "Starter", needed_for="first start", now="fitted")
    worked = plan("first start", [], [part], [Joint(4, "starter bolts", "finger-tight", holds=1)])
    assert [joint.name for joint in worked.loose] == ["starter bolts"]
    assert [row.state for row in worked.parts_to_go] == ["fitted, starter bolts finger-tight"]
    assert not worked.nothing_left
    assert plan("first start", [], [part], [Joint(4, "starter bolts", "torqued", holds=1)]).nothing_left


def test_the_covered_part_goes_on_before_its_cover() -> None:
    cover = Part(2, "Left side cover", needed_for="first start")
    worked = plan(
        "first start",
        [Job(1, "Fit the cover", fits=(2,)), Job(2, "Fit the starter", fits=(1,))],
        [STARTER, cover],
    )
    assert titles(worked) == ["Fit the starter", "Fit the cover"]
    why = "with the left side cover on, nobody reaches the starter"
    assert f"must come before “Fit the cover”: {why}" in worked.needed[0].reasons
    assert worked.needed[1].comes_after == (f"after “Fit the starter”: {why}",)
    assert worked.needed[1].state == LATER


def test_a_cover_behind_a_cover_counts_too() -> None:
    parts = [
        Part(1, "Igniter", needed_for="first start", covered_by=(2,)),
        Part(2, "Tray", now="on the bike", covered_by=(3,)),
        Part(3, "Tank", needed_for="first start"),
    ]
    worked = plan("first start", [Job(1, "Hang the tank", fits=(3,)), Job(2, "Fit the igniter", fits=(1,))], parts)
    assert titles(worked) == ["Fit the igniter", "Hang the tank"]
    assert worked.needed[0].first == ("take the tray off to reach the igniter",)


def test_what_must_come_before_a_needed_job_is_needed_with_its_reason() -> None:
    jobs = [
        Job(1, "Fit the starter", fits=(1,), after=(After(2, "the thread was stripped."),)),
        Job(2, "Put a thread insert in"),
        Job(3, "Already done", signed_off=True),
        Job(4, "Polish"),
    ]
    worked = plan("first start", jobs, [STARTER, COVER])
    assert titles(worked) == ["Put a thread insert in", "Fit the starter"]
    assert worked.needed[0].reasons == ("must come before “Fit the starter”: the thread was stripped",)
    assert worked.can_wait[0].why == "no milestone asks for it"


def test_a_signed_off_job_holds_nothing_up() -> None:
    jobs = [
        Job(1, "Fit the starter", fits=(1,), after=(After(2),)),
        Job(2, "Mend the thread", signed_off=True),
    ]
    worked = plan("first start", jobs, [STARTER, COVER])
    assert titles(worked) == ["Fit the starter"]
    assert worked.needed[0].ready


def test_a_part_that_a_needed_job_stands_on_must_be_on() -> None:
    parts = [
        Part(1, "Carburettors", needed_for="first start"),
        Part(2, "Inlet rubbers"),
        Part(3, "Gasket", now="in stores"),
    ]
    jobs = [
        Job(1, "Fit the carburettors", fits=(1,), needs=(2, 3)),
        Job(2, "Fit the inlet rubbers", fits=(2,)),
    ]
    worked = plan("first start", jobs, parts)
    assert titles(worked) == ["Fit the inlet rubbers", "Fit the carburettors"]
    assert {row.part.name: row.reasons for row in worked.must_be_on} == {
        "Carburettors": ("first start needs it",),
        "Inlet rubbers": ("“Fit the carburettors” stands on it",),
    }


def test_a_reading_behind_a_cover_is_taken_before_the_cover_goes_on() -> None:
    parts = [Part(1, "Float bowl", covered_by=(2,)), Part(2, "Carburettor cover", needed_for="first start")]
    jobs = [
        Job(1, "Fit the carburettor cover", fits=(2,)),
        Job(
            2,
            "Set the fuel level",
            needed_for="first start",
            readings=(ReadingNeeded("fuel level, left bowl", part=1),),
        ),
    ]
    worked = plan("first start", jobs, parts)
    assert titles(worked) == ["Set the fuel level", "Fit the carburettor cover"]
    assert worked.needed[1].first == (
        "take the reading “fuel level, left bowl” first: it is behind the carburettor cover",
    )
    taken = ReadingNeeded("fuel level, left bowl", taken=True, verdict="outside", part=1)
    jobs[1] = Job(2, "Set the fuel level", needed_for="first start", readings=(taken,))
    worked = plan("first start", jobs, parts)
    assert worked.of(1) is not None
    assert worked.of(1).first == ()
    assert worked.of(2) is not None
    assert worked.of(2).first == ("the reading “fuel level, left bowl” is outside its limit: put that right",)


def test_a_reading_too_close_to_call_is_read_again() -> None:
    level = ReadingNeeded("fuel level", taken=True, verdict="too close to call")
    worked = plan("first start", [Job(1, "Set the level", needed_for="first start", readings=(level,))], [])
    assert worked.needed[0].first == ("the reading “fuel level” is too close to call: read it again",)
    assert worked.needed[0].readings_left == ()


def test_what_waits_for_a_part_is_not_next_however_much_hangs_on_it() -> None:
    hose = Buy(7, "fuel hose", "on order", date(2026, 12, 3))
    jobs = [
        Job(1, "Run the fuel hose", needed_for="first start", buys=(hose,)),
        Job(2, "Fill the bottle", needed_for="first start", after=(After(1),), hours=9.0),
        Job(3, "Charge the battery", needed_for="first start", hours=0.5),
    ]
    worked = plan("first start", jobs, [])
    assert titles(worked) == ["Charge the battery", "Run the fuel hose", "Fill the bottle"]
    assert worked.needed[1].waits_for == ("“fuel hose” is on order, expected 3 Dec 2026",)
    assert worked.needed[1].state == WAITS
    assert worked.next is not None
    assert worked.next.job.id == 3


@pytest.mark.parametrize(
    ("part", "says"),
    [
        (Part(1, "Coils", needed_for="first start", now="out for work"), ("Coils: out for work",)),
        (Part(1, "Coils", needed_for="first start", now="on order"), ("Coils: on order",)),
        (
            Part(1, "Coils", needed_for="first start", condition="missing"),
            ("Coils: missing, and on no buying list",),
        ),
        (Part(1, "Coils", needed_for="first start", condition="missing", to_do="make"), ()),
        (
            Part(
                1,
                "Coils",
                needed_for="first start",
                condition="missing",
                buys=(Buy(1, "two coils", "to order"),),
            ),
            ("“two coils” is not ordered yet",),
        ),
        (
            Part(
                1,
                "Coils",
                needed_for="first start",
                condition="missing",
                buys=(Buy(1, "two coils", "arrived"),),
            ),
            (),
        ),
    ],
)
def test_a_job_waits_for_its_part(part: Part, says: tuple[str, ...]) -> None:
    worked = plan("first start", [Job(1, "Fit the coils", fits=(1,))], [part])
    assert worked.needed[0].waits_for == says


def test_the_longest_chain_goes_first_then_the_shortest_job() -> None:
    jobs = [
        Job(1, "short", needed_for="first start", hours=1.0),
        Job(2, "shorter", needed_for="first start", hours=0.5),
        Job(3, "opens a long one", needed_for="first start", hours=5.0),
        Job(4, "long", needed_for="first start", hours=8.0, after=(After(3),)),
    ]
    assert titles(plan("first start", jobs, [])) == ["opens a long one", "shorter", "short", "long"]


def test_a_circle_is_one_sentence_and_the_plan_still_stands() -> None:
    jobs = [
        Job(1, "A", needed_for="first start", after=(After(2),)),
        Job(2, "B", needed_for="first start", after=(After(1),)),
        Job(3, "C", needed_for="first start"),
    ]
    worked = plan("first start", jobs, [])
    assert sorted(titles(worked)) == ["A", "B", "C"]
    assert worked.circles == (
        "These jobs wait for each other: “A” before “B” before “A”; "
        "take out one of these orders, or split one of the jobs.",
    )
    assert not worked.nothing_left


def test_covers_that_cover_each_other_end() -> None:
    parts = [
        Part(1, "One", needed_for="first start", covered_by=(2,)),
        Part(2, "Two", needed_for="first start", covered_by=(1,)),
    ]
    worked = plan("first start", [Job(1, "A", fits=(1,)), Job(2, "B", fits=(2,))], parts)
    assert sorted(titles(worked)) == ["A", "B"]
    assert len(worked.circles) == 1


def test_an_order_written_on_a_card_outlives_a_circle_with_a_cover() -> None:
    cover = Part(2, "Left side cover", needed_for="first start")
    jobs = [
        Job(1, "Fit the cover", fits=(2,)),
        Job(2, "Fit the starter", fits=(1,), after=(After(1, "so it is"),)),
    ]
    worked = plan("first start", jobs, [STARTER, cover])
    assert titles(worked) == ["Fit the cover", "Fit the starter"]
    assert len(worked.circles) == 1


def test_a_job_kept_for_later_is_not_taken_where_another_fits_the_part() -> None:
    jobs = [
        Job(1, "Fit it", fits=(1,)),
        Job(2, "Fit it with the new loom", fits=(1,), needed_for="road-ready"),
    ]
    assert titles(plan("first start", jobs, [STARTER, COVER])) == ["Fit it"]
    assert titles(plan("first start", jobs[1:], [STARTER, COVER])) == ["Fit it with the new loom"]


def test_a_lash_up_serves_the_first_start_and_must_be_gone_for_the_road() -> None:
    bottle = Part(1, "Fuel bottle", needed_for="first start", now="fitted", lash_up=True)
    assert plan("first start", [], [bottle]).nothing_left
    road = plan("road-ready", [], [bottle])
    assert road.gone == (bottle,)
    assert road.must_be_on == ()
    assert not road.nothing_left


def test_what_is_on_no_job_card_is_said() -> None:
    worked = plan("first start", [], [STARTER, COVER])
    assert worked.missing == ("Starter: must go on, and no open job card puts it on.",)


@pytest.mark.parametrize(
    ("milestone", "jobs", "parts", "says"),
    [
        ("first ride", [], [], "“first ride” is no milestone"),
        ("first start", [Job(1, "A"), Job(1, "B")], [], "Two jobs have the number 1"),
        ("first start", [Job(1, "A", fits=(9,))], [], "names part 9"),
        ("first start", [Job(1, "A", after=(After(9),))], [], "comes after job 9"),
        ("first start", [], [Part(1, "A", covered_by=(9,))], "covered by part 9"),
        ("first start", [Job(1, "A", needed_for="Tuesday")], [], "“Tuesday” is no milestone"),
    ],
)
def test_bad_facts_are_refused_in_one_sentence(milestone: str, jobs: list[Job], parts: list[Part], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        plan(milestone, jobs, parts)


def test_buying_goes_by_what_waits_soonest() -> None:
    parts = [
        Part(1, "Tyre", needed_for="rolling chassis", buys=(Buy(1, "tyre", "to order"),)),
        Part(2, "Hose", needed_for="first start", buys=(Buy(2, "hose", "to order"),)),
        Part(3, "Mirror", buys=(Buy(3, "mirror", "to order"),)),
        Part(4, "Plug", needed_for="first start", buys=(Buy(4, "plugs", "to order"),)),
    ]
    jobs = [
        Job(1, "Fit the tyre", fits=(1,)),
        Job(2, "Run the hose", fits=(2,), buys=(Buy(5, "clips", "arrived"),)),
    ]
    found = wanted(jobs, parts)
    assert found == {
        1: Wanted("rolling chassis", 1, job=1),
        2: Wanted("first start", 1, job=2),
        4: Wanted("first start", 2, part=4),
    }
    assert sorted(found, key=lambda number: found[number].turn) == [2, 4, 1]
    assert Wanted().turn > found[1].turn
