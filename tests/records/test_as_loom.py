"""The loom on record is the loom document, and back."""

from __future__ import annotations

import copy

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tickover.chapters.electrics.loom.document import LoomProblems, read
from tickover.records import demo, history
from tickover.records.as_loom import loom_document, read_in
from tickover.records.models import Build, Cover, LoomComponent, Part, WireEnd, WireTag
from tickover.units import BadInput

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    build = Build(name="a bike")
    build.save()
    return build


def test_a_document_read_in_comes_out_the_same(build: Build) -> None:
    read_in(build, demo.loom())
    assert read(loom_document(Build.objects.get(pk=build.pk))) == read(demo.loom())


def test_the_demo_comes_out_as_its_document() -> None:
    """There the components stand for parts, and what must come off is taken from the parts' covers."""
    heron = demo.load(photos=False)
    assert LoomComponent.objects.filter(build=heron, part__isnull=False).count() >= 35
    assert not [c for c in LoomComponent.objects.filter(build=heron, part__isnull=False) if "behind" in c.values]
    assert read(loom_document(heron)) == read(demo.loom())


def test_temperature_and_name_of_the_whole_are_kept(build: Build) -> None:
    read_in(build, demo.loom() | {"celsius": 60, "name": "hot"})
    assert loom_document(build)["celsius"] == 60
    assert loom_document(build)["name"] == "hot"


def test_a_cover_on_record_stands_before_the_component(build: Build) -> None:
    read_in(build, {"loom": 1, "components": [{"id": "F", "kind": "fuse", "amps": 10, "ohms": 0.01}], "wires": []})
    fuse = Part(build=build, name="fuse", condition="worn")
    tank, seat = (
        Part(build=build, name="tank", reach_minutes=6),
        Part(build=build, name="seat", reach_minutes=1),
    )
    for part in (fuse, tank, seat):
        part.save()
    Cover(build=build, cover=tank, covered=fuse).save()
    Cover(build=build, cover=seat, covered=tank).save()
    component = LoomComponent.objects.get(build=build)
    component.part = fuse
    component.save()
    (item,) = loom_document(build)["components"]
    assert item["behind"] == ["seat", "tank"]
    assert item["reach_minutes"] == 7
    assert item["condition"] == "worn"


def test_a_tag_with_one_known_end_is_no_wire_yet(build: Build) -> None:
    splice = LoomComponent(build=build, ident="SP", kind="splice")
    splice.save()
    tag = WireTag(build=build, mark="9 a", area=1e-6, length=0.4)
    tag.save()
    WireEnd(build=build, tag=tag, side="from", component=splice, pin="a").save()
    assert loom_document(build)["wires"] == []
    WireEnd(build=build, tag=tag, side="to", component=splice, pin="b").save()
    (wire,) = loom_document(build)["wires"]
    assert (wire["id"], wire["tag"], wire["mm2"], wire["length_mm"]) == ("W9-a", "9 a", 1.0, 400.0)
    read(loom_document(build))


def test_two_marks_that_make_the_same_id_stay_two_wires(build: Build) -> None:
    splice = LoomComponent(build=build, ident="W9", kind="splice")
    splice.save()
    for mark in ("9", "9."):
        tag = WireTag(build=build, mark=mark, area=1e-6, length=0.4)
        tag.save()
        WireEnd(build=build, tag=tag, side="from", component=splice, pin="a").save()
        WireEnd(build=build, tag=tag, side="to", component=splice, pin="b").save()
    assert len(read(loom_document(build)).wires) == 2


def test_a_wrong_document_writes_nothing(build: Build) -> None:
    wrong = copy.deepcopy(demo.loom())
    wrong["wires"][-1]["to"] = "NOTHING.a"
    with pytest.raises(LoomProblems, match="NOTHING"):
        read_in(build, wrong)
    assert not LoomComponent.objects.exists()
    assert history.last_change(build.pk).says == "New build: a bike"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda loom: loom["wires"][1].update(tag=loom["wires"][0]["tag"]), "tag “1” is taken"),
        (lambda loom: loom["wires"][0].update(tag="a mark of more than twenty letters"), "mark"),
        (lambda loom: loom["components"][0].update(name="long " * 40), "name"),
    ],
)
def test_what_the_records_cannot_hold_is_refused_whole(build: Build, change: object, says: str) -> None:
    loom = copy.deepcopy(demo.loom())
    change(loom)  # type: ignore[operator]
    with pytest.raises(BadInput, match=says):
        read_in(build, loom)
    assert not LoomComponent.objects.exists()
    assert not WireTag.objects.exists()


def test_the_same_loom_is_not_read_in_twice(build: Build) -> None:
    read_in(build, demo.loom())
    with pytest.raises(BadInput, match="BAT is in this build's loom already"):
        read_in(build, demo.loom())
    assert LoomComponent.objects.count() == len(demo.loom()["components"])


def test_reading_in_is_one_change_that_can_be_taken_back(build: Build) -> None:
    read_in(build, demo.loom(), "somebody")
    last = history.last_change(build.pk)
    assert last.who == "somebody"
    assert last.says == "Loom read in: 48 components, 73 wires"
    history.take_back(last)
    assert loom_document(Build.objects.get(pk=build.pk)) == {"loom": 1, "components": [], "wires": []}


def test_the_number_of_queries_does_not_grow_with_the_loom(build: Build) -> None:
    with CaptureQueriesContext(connection) as empty:
        loom_document(build)
    read_in(build, demo.loom())
    with CaptureQueriesContext(connection) as full:
        loom_document(build)
    assert len(full) <= len(empty) + 1
