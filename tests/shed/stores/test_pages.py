"""The stores' pages: the tree, a place, what is nowhere, and refusals."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build, full_build

from tickover.records.models import Build, ChangeLine, FastenerSet, LooseCount, Part, Store
from tickover.records.places import Places
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
    attic, outer = tree(Places(build.pk))
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
    assert all(now <= then for now, then in zip(queries(), before, strict=True))


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


def test_a_box_moves_with_all_in_it_as_one_change_that_goes_back_whole(client: Client, build: Build) -> None:
    room, box = Store.objects.get(name="back room"), Store.objects.get(mark="box 4")
    loft = Store(build=build, name="loft")
    loft.save()
    bag = Store(build=build, name="screws", mark="bag 6", inside=box)
    bag.save()
    Part(build=build, name="float needle", place=bag).save()
    assert ">float needle</a>" in page(client, f"/s/{room.pk}")
    before = build.changes.count()
    assert client.post(f"/s/{box.pk}/move", {"inside": loft.pk}).status_code == 302
    assert build.changes.count() == before + 1
    change = build.changes.first()
    assert change.says == "Moved into loft: box 4 (electrics), from back room"
    assert ">float needle</a>" in page(client, f"/s/{loft.pk}")
    assert ">float needle</a>" not in page(client, f"/s/{room.pk}")
    client.post(f"/x/{change.pk}/take-back")
    assert ">float needle</a>" in page(client, f"/s/{room.pk}")
    assert ">float needle</a>" not in page(client, f"/s/{loft.pk}")


@pytest.mark.parametrize(
    ("inside", "says"),
    [("{room}", "itself"), ("{box}", "which stands in it"), ("x", "No place is called"), ("999", "no place")],
)
def test_a_place_does_not_move_into_what_stands_in_it(client: Client, build: Build, inside: str, says: str) -> None:
    room, box = Store.objects.get(name="back room"), Store.objects.get(mark="box 4")
    changes = build.changes.count()
    response = client.post(f"/s/{room.pk}/move", {"inside": inside.format(room=room.pk, box=box.pk)})
    assert response.status_code == 400
    assert says in response.content.decode()
    assert build.changes.count() == changes
    said = page(client, f"/s/{room.pk}")
    assert "It and all in it goes into" not in said  # there is no place that it could go into


def test_a_place_shows_what_lies_in_the_places_in_it_and_is_searched(client: Client, build: Build) -> None:
    room, box = Store.objects.get(name="back room"), Store.objects.get(mark="box 4")
    Part(build=build, name="work lamp", place=room).save()
    LooseCount(build=build, name="thrust washers", place=box, counted_out=2).save()
    everything = page(client, f"/s/{room.pk}")
    for name in ("work lamp", "starter", "starter bolts", "thrust washers"):
        assert f">{name}</a>" in everything, name
    assert everything.count(f'<a href="/s/{box.pk}">box 4</a>') == 3
    only = page(client, f"/s/{room.pk}?only=1")
    assert ">work lamp</a>" in only
    assert ">starter bolts</a>" not in only
    found = page(client, f"/s/{room.pk}?q=M8")
    assert ">starter bolts</a>" in found
    assert ">work lamp</a>" not in found
    assert "Nothing in it holds “zzz”" in page(client, f"/s/{room.pk}?q=zzz")


def test_many_things_are_shown_a_page_at_a_time(client: Client, build: Build) -> None:
    box = Store.objects.get(mark="box 4")
    Part.objects.bulk_create(Part(build=build, name=f"part {n:03}", place=box) for n in range(130))
    first, last = page(client, f"/s/{box.pk}"), page(client, f"/s/{box.pk}?page=4")
    assert "part 039" in first
    assert "part 040" not in first
    assert "Page 4 of 4" in last
    assert ">starter bolts</a>" in last
    for odd in ("x", "0", "99"):
        page(client, f"/s/{box.pk}?page={odd}")


def test_a_place_is_found_by_what_is_written_on_it(client: Client, build: Build) -> None:
    box = Store.objects.get(mark="box 4")
    Store(build=build, name="spare box", mark="box 40").save()
    response = client.get(f"/b/{build.pk}/stores?mark=BOX  4")
    assert response.status_code == 302
    assert response["Location"] == f"/s/{box.pk}"
    said = page(client, f"/b/{build.pk}/stores?mark=box")
    assert "box 40 (spare box)" in said
    assert "box 4 (electrics)" in said
    assert "No place is called “crate”" in page(client, f"/b/{build.pk}/stores?mark=crate")


def test_two_places_of_one_mark_are_both_shown(client: Client, build: Build) -> None:
    Store(build=build, name="another", mark="box 4").save()
    said = page(client, f"/b/{build.pk}/stores?mark=box 4")
    assert "box 4 (another)" in said
    assert "box 4 (electrics)" in said


def test_what_goes_in_is_looked_up_and_what_is_nowhere_comes_first(client: Client, build: Build) -> None:
    box = Store.objects.get(mark="box 4")
    attic = Store(build=build, name="attic")
    attic.save()
    Part.objects.bulk_create(Part(build=build, name=f"lamp {n:02}", place=attic) for n in range(40))
    said = page(client, f"/s/{box.pk}")
    assert "20 and more" in said
    assert said.index("petcock") < said.index("lamp 00")
    found = page(client, f"/s/{box.pk}?into=lamp 39")
    assert 'aria-label="lamp 39"' in found
    assert 'aria-label="lamp 38"' not in found
    lamp = Part.objects.get(name="lamp 39")
    client.post(f"/b/{build.pk}/stores/put-in", {"place": box.pk, "what": f"part:{lamp.pk}"})
    lamp.refresh_from_db()
    assert lamp.place == box


def test_things_counted_out_are_nowhere_until_they_have_a_place(client: Client, build: Build) -> None:
    balls = LooseCount(build=build, name="bearing balls", counted_out=19)
    balls.save()
    assert ">bearing balls</a>" in page(client, f"/b/{build.pk}/stores")
    box = Store.objects.get(mark="box 4")
    client.post(f"/b/{build.pk}/stores/put-in", {"place": box.pk, "what": f"count:{balls.pk}"})
    assert ">bearing balls</a>" not in page(client, f"/b/{build.pk}/stores")
    assert client.post(f"/s/{box.pk}/strike-out").status_code == 422


def test_places_stand_in_the_order_in_which_they_are_counted(client: Client, build: Build) -> None:
    box = Store.objects.get(mark="box 4")
    for mark in ("bag 10", "bag 2", "bag 1"):
        Store(build=build, name="screws", mark=mark, inside=box).save()
    said = page(client, f"/s/{box.pk}/holds")
    assert said.index("bag 1 ") < said.index("bag 2 ") < said.index("bag 10 ")


def test_places_that_stand_in_each_other_are_still_shown(client: Client, build: Build) -> None:
    """No page writes such a circle; a workshop brought in from elsewhere may."""
    room, box = Store.objects.get(name="back room"), Store.objects.get(mark="box 4")
    Store.objects.filter(pk=room.pk).update(inside=box)
    for address in (f"/b/{build.pk}/stores", f"/s/{room.pk}", f"/s/{box.pk}", f"/b/{build.pk}/labels?in={room.pk}"):
        page(client, address)


def test_one_of_many_places_is_typed(client: Client, build: Build) -> None:
    Store.objects.bulk_create(Store(build=build, name=f"bag {n}") for n in range(60))
    box = Store.objects.get(mark="box 4")
    lost = Part.objects.get(name="petcock")
    said = page(client, f"/b/{build.pk}/stores")
    assert 'id="place"' in said
    assert "<select" not in said
    for typed in ("bag 7", f"bag 7 [s/{Store.objects.get(name='bag 7').pk}]"):
        client.post(f"/b/{build.pk}/stores/put-in", {"place": typed, "what": f"part:{lost.pk}"})
        lost.refresh_from_db()
        assert str(lost.place) == "bag 7"
        Part.objects.filter(pk=lost.pk).update(place=None)
    assert client.post(f"/s/{box.pk}/move", {"inside": "bag 8"}).status_code == 302
    box.refresh_from_db()
    assert str(box.inside) == "bag 8"
    assert f"bag 8 [s/{box.inside_id}]" in page(client, f"/s/{box.pk}")
    assert "box 4 (electrics)" in page(client, f"/b/{build.pk}/labels?in=bag 8")
    assert client.post(f"/s/{box.pk}/move", {"inside": "bag 99"}).status_code == 400
