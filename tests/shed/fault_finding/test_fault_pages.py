"""The search at the bike, page by page; the whole journeys are in ``tests/journeys``."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from tests.shed.penhallow import bare_build

from tickover.records.models import Build, FaultReading, FaultSearch, MilestoneReached, WireEnd

pytestmark = pytest.mark.django_db

FIRES = "seen:fires@KEY=on,START=in=no"


@pytest.fixture
def search(client: Client, heron: Build) -> FaultSearch:
    client.post(f"/b/{heron.pk}/fault-finding", {"typed": FIRES})
    return FaultSearch.objects.get()


def text(client: Client, search: FaultSearch) -> str:
    answer = client.get(f"/q/{search.pk}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_without_a_loom_it_says_what_it_needs(client: Client) -> None:
    build = bare_build()
    page = client.get(f"/b/{build.pk}/fault-finding").content.decode()
    assert "needs the battery and what is wired to it" in page
    assert client.post(f"/b/{build.pk}/fault-finding", {"typed": FIRES}).status_code == 422


@pytest.mark.parametrize(
    ("typed", "named"),
    [
        ("", "No complaint is chosen"),
        ("it does nothing", "it does nothing"),
        ("volts:BAT.+=12", "seen"),
        ("seen:fires@KEY=sideways=no", "sideways"),
    ],
)
def test_a_complaint_that_cannot_be_used(client: Client, heron: Build, typed: str, named: str) -> None:
    answer = client.post(f"/b/{heron.pk}/fault-finding", {"typed": typed})
    assert answer.status_code == 422
    assert named in answer.content.decode()
    assert not FaultSearch.objects.exists()


def test_the_complaints_of_this_bike_are_offered(client: Client, heron: Build) -> None:
    page = client.get(f"/b/{heron.pk}/fault-finding").content.decode()
    for says in ("It cranks and does not fire", "It does not crank", "does not light"):
        assert says in page


def test_a_step_says_why_what_and_what_else(client: Client, search: FaultSearch) -> None:
    page = text(client, search)
    for part in (
        "Why this test",
        "A sound bike shows",
        "Not sure",
        "Could not reach it",
        "Other good tests",
        "Caution",
    ):
        assert part in page
    other = re.search(r'href="(\?test=[^"]+)"', page)
    assert other
    answer = client.get(f"/q/{search.pk}{other[1].replace('&amp;', '&')}")
    assert answer.status_code == 200


def test_an_answer_is_kept_with_what_it_rules_out_and_can_be_taken_back(client: Client, search: FaultSearch) -> None:
    client.post(f"/q/{search.pk}/answer", {"test": "seen:spark@KEY=on,START=in", "value": "no"})
    reading = FaultReading.objects.get()
    assert reading.ruled_out.startswith("Rules out")
    assert reading.ruled_out in text(client, search)
    client.post(f"/q/{search.pk}/take-back")
    assert not FaultReading.objects.exists()


@pytest.mark.parametrize(
    ("value", "named"), [("", "No figure is given"), ("plenty", "plenty"), ("12 mm", "12 mm"), ("nan", "nan")]
)
def test_a_figure_that_cannot_be_read_is_refused_and_stays(
    client: Client, search: FaultSearch, value: str, named: str
) -> None:
    answer = client.post(f"/q/{search.pk}/answer", {"test": "volts:IGN.15@KEY=on", "value": value})
    assert answer.status_code == 422
    assert named in answer.content.decode()
    assert not FaultReading.objects.exists()


def test_nothing_is_mended_before_it_is_found(client: Client, search: FaultSearch) -> None:
    answer = client.post(f"/q/{search.pk}/mended")
    assert answer.status_code == 400
    assert "has not found the cause yet" in answer.content.decode()


def test_readings_that_cannot_be_true_together_are_named(client: Client, search: FaultSearch) -> None:
    for test, value in [("seen:spark@KEY=on,START=in", "no"), ("seen:trickle_fires", "yes")]:
        client.post(f"/q/{search.pk}/answer", {"test": test, "value": value})
    assert "These do not go together" in text(client, search)


def test_a_search_set_aside_takes_no_more_answers(client: Client, search: FaultSearch) -> None:
    client.post(f"/q/{search.pk}/set-aside")
    client.post(f"/q/{search.pk}/answer", {"test": "seen:spark@KEY=on,START=in", "value": "no"})
    assert not FaultReading.objects.exists()
    assert "Set aside" in text(client, search)


def test_a_reading_made_stale_by_the_loom_is_named(client: Client, search: FaultSearch) -> None:
    client.post(f"/q/{search.pk}/answer", {"test": "volts:IGN.15@KEY=on", "value": "12.4"})
    WireEnd.objects.filter(component__ident="IGN").delete()
    search.build.loomcomponents.get(ident="IGN").delete()
    page = text(client, search)
    assert "The loom has changed" in page
    client.post(f"/q/{search.pk}/take-back")
    assert not FaultReading.objects.exists()


def test_found_mended_cured_reaches_the_milestone_once(client: Client, search: FaultSearch) -> None:
    answers = [
        ("seen:spark@KEY=on,START=in", "no"),
        ("volts:IGN.31@KEY=on", "12.5"),
        ("volts:IGN.trigger@KEY=on", "12.5"),
    ]
    for test, value in answers:
        client.post(f"/q/{search.pk}/answer", {"test": test, "value": value})
    assert "<h1>Found</h1>" in text(client, search)
    client.post(f"/q/{search.pk}/mended")
    assert "Now try it again" in text(client, search)
    client.post(f"/q/{search.pk}/tried", {"still": "no"})
    client.post(f"/q/{search.pk}/tried", {"still": "no"})
    search.refresh_from_db()
    assert search.cured
    assert MilestoneReached.objects.get().milestone == "first start"
    assert "first start reached" in client.get(f"/b/{search.build_id}").content.decode()
