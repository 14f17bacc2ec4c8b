"""Kits: written down from a purchase, counted, read and measured against what came out."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build

from tickover.records import history
from tickover.records.models import Build, Kit, KitItem, Limit, Part, Purchase, Reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return bare_build()


@pytest.fixture
def kit(build: Build) -> Kit:
    kit = Kit(build=build, name="carburettor kit, left")
    kit.save()
    KitItem(build=build, kit=kit, name="main jet", stamped_old="100", stamped_new="95").save()
    return kit


def text(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def item_form(client: Client, item: KitItem, **changed: object) -> dict[str, object]:
    """What the item's own form would send."""
    form = client.get(f"/k/{item.kit_id}/item/{item.pk}").context["form"]
    return {name: form[name].value() or "" for name in form.fields} | changed


def test_an_empty_list_says_what_belongs_there(client: Client, build: Build) -> None:
    assert "A kit is what was bought" in text(client, f"/b/{build.pk}/kits")


def test_a_kit_is_written_down_from_its_purchase(client: Client, build: Build) -> None:
    bought = Purchase(build=build, what="bowl set", price=Decimal("12.50"))
    bought.save()
    form = client.get(f"/b/{build.pk}/kits/new?purchase={bought.pk}").context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    assert client.post(f"/b/{build.pk}/kits/new", sent).status_code == 302
    kit = Kit.objects.get()
    assert (kit.name, kit.purchase) == ("bowl set", bought)
    client.post(f"/k/{kit.pk}/items", {"things": "main jet x 2\n\nbowl gasket\n"})
    assert list(kit.items.values_list("name", "count_out", "count_in")) == [("main jet", 2, 2), ("bowl gasket", 1, 1)]
    change = history.last_change(build.pk)
    assert change is not None
    history.take_back(change)
    assert not kit.items.exists()


def test_every_page_opens(client: Client, kit: Kit) -> None:
    item = kit.items.get()
    for page in (
        "",
        "/edit",
        "/strike-out",
        f"/item/{item.pk}",
        f"/item/{item.pk}/effect",
        f"/item/{item.pk}/strike-out",
    ):
        text(client, f"/k/{kit.pk}{page}")
    for page in ("/k/99", f"/k/99/item/{item.pk}", f"/k/{kit.pk}/item/99"):
        assert client.get(page).status_code == 404


def test_sizes_become_readings_with_their_uncertainty(client: Client, build: Build, kit: Kit) -> None:
    item = kit.items.get()
    part = Part(build=build, name="left carburettor")
    part.save()
    sent = item_form(client, item, old_typed="1.00", new_typed="0.95 mm", instrument="micrometer", part=part.pk)
    assert client.post(f"/k/{kit.pk}/item/{item.pk}", sent).status_code == 302
    item.refresh_from_db()
    assert (item.old.typed, item.old.name, item.old.part) == ("1.00 mm", "main jet, as it came out", part)
    assert item.new.value == pytest.approx(0.95e-3)
    assert item.new.plus_minus > 0
    assert "smaller than what came out by 0.050 ± 0.006 mm" in text(client, f"/k/{kit.pk}").casefold()
    before = item.old_id, item.new_id
    assert client.post(f"/k/{kit.pk}/item/{item.pk}", item_form(client, item, remark="again")).status_code == 302
    item.refresh_from_db()
    assert (item.old_id, item.new_id) == before
    assert Reading.objects.count() == 2
    sent = item_form(client, item, old_from="", new_typed="")
    client.post(f"/k/{kit.pk}/item/{item.pk}", sent)
    item.refresh_from_db()
    assert (item.old, item.new) == (None, None)
    assert Reading.objects.count() == 2


