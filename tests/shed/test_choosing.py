"""One of many records is chosen by typing; a list stands where there are few."""

from __future__ import annotations

import html

import pytest
from django.test import Client
from tests.shed.penhallow import bare_build, full_build

from tickover.records.models import Build, Part, Reading, Store
from tickover.shed.base.choosing import FEW, chosen, label, resolve
from tickover.units import BadInput

pytestmark = pytest.mark.django_db


def many(build: Build) -> None:
    for number in range(FEW + 1):
        Part(build=build, name=f"spacer {number}").save()


def test_a_few_stand_in_a_list_and_many_are_typed(client: Client) -> None:
    build = full_build()
    address = f"/b/{build.pk}/readings/new"
    assert '<select name="part"' in client.get(address).content.decode()
    many(build)
    page = client.get(address).content.decode()
    assert '<select name="part"' not in page
    assert f'hx-get="/b/{build.pk}/choose/part?as=part"' in page


@pytest.mark.parametrize("typed", ["starter", "Starter", "H450-31", "{label}", "starter motor [p/{pk}]", "{pk}"])
def test_a_record_is_taken_by_its_name_its_number_or_its_address(client: Client, typed: str) -> None:
    build = full_build()
    many(build)
    starter = Part.objects.get(build=build, name="starter")
    sent = {"name": "brush", "typed": "9 mm", "dimension": "length", "taken_at": "2026-03-01T10:00"}
    sent["part"] = typed.format(label=label(starter), pk=starter.pk)
    answer = client.post(f"/b/{build.pk}/readings/new", sent)
    assert answer.status_code == 302, answer.content.decode()
    assert Reading.objects.latest("pk").part == starter


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("startr", "No part is called “startr”; type a few letters"),
        ("spacer", "More than one part is called “spacer”: spacer [p/"),
        ("other [p/{other}]", "No part is called “other [p/{other}]”"),
        ("box [s/1]", "No part is called “box [s/1]”"),
        ("999999", "“999999” is not in the list; choose one that is."),
    ],
)
def test_what_is_none_of_them_is_refused_and_kept_as_typed(client: Client, typed: str, says: str) -> None:
    build = full_build()
    many(build)
    Part(build=build, name="spacer").save()
    Part(build=build, name="spacer").save()
    other = Part(build=bare_build("Another"), name="other")
    other.save()
    before = Reading.objects.count()
    sent = {"name": "brush", "typed": "9 mm", "dimension": "length", "part": typed.format(other=other.pk)}
    answer = client.post(f"/b/{build.pk}/readings/new", sent | {"taken_at": "2026-03-01T10:00"})
    page = html.unescape(answer.content.decode())
    assert (answer.status_code, Reading.objects.count()) == (422, before)
    assert says.format(other=other.pk) in page
    assert f'value="{sent["part"]}"' in page


def test_what_is_offered_is_of_the_kind_and_of_the_build(client: Client) -> None:
    build = full_build()
    Part(build=bare_build("Another"), name="starter").save()
    starter = Part.objects.get(build=build, name="starter")
    page = client.get(f"/b/{build.pk}/choose/part?as=part-part&part-part=strater").content.decode()
    assert page == f'<option value="starter [p/{starter.pk}]" label="near “strater”"></option>'
    assert client.get(f"/b/{build.pk}/choose/nothing?as=x&x=starter").content == b""


def test_a_place_is_taken_by_what_is_written_on_it() -> None:
    build = full_build()
    assert resolve([build.parts.all(), build.stores.all()], "box 4") == Store.objects.get(build=build, mark="box 4")
    assert chosen(build.stores.all(), " ") is None
    box = Store.objects.get(build=build, mark="box 4")
    other = Store(build=build, name="shelf", mark=str(box.pk))
    other.save()
    assert chosen(build.stores.all(), str(box.pk)) == box
    for number in range(FEW):
        Store(build=build, name=f"tin {number}").save()
    assert chosen(build.stores.all(), str(box.pk)) == other
    with pytest.raises(BadInput, match="No part or place is called “loft”"):
        resolve([build.parts.all(), build.stores.all()], "loft")
