"""The list of job cards and the plan page."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build
from tests.shed.workshop import on_the_way

from tickover.records.models import (
    Build,
    Cover,
    JobCard,
    JobOrder,
    JobPart,
    NeededReading,
    Part,
    Purchase,
)

pytestmark = pytest.mark.django_db


def text_of(client: Client, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


def in_this_order(text: str, *words: str) -> None:
    """The words stand in this order on the page, from the first of them on."""
    start = text.index(words[0])
    places = [text.index(word, start) for word in words]
    assert places == sorted(places), dict(zip(words, places, strict=True))


def test_an_empty_build_is_told_what_belongs_here(client: Client) -> None:
    build = bare_build()
    assert "Write the first one" in text_of(client, f"/b/{build.pk}/job-cards")
    plan = text_of(client, f"/b/{build.pk}/plan")
    assert "Nothing on record stands between here and first start." in plan
    assert "No part is marked as needed for first start" in plan


def test_cards_stand_in_the_order_of_work_with_what_they_wait_for(client: Client) -> None:
    build = on_the_way()
    text = text_of(client, f"/b/{build.pk}/job-cards")
    in_this_order(text, "Starter back in", "Bowls on", "Guard on", "Can wait", "Seat covered")
    assert "“bowl gasket” is on order, expected 9 Oct 2026" in text
    assert "Not before road-ready: road-ready needs the seat on the bike." in text
    assert text.count(">next<") == 1


def test_cards_by_chapter_and_signed_off(client: Client) -> None:
    build = on_the_way()
    by_chapter = text_of(client, f"/b/{build.pk}/job-cards?show=chapters")
    in_this_order(by_chapter, ">Fuel</th>", "Bowls on", ">Electrics</th>", "Starter back in", ">Chassis</th>")
    assert "No job is signed off yet" in text_of(client, f"/b/{build.pk}/job-cards?show=done")
    card = JobCard.objects.get(title="Frame painted")
    client.post(f"/j/{card.pk}/sign-off", {"who": "Jory"})
    done = text_of(client, f"/b/{build.pk}/job-cards?show=done")
    assert "Frame painted" in done
    assert "Jory" in done
    assert f'href="/j/{card.pk}"' not in text_of(client, f"/b/{build.pk}/job-cards")


def test_the_plan_gives_its_reasons(client: Client) -> None:
    build = on_the_way()
    text = text_of(client, f"/b/{build.pk}/plan")
    in_this_order(text, "Jobs, in this order", "Starter back in", "Bowls on", "Guard on", "What must be on the bike")
    assert "First start needs the starter on the bike; must come before" in text
    assert "must come before “Bowls on”: the starter is reached past the carburettors." in text
    assert "with the carburettor guard on, nobody reaches the left float bowl" in text
    assert "take the reading “fuel level, left” first: it is behind the carburettor guard" in text
    assert "take the left side cover off to reach the starter" in text
    assert "To read before it is signed off: fuel level, left." in text
    assert "shelf 2" in text
    assert "Exhaust gas kills without smell." in text
    assert "starter bolts" in text
    assert text.count('class="button main"') == 1


def test_another_milestone_is_looked_at_and_not_chosen(client: Client) -> None:
    build = on_the_way()
    text = text_of(client, f"/b/{build.pk}/plan?milestone=road-ready")
    assert "The way to road-ready" in text
    assert "Seat covered" in text
    assert "does not replace a licensed engineer" in text
    assert Build.objects.get(pk=build.pk).milestone == "first start"


def test_an_unknown_milestone_is_one_sentence(client: Client) -> None:
    build = on_the_way()
    text = text_of(client, f"/b/{build.pk}/plan?milestone=Tuesday", 400)
    assert "“Tuesday” is no milestone; the milestones are first start, rolling chassis, road-ready." in text


def test_a_circle_is_said_and_the_page_stands(client: Client) -> None:
    build = on_the_way()
    first, then = JobCard.objects.get(title="Starter back in"), JobCard.objects.get(title="Bowls on")
    JobOrder(build=build, first=then, then=first).save()
    for page in ("plan", "job-cards"):
        assert "These jobs wait for each other" in text_of(client, f"/b/{build.pk}/{page}")


def more_of_everything(build: Build, count: int) -> None:
    last = None
    for number in range(count):
        part = Part(build=build, name=f"part {number}", needed_for="first start", now="in stores")
        part.save()
        card = JobCard(build=build, title=f"job {number}")
        card.save()
        JobPart(build=build, card=card, part=part).save()
        NeededReading(build=build, card=card, name=f"reading {number}").save()
        Purchase(build=build, what=f"thing {number}", part=part, card=card, state="on order").save()
        if last is not None:
            JobOrder(build=build, first=last[0], then=card).save()
            Cover(build=build, cover=part, covered=last[1]).save()
        last = card, part


@pytest.mark.parametrize("page", ["job-cards", "job-cards?show=chapters", "job-cards?show=done", "plan", "buying"])
def test_the_number_of_queries_does_not_grow(client: Client, page: str) -> None:
    build = on_the_way()

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            text_of(client, f"/b/{build.pk}/{page}")
        return len(seen)

    few = queries()
    more_of_everything(build, 20)
    assert queries() == few
