"""A template becomes a whole card of this bike, as one change that can be taken back."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build

from tickover.planning import card_templates
from tickover.records import history
from tickover.records.models import Build, JobCard, JobPart, JobStep, Limit, NeededReading, Part, Reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    build = bare_build()
    for name in ("left carburettor", "right carburettor", "carburettor rubbers", "float needles", "front wheel"):
        Part(build=build, name=name, chapter="fuel").save()
    Limit(build=build, name="fuel level, below the joint face", chapter="fuel", service_high=0.0055).save()
    Limit(build=build, name="float height", chapter="fuel", service_high=0.027).save()
    return build


def address(build: Build, template: str) -> str:
    return f"/b/{build.pk}/job-cards/templates/{template}"


def filled(client: Client, build: Build, template: str, **changed: object) -> dict[str, object]:
    """What the form's own page would send."""
    context = client.get(address(build, template)).context
    form = context["form"]
    sent = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in sent.items() if value not in (None, False)} | {
        "each": context["each"],
        **changed,
    }


@pytest.mark.parametrize("template", card_templates.all_templates())
def test_every_template_writes_a_card_that_can_be_taken_back(client: Client, build: Build, template: str) -> None:
    before = history.last_change(build.pk)
    response = client.post(address(build, template), filled(client, build, template))
    assert response.status_code == 302
    card = JobCard.objects.get()
    assert response["Location"] == card.get_absolute_url()
    told = card_templates.get(template)
    assert (card.title, card.caution, card.consumables) == (told.title, told.caution, told.consumables)
    assert card.steps.count() >= len(told.steps)
    page = client.get(card.get_absolute_url()).content.decode()
    assert "Consumables:" in page
    assert client.get(f"{card.get_absolute_url()}/lay-out").status_code == 200
    change = history.last_change(build.pk)
    assert change is not None
    assert change != before
    history.take_back(change)
    for kind in (JobCard, JobStep, JobPart, NeededReading):
        assert not kind.objects.exists(), kind


def test_parts_limits_and_each_are_found_on_this_bike(client: Client, build: Build) -> None:
    client.post(address(build, "carburettor"), filled(client, build, "carburettor"))
    card = JobCard.objects.get()
    roles = {row.part.name: row.role for row in card.job_parts.select_related("part")}
    assert roles == {
        "left carburettor": "fits",
        "right carburettor": "fits",
        "float needles": "fits",
        "carburettor rubbers": "needs",
    }
    limits = {row.name: str(row.limit) for row in card.needed_readings.select_related("limit")}
    assert limits["fuel level, left bowl"] == limits["fuel level, right bowl"] == "fuel level, below the joint face"
    assert limits["float height, right"] == "float height"


def test_four_bowls_are_four_readings(client: Client, build: Build) -> None:
    page = client.get(address(build, "carburettor") + "?each=4").content.decode()
    assert "fuel level, no. 4 bowl" in page.casefold()
    client.post(address(build, "carburettor"), {"each": "4", "title": "All four"})
    card = JobCard.objects.get()
    assert [row.name for row in card.needed_readings.all()][-4:] == [f"fuel level, no. {n} bowl" for n in (1, 2, 3, 4)]
    assert not card.job_parts.exists()


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"each": "left, left"}, "Write each carburettor once"),
        ({"each": "99"}, "is no number of them"),
        ({"title": ""}, "This is needed: job"),
        ({"limit-0": "9999"}, "choose"),
    ],
)
def test_bad_input_is_one_sentence_and_writes_nothing(
    client: Client, build: Build, wrong: dict[str, str], says: str
) -> None:
    response = client.post(address(build, "carburettor"), filled(client, build, "carburettor", **wrong))
    assert response.status_code == 422
    assert says in response.content.decode()
    assert not JobCard.objects.exists()


def test_the_list_names_every_template_and_the_bath(client: Client, build: Build) -> None:
    page = client.get(f"/b/{build.pk}/job-cards/templates").content.decode()
    for template in card_templates.all_templates().values():
        assert template.title in page
    for bath in card_templates.baths():
        assert bath.material in page
    assert client.get(address(build, "rocket")).status_code == 404


def test_more_parts_ask_no_more_questions(client: Client, build: Build) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as counted:
            client.get(address(build, "wheel_bearings"))
        return len(counted)

    before = queries()
    for number in range(30):
        Part(build=build, name=f"spare part {number}").save()
    assert queries() == before


def test_one_bowl_is_never_answered_by_the_other_ones_reading(client: Client, build: Build) -> None:
    limit = Limit.objects.get(name="float height")
    Reading(build=build, name="float height, right", limit=limit, typed="26.1 mm", value=0.0261).save()
    client.post(address(build, "carburettor"), filled(client, build, "carburettor"))
    rows = client.get(JobCard.objects.get().get_absolute_url()).context["readings"]
    at_hand = {row["needed"].name: row["at_hand"] for row in rows}
    assert at_hand["float height, left"] is None
    assert at_hand["float height, right"].typed == "26.1 mm"
