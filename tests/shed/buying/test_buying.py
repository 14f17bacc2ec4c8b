"""Buying: the order the bike waits in, one tap for ordered and arrived."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone
from tests.shed.penhallow import bare_build
from tests.shed.workshop import on_the_way

from tickover.records import history
from tickover.records.models import Build, Change, Part, Purchase

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return on_the_way()


def text_of(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_an_empty_list_says_what_belongs_there(client: Client) -> None:
    build = bare_build()
    text = text_of(client, f"/b/{build.pk}/buying")
    assert "Write down the first" in text
    assert text.count("main") >= 1


def test_what_the_bike_waits_for_soonest_stands_first(client: Client, build: Build) -> None:
    starter = Part.objects.get(build=build, name="starter")
    Purchase(build=build, what="brush set", part=starter, price=Decimal("12.00"), count=2).save()
    text = text_of(client, f"/b/{build.pk}/buying")
    places = [text.index(word) for word in ("brush set", "seat foam", "wheel of fortune", "On order", "bowl gasket")]
    assert places == sorted(places)
    assert "Starter back in" in text
    assert "nothing on record" in text
    assert "overdue" in text
    assert "Together: <b>33.00</b>, without 1 whose price is not known." in text
    assert "Together: <b>7.00</b>." in text


def test_ordered_and_arrived_are_one_tap_each(client: Client, build: Build) -> None:
    missing = Part.objects.get(build=build, name="petcock")
    missing.condition = "missing"
    missing.save()
    bought = Purchase(build=build, what="petcock, second-hand", part=missing)
    bought.save()
    assert client.get(f"/o/{bought.pk}/ordered").status_code == 405
    client.post(f"/o/{bought.pk}/ordered")
    bought.refresh_from_db()
    missing.refresh_from_db()
    assert (bought.state, bought.ordered_on) == ("on order", timezone.localdate())
    assert missing.now == "on order"
    assert client.post(f"/o/{bought.pk}/ordered").status_code == 400
    answer = client.post(f"/o/{bought.pk}/arrived", follow=True)
    assert "Say on its page where petcock is kept." in answer.content.decode()
    bought.refresh_from_db()
    missing.refresh_from_db()
    assert (bought.state, bought.arrived_on, missing.now) == ("arrived", timezone.localdate(), "in stores")
    assert client.post(f"/o/{bought.pk}/arrived").status_code == 400
    history.take_back(history.last_change(build.pk))
    bought.refresh_from_db()
    missing.refresh_from_db()
    assert (bought.state, bought.arrived_on, missing.now) == ("on order", None, "on order")


def test_a_purchase_says_what_waits_for_it(client: Client, build: Build) -> None:
    gasket = Purchase.objects.get(build=build, what="bowl gasket")
    text = text_of(client, f"/o/{gasket.pk}")
    for words in ("Bowls on", "first start", "It was expected 9 Oct 2026 and is not here.", "3.50", "7.00"):
        assert words in text
    fortune = Purchase.objects.get(build=build, what="wheel of fortune")
    assert "No milestone waits for it." in text_of(client, f"/o/{fortune.pk}")


def test_a_purchase_is_written_edited_and_struck_out(client: Client, build: Build) -> None:
    card = Purchase.objects.get(what="seat foam").card
    assert f'<option value="{card.pk}" selected>' in text_of(client, f"/b/{build.pk}/buying/new?card={card.pk}")
    answer = client.post(
        f"/b/{build.pk}/buying/new", {"what": "thread", "count": "3", "price": "4.20", "state": "to order"}
    )
    bought = Purchase.objects.get(what="thread")
    assert answer["Location"] == f"/o/{bought.pk}"
    client.post(
        f"/o/{bought.pk}/edit",
        {"what": "thread", "count": "4", "state": "on order", "ordered_on": "2026-11-01"},
    )
    bought.refresh_from_db()
    assert (bought.count, bought.ordered_on) == (4, date(2026, 11, 1))
    client.post(f"/o/{bought.pk}/strike-out")
    assert not Purchase.objects.filter(pk=bought.pk).exists()


GOOD = {"what": "thread", "count": "1", "state": "to order"}


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"what": ""}, "Say what is to be bought."),
        ({"count": "0"}, "At least one has to be bought."),
        ({"count": "two"}, "Give how many as a whole number"),
        ({"count": "99999999999999999999"}, "Give how many as a whole number up to"),
        ({"price": "cheap"}, "Give the price of one as a number"),
        ({"price": "-3"}, "A price is not below nought"),
        ({"price": "NaN"}, "Give the price of one as a number"),
        ({"expected_on": "next week"}, "Write the day as year-month-day"),
        (
            {"state": "arrived", "ordered_on": "2026-05-02", "arrived_on": "2026-05-01"},
            "cannot have arrived before",
        ),
        ({"arrived_on": "2026-05-01"}, "A day of arrival is given"),
        ({"card": "999"}, "Choose one of this bike’s jobs."),
    ],
)
def test_a_bad_purchase_is_one_sentence_and_nothing_is_written(
    client: Client, build: Build, given: dict[str, str], says: str
) -> None:
    before, changes = Purchase.objects.count(), Change.objects.count()
    answer = client.post(f"/b/{build.pk}/buying/new", GOOD | given)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert text.count('class="wrong"') == 1
    assert says in text
    assert (Purchase.objects.count(), Change.objects.count()) == (before, changes)