def test_a_reading_on_record_can_stand_for_the_old(client: Client, build: Build, kit: Kit) -> None:
    reading = Reading(build=build, name="jet bore", dimension="length", typed="1.00 mm", value=1e-3)
    reading.save()
    item = kit.items.get()
    client.post(f"/k/{kit.pk}/item/{item.pk}", item_form(client, item, old_from=reading.pk))
    item.refresh_from_db()
    assert item.old == reading


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"name": ""}, "Say what it is"),
        ({"count_in": "-1"}, "greater than or equal to 0"),
        ({"count_out": "many"}, "Write a whole number"),
        ({"new_typed": "wide"}, "does not start with a number"),
        ({"new_typed": "9 bar"}, "is a unit of pressure"),
        ({"new_typed": "1 mm", "instrument": "compression_gauge"}, "choose another instrument"),
        ({"old_typed": "1 mm", "old_from": "READING"}, "not both"),
        ({"limit": "LIMIT"}, "The book’s size is a pressure"),
        ({"old_from": "777"}, "is not in the list"),
    ],
)
def test_bad_input_is_one_sentence_and_writes_nothing(
    client: Client, build: Build, kit: Kit, wrong: dict[str, str], says: str
) -> None:
    reading = Reading(build=build, name="jet bore", dimension="length", typed="1.00 mm", value=1e-3)
    reading.save()
    limit = Limit(build=build, name="fuel pressure", dimension="pressure", service_high=1e5)
    limit.save()
    numbers = {"READING": str(reading.pk), "LIMIT": str(limit.pk)}
    item = kit.items.get()
    sent = item_form(client, item, **{name: numbers.get(value, value) for name, value in wrong.items()})
    response = client.post(f"/k/{kit.pk}/item/{item.pk}", sent)
    assert response.status_code == 422
    assert says in response.content.decode()
    kept = KitItem.objects.get()
    assert (kept.name, kept.count_in, kept.new, kept.limit) == ("main jet", 1, None, None)
    assert Reading.objects.count() == 1


def test_what_a_jet_does_is_proposed_and_worked_out(client: Client, kit: Kit) -> None:
    item = kit.items.get()
    address = f"/k/{kit.pk}/item/{item.pk}/effect"
    response = client.get(address)
    assert response.context["by"] == "fuel.jet_flow:jet"
    assert client.post(address, {"by": "fuel.jet_flow:jet", "instead_of": "100"}).status_code == 302
    page = text(client, f"/k/{kit.pk}")
    assert "What it does, against what came out: 100 → 95" in page
    assert "−9.75 %" in page
    assert "Petrol vapour" in page
    client.post(address, {"by": ""})
    item.refresh_from_db()
    assert (item.sheet, item.sheet_input, item.sheet_others) == ("", "", {})


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"by": "fuel.jet_flow:jet", "instead_of": "many"}, "does not start with a number"),
        ({"by": "final_drive.road_speed:front", "rear": "38"}, "needs engine_speed"),
        ({"by": "moon.phase:x"}, "there is no sheet"),
        ({"by": "fuel.jet_flow:numbered"}, "has no input"),
        ({"by": "fuel.jet_flow"}, "has no input"),
    ],
)
def test_a_bad_effect_is_one_sentence_and_writes_nothing(
    client: Client, kit: Kit, sent: dict[str, str], says: str
) -> None:
    item = kit.items.get()
    response = client.post(f"/k/{kit.pk}/item/{item.pk}/effect", sent)
    assert response.status_code == 422
    assert says in response.content.decode()
    item.refresh_from_db()
    assert item.sheet == ""


@pytest.mark.parametrize("things", ["", " \n ", "x" * 121, "\n".join(["washer"] * 101)])
def test_bad_things_are_one_sentence(client: Client, kit: Kit, things: str) -> None:
    response = client.post(f"/k/{kit.pk}/items", {"things": things})
    assert response.status_code == 422
    assert response.content.decode().count('class="wrong"') == 1
    assert KitItem.objects.count() == 1


def test_more_things_ask_no_more_questions(client: Client, build: Build, kit: Kit) -> None:
    def queries() -> int:
        client.get(f"/k/{kit.pk}")
        with CaptureQueriesContext(connection) as counted:
            client.get(f"/k/{kit.pk}")
        return len(counted)

    before = queries()
    for number in range(12):
        reading = Reading(build=build, name=f"size {number}", typed="1 mm", value=1e-3)
        reading.save()
        KitItem(build=build, kit=kit, name=f"thing {number}", old=reading, new=reading).save()
    assert queries() == before
