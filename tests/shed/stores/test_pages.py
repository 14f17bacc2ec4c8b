"""The stores' pages: the tree, a place, what is nowhere, and refusals."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build, full_build

from tickover.records.models import Build, ChangeLine, FastenerSet, Part, Store
from tickover.shed.stores.views import tree

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return full_build()


def page(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def test_empty_stores_say_what_belongs_there(client: Client) -> None:
    said = page(client, f"/b/{bare_build().pk}/stores")
    assert "Here stand the room" in said
    assert "Everything that is off the bike has a place" in said


def test_the_tree_counts_what_lies_in_each_place(build: Build) -> None:
    room, box = Store.objects.get(name="back room"), Store.objects.get(mark="box 4")
    bag = Store(build=build, name="a bag", inside=box)
    bag.save()
    Part(build=build, name="float needle", place=bag).save()
    Store(build=build, name="attic").save()
    attic, outer = tree(build)
    assert (attic.name, attic.here, attic.within, attic.rows) == ("attic", 0, 0, [])
    assert (outer.name, outer.here, outer.within, outer.holds) == (room.name, 0, 3, 1)
    [inner] = outer.rows
    assert (inner.name, inner.here, inner.within, inner.holds, inner.rows) == (str(box), 2, 3, 1, [])


def test_the_number_of_queries_does_not_grow(client: Client, build: Build) -> None:
    box = Store.objects.get(mark="box 4")

    def queries() -> list[int]:
        counted = []
        for address in (f"/b/{build.pk}/stores", box.get_absolute_url()):
            with CaptureQueriesContext(connection) as seen:
                page(client, address)
            counted.append(len(seen))
        return counted

    queries()
    before = queries()
    for number in range(10):
        inside = Store(build=build, name=f"bag {number}", inside=box)
        inside.save()
        Part(build=build, name=f"part {number}", place=box).save()
        Part(build=build, name=f"lost {number}").save()
        FastenerSet(build=build, name=f"set {number}", holds=Part.objects.first(), place=box).save()
        FastenerSet(build=build, name=f"lost set {number}", holds=Part.objects.first()).save()
    assert queries() == before


def test_what_is_nowhere_is_listed_and_put_away_as_one_change(client: Client, build: Build) -> None:
    lost = Part.objects.get(name="petcock")
    loose = FastenerSet(build=build, name="petcock nut", holds=lost)
    loose.save()
    said = page(client, f"/b/{build.pk}/stores")
    assert "petcock</a>" in said
    assert "petcock nut</a>" in said
    box, before = Store.objects.get(mark="box 4"), build.changes.count()
    data = {"place": box.pk, "what": [f"part:{lost.pk}", f"fasteners:{loose.pk}"]}
    assert client.post(f"/b/{build.pk}/stores/put-in", data).status_code == 302
    lost.refresh_from_db()
    loose.refresh_from_db()
    assert (lost.place, loose.place) == (box, box)
    assert build.changes.count() == before + 1
    assert "Everything that is off the bike has a place" in page(client, f"/b/{build.pk}/stores")


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"place": "1"},
        {"what": "part:1"},
        {"place": "x", "what": "part:1"},
        {"place": "{box}", "what": "part:99999"},
        {"place": "{box}", "what": "lid:1"},
        {"place": "{box}", "what": ["part:{lost}", "part:x"]},
    ],
)
def test_what_cannot_be_put_away_is_one_sentence(client: Client, build: Build, data: dict[str, object]) -> None:
    names = {
        "{box}": str(Store.objects.get(mark="box 4").pk),
        "{lost}": str(Part.objects.get(name="petcock").pk),
    }

    def fill(value: object) -> object:
        if isinstance(value, list):
            return [fill(each) for each in value]
        for name, number in names.items():
            value = str(value).replace(name, number)
        return value

    lines = ChangeLine.objects.count()
    response = client.post(f"/b/{build.pk}/stores/put-in", {key: fill(value) for key, value in data.items()})
    assert response.status_code == 400
    assert response.content.decode().count('class="wrong"') == 1
    assert ChangeLine.objects.count() == lines


def test_a_place_says_where_it_stands_and_what_lies_in_it(client: Client, build: Build) -> None:
    said = page(client, Store.objects.get(mark="box 4").get_absolute_url())
    for words in ("box 4", "electrics", "back room</a>", "starter</a>", "starter bolts</a>"):
        assert words in said, words
    assert "box 4 (electrics)</a>" in page(client, Store.objects.get(name="back room").get_absolute_url())


@pytest.mark.parametrize(
    ("inner", "says"), [("back room", "cannot stand in itself"), ("electrics", "which stands in it")]
)
def test_places_do_not_stand_in_a_circle(client: Client, build: Build, inner: str, says: str) -> None:
    room, chosen = Store.objects.get(name="back room"), Store.objects.get(name=inner)
    response = client.post(f"/s/{room.pk}/edit", {"name": "back room", "inside": chosen.pk})
    said = response.content.decode()
    assert response.status_code == 422
    assert said.count('class="wrong"') == 1
    assert says in said
    room.refresh_from_db()
    assert room.inside is None


def test_a_place_is_moved_into_another(client: Client, build: Build) -> None:
    attic = Store(build=build, name="attic")
    attic.save()
    box = Store.objects.get(mark="box 4")
    client.post(f"/s/{box.pk}/edit", {"name": "electrics", "mark": "box 4", "inside": attic.pk})
    box.refresh_from_db()
    assert [place.name for place in box.path()] == ["attic", "electrics"]


def test_a_place_that_is_not_empty_is_not_struck_out(client: Client, build: Build) -> None:
    for name, held in (("back room", "1 thing in it"), ("electrics", "2 things in it")):
        place = Store.objects.get(name=name)
        response = client.post(f"/s/{place.pk}/strike-out")
        assert response.status_code == 422
        assert held in response.content.decode()
    assert Store.objects.count() == 2


def test_an_empty_place_is_struck_out(client: Client, build: Build) -> None:
    attic = Store(build=build, name="attic")
    attic.save()
    assert client.post(f"/s/{attic.pk}/strike-out").status_code == 302
    assert not Store.objects.filter(name="attic").exists()


def test_a_new_place_and_part_know_where_they_were_asked_for(client: Client, build: Build) -> None:
    box = Store.objects.get(mark="box 4")
    for address in (f"/b/{build.pk}/stores/new?inside={box.pk}", f"/b/{build.pk}/parts/new?place={box.pk}"):
        assert f'<option value="{box.pk}" selected>' in page(client, address)
    page(client, f"/b/{build.pk}/stores/new?inside=nonsense")
