"""Records become the plain facts that a plan is made from."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build
from tests.shed.workshop import on_the_way

from tickover.planning.facts import After, ReadingNeeded
from tickover.records.as_plan import buying_of, facts_of, places_of, plan_of
from tickover.records.history import writing
from tickover.records.models import JobCard, JobOrder, NeededReading, Part, Purchase, Reading, Store
from tickover.units import BadInput

pytestmark = pytest.mark.django_db


def test_an_empty_build_has_an_empty_plan() -> None:
    assert plan_of(bare_build()).nothing_left


def test_every_link_of_the_records_arrives() -> None:
    build = on_the_way()
    known = facts_of(build)
    parts = {part.name: part for part in known.parts}
    jobs = {job.title: job for job in known.jobs}
    assert parts["starter"].place == "back room › box 4"
    assert parts["left float bowl"].covered_by == (parts["carburettor guard"].id,)
    bowls = jobs["Bowls on"]
    assert bowls.fits == (parts["left float bowl"].id,)
    assert bowls.after == (After(jobs["Starter back in"].id, "the starter is reached past the carburettors"),)
    assert bowls.readings == (
        ReadingNeeded("fuel level, left", verdict="not measured", part=parts["left float bowl"].id),
    )
    assert [buy.what for buy in bowls.buys] == ["bowl gasket"]
    assert [(joint.name, joint.holds) for joint in known.joints] == [("starter bolts", parts["starter"].id)]


def test_a_taken_reading_brings_its_verdict() -> None:
    build = on_the_way()
    needed = NeededReading.objects.get(card__title="Bowls on")
    reading = Reading(build=build, name="level", limit=needed.limit, typed="9 mm", value=0.009)
    reading.save()
    needed.reading = reading
    needed.save()
    (level,) = next(job for job in facts_of(build).jobs if job.title == "Bowls on").readings
    assert (level.taken, level.verdict) == (True, "outside")


def test_a_signed_off_card_asks_for_nothing_and_opens_what_followed() -> None:
    build = on_the_way()
    JobOrder.objects.all().delete()
    assert plan_of(build).needed[0].job.title == "Starter back in"
    card = JobCard.objects.get(title="Starter back in")
    card.signed_off_at = card.created_at
    card.save()
    plan = plan_of(build)
    assert "Starter back in" not in [row.job.title for row in plan.needed]
    assert plan.missing == ("Starter: must go on, and no open job card puts it on.",)


def test_another_build_is_not_mixed_in() -> None:
    build = on_the_way()
    other = bare_build("Second bike")
    Part(build=other, name="other starter", needed_for="first start").save()
    assert [row.part.name for row in plan_of(other).must_be_on] == ["other starter"]
    assert "other starter" not in [row.part.name for row in plan_of(build).must_be_on]


def test_an_unknown_milestone_is_refused() -> None:
    with pytest.raises(BadInput, match="“Tuesday” is no milestone"):
        plan_of(bare_build(), "Tuesday")


def test_buying_knows_where_each_purchase_is_waited_for() -> None:
    build = on_the_way()
    found = {Purchase.objects.get(pk=number).what: wanted.milestone for number, wanted in buying_of(build).items()}
    assert found == {"bowl gasket": "first start", "seat foam": "road-ready"}


def test_places_that_stand_in_each_other_end() -> None:
    build = bare_build()
    one = Store(build=build, name="one")
    one.save()
    two = Store(build=build, name="two", inside=one)
    two.save()
    one.inside = two
    one.save()
    assert set(places_of(build)) == {one.pk, two.pk}


def test_ten_queries_however_many_records() -> None:
    build = on_the_way()
    for number in range(30):
        Part(build=build, name=f"part {number}", needed_for="first start").save()
        NeededReading(build=build, card=JobCard.objects.get(title="Bowls on"), name=f"gap {number}").save()
    with CaptureQueriesContext(connection) as seen:
        plan_of(build)
    assert len(seen) == 10


@pytest.mark.django_db(transaction=True)
def test_a_plan_is_remembered_until_something_is_written() -> None:
    build = on_the_way()
    first = plan_of(build)
    with CaptureQueriesContext(connection) as seen:
        assert plan_of(build) is first
    assert len(seen) == 1
    part = Part.objects.get(build=build, name="starter")
    part.name = "starter motor"
    part.save()
    assert "starter motor" in [row.part.name for row in plan_of(build).must_be_on]
    with writing(kept=False):
        Part(build=build, name="kickstart lever", needed_for="first start").save()
    assert "kickstart lever" in [row.part.name for row in plan_of(build).must_be_on]
