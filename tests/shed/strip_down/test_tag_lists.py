"""The wire tags by what is known of them, and each gap mended with one tap."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import full_build

from tickover.chapters.electrics.loom.document import check
from tickover.records.as_loom import loom_document
from tickover.records.history import last_change, take_back
from tickover.records.models import Build, Change, LoomComponent, WireEnd, WireTag
from tickover.shed.strip_down.tag_lists import counts

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    """Tag 17 joins R1.87 (RD/BK) and ST.+; tag 18, black, has one end. More tags with gaps."""
    build = full_build()
    tags = {
        mark: WireTag(build=build, mark=mark, colours=colours, function=function)
        for mark, colours, function in (
            ("19", "GN/YE", ""),
            ("20", "BK", "earth"),
            ("21", "", ""),
            ("22", "VT", "clock"),
        )
    }
    for tag in tags.values():
        tag.save()
    relay = LoomComponent.objects.get(ident="R1")
    for mark, side, facts in (
        ("19", "from", {"component": relay, "pin": "85"}),
        ("19", "to", {"connector": "red plug", "cavity": "2", "colours": "GN/WH"}),
        ("20", "to", {"connector": "blue plug", "cavity": "1"}),
        ("22", "from", {"connector": "blue plug", "colours": "VT"}),
    ):
        WireEnd(build=build, tag=tags[mark], side=side, **facts).save()
    return build


def page(client: Client, build: Build, gap: str) -> str:
    response = client.get(f"/b/{build.pk}/strip-down?show=tags&tags={gap}")
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def mend(client: Client, mark: str, status: int = 302, **data: object) -> str:
    tag = WireTag.objects.get(mark=mark)
    response = client.post(f"/w/{tag.pk}/mend", data)
    assert response.status_code == status, response.content.decode()[:2000]
    return response.content.decode()


def ends(mark: str) -> dict[str, tuple[str, str, str, str, str]]:
    return {
        end.side: (end.component.ident if end.component else "", end.pin, end.connector, end.cavity, end.colours)
        for end in WireEnd.objects.filter(tag__mark=mark).select_related("component")
    }


def test_the_counts_stand_at_the_top(client: Client, build: Build) -> None:
    assert {gap: count for gap, _, count in counts(build)} == {
        "both_ends": 1, "one_end": 5, "colours": 1, "function": 3}  # fmt: skip
    shown = page(client, build, "")
    for says in (
        "Both ends known <b>1</b>",
        "An end missing <b>5</b>",
        "Colours differ <b>1</b>",
        "Function unknown <b>3</b>",
    ):
        assert says in shown


@pytest.mark.parametrize(
    ("gap", "marks"),
    [
        ("both_ends", {"17"}),
        ("one_end", {"18", "19", "20", "21", "22"}),
        ("colours", {"19"}),
        ("function", {"18", "19", "21"}),
    ],
)
def test_each_list_holds_its_tags(client: Client, build: Build, gap: str, marks: set[str]) -> None:
    response = client.get(f"/b/{build.pk}/strip-down?show=tags&tags={gap}")
    assert {tag.mark for tag in response.context["page_of"].object_list} == marks


def test_what_a_wire_may_be_is_one_field(client: Client, build: Build) -> None:
    assert 'name="function"' in page(client, build, "function")
    mend(client, "18", how="function", function=" clock earth ")
    assert WireTag.objects.get(mark="18").function == "clock earth"
    change = last_change(build.pk)
    assert change is not None
    assert change.says == "Tag 18: what it may be"


def test_one_colour_at_both_ends(client: Client, build: Build) -> None:
    shown = page(client, build, "colours")
    assert "GN/YE at both ends" in shown
    assert "GN/WH at both ends" in shown
    mend(client, "19", how="colour", colours="GN/WH")
    assert WireTag.objects.get(mark="19").colours == "GN/WH"
    assert ends("19")["to"][-1] == ""
    assert {gap: count for gap, _, count in counts(build)}["colours"] == 0


def test_a_splice_where_the_colour_changes(client: Client, build: Build) -> None:
    WireTag.objects.filter(mark="19").update(area=1e-6, length=0.5)
    WireEnd.objects.filter(tag__mark="19", side="to").update(component=LoomComponent.objects.get(ident="ST"), pin="-")
    mend(client, "19", how="splice")
    half = WireTag.objects.get(mark="19b")
    assert half.colours == "GN/WH"
    assert ends("19") == {"from": ("R1", "85", "", "", ""), "to": ("SP1", "a", "", "", "")}
    assert ends("19b") == {"from": ("SP1", "b", "", "", ""), "to": ("ST", "-", "red plug", "2", "")}
    assert {gap: count for gap, _, count in counts(build)}["colours"] == 0
    WireTag.objects.filter(mark__in=("19", "19b")).update(length=0.25)
    assert not [problem for problem in check(loom_document(build)) if problem.error]
    change = last_change(build.pk)
    assert change is not None
    take_back(change)
    assert ends("19")["to"] == ("ST", "-", "red plug", "2", "GN/WH")
    assert not WireTag.objects.filter(mark="19b").exists()
    assert not LoomComponent.objects.filter(ident="SP1").exists()


def test_two_tags_are_the_two_ends_of_one_wire(client: Client, build: Build) -> None:
    shown = page(client, build, "one_end")
    assert "Same wire as tag 20" in shown  # both are black, with one end each
    assert "Same wire as tag 22" not in shown
    other = WireTag.objects.get(mark="20")
    mend(client, "18", how="same", other=other.pk)
    assert ends("18") == {"from": ("R1", "87", "", "", ""), "to": ("", "", "blue plug", "1", "")}
    assert WireTag.objects.get(mark="18").function == "earth"
    assert WireEnd.objects.get(tag__mark="18", side="to").remark == "marked 20"
    assert not WireTag.objects.filter(mark="20").exists()
    change = last_change(build.pk)
    assert change is not None
    take_back(change)
    assert ends("20") == {"to": ("", "", "blue plug", "1", "")}
    assert set(ends("18")) == {"from"}


def test_the_other_end_is_written_down_from_the_list(client: Client, build: Build) -> None:
    assert f"/b/{build.pk}/wire-tags/many?mark=18" in page(client, build, "one_end")
    shown = " ".join(client.get(f"/b/{build.pk}/wire-tags/many?mark=18").content.decode().split())
    assert 'name="0-mark" value="18"' in shown
    assert 'name="0-joins" id="id_0-joins" checked' in shown
    assert "Tag 18 is on record, BK, at R1.87." in shown


@pytest.mark.parametrize(
    ("mark", "data", "says"),
    [
        ("18", {"how": "function", "function": " "}, "Nothing was typed for tag 18"),
        ("18", {"how": "function", "function": "x" * 161}, "has 161 letters"),
        ("19", {"how": "colour", "colours": "RD"}, "RD was seen on neither end"),
        ("19", {"how": "colour"}, "No colour was seen"),
        ("18", {"how": "splice"}, "does not change its colours"),
        ("22", {"how": "splice"}, "does not change its colours"),
        ("18", {"how": "magic"}, "Say what is to be mended"),
        ("18", {}, "Say what is to be mended"),
    ],
)
def test_what_cannot_be_mended_is_said(
    client: Client, build: Build, mark: str, data: dict[str, str], says: str
) -> None:
    changes = Change.objects.count()
    assert says in mend(client, mark, 400, **data)
    assert Change.objects.count() == changes


def test_tags_that_are_not_two_ends_are_not_joined(client: Client, build: Build) -> None:
    for other in ("17", "18", "21"):
        assert "do not have one end each" in mend(
            client, "18", 400, how="same", other=WireTag.objects.get(mark=other).pk
        )
    for other in ("999", "x", "9" * 30, ""):
        mend(client, "18", 404, how="same", other=other)
    assert WireTag.objects.count() == 6


@pytest.mark.parametrize("gap", ["", "both_ends", "one_end", "colours", "function"])
def test_no_list_asks_more_of_the_database_for_more_tags(client: Client, build: Build, gap: str) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            page(client, build, gap)
        return len(queries)

    before = asked()
    relay = LoomComponent.objects.get(ident="R1")
    for number in range(30):
        tag = WireTag(build=build, mark=f"A{number}", colours="BK")
        tag.save()
        WireEnd(build=build, tag=tag, side="from", component=relay, pin="86", colours="BU").save()
    assert asked() == before


def test_the_colours_of_one_end_are_typed_on_the_tag(client: Client, build: Build) -> None:
    tag = WireTag.objects.get(mark="17")
    shown = " ".join(client.get(f"/w/{tag.pk}/edit").content.decode().split())
    assert "Colours at this end" in shown
    data = {
        "mark": "17", "colours": "red black", "condition": "unknown", "from_component": tag.ends.all()[0].component_id,
        "from_pin": "87", "from_colours": "rd/wh", "to_component": tag.ends.all()[1].component_id, "to_pin": "+",
    }  # fmt: skip
    assert "MAUVE" in client.post(f"/w/{tag.pk}/edit", data | {"to_colours": "mauve"}).content.decode()
    assert client.post(f"/w/{tag.pk}/edit", data).status_code == 302
    tag.refresh_from_db()
    assert tag.colours == "RD/BK"
    assert ends("17")["from"][-1] == "RD/WH"
    shown = client.get(tag.get_absolute_url()).content.decode()
    assert "Its colours differ from end to end" in shown
    assert "RD/WH at both ends" in shown
