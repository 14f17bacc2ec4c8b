"""Many wire tags at once: rows typed and pasted, the next free mark, the same mark on both ends."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build, full_build

from tickover.records.history import last_change, take_back
from tickover.records.models import Build, Change, WireEnd, WireTag

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return full_build()


def row(number: int, **cells: str) -> dict[str, str]:
    cells = {"mark": "", "colours": "", "connector": "", "cavity": "", "other_end": "", "function": ""} | cells
    return {f"{number}-{name}": value for name, value in cells.items()}


def page(client: Client, build: Build, data: dict[str, str], status: int) -> str:
    response = client.post(f"/b/{build.pk}/wire-tags/many", data)
    assert response.status_code == status, response.content.decode()[:3000]
    return " ".join(response.content.decode().split())


def test_a_connector_is_written_down_as_one_change(client: Client, build: Build) -> None:
    data = (
        row(0, mark="19", colours="gn-ye", connector="blue plug", cavity="1", function="left indicator, perhaps")
        | row(1, mark="20", colours="green with a white stripe", connector="blue plug", cavity="2", other_end="ST.+")
        | row(2, mark="21", colours="BK", connector="R1", cavity="85", other_end="red plug, 4")
    )
    page(client, build, data, 302)
    assert [str(tag) for tag in WireTag.objects.filter(mark__in=("19", "20", "21"))] == [
        "tag 19, GN/YE", "tag 20, GN/WH", "tag 21, BK"]  # fmt: skip
    ends = {
        (end.tag.mark, end.side): (end.component and end.component.ident, end.pin, end.connector, end.cavity)
        for end in WireEnd.objects.filter(tag__mark__in=("19", "20", "21"))
    }
    assert ends == {
        ("19", "from"): (None, "", "blue plug", "1"),
        ("20", "from"): (None, "", "blue plug", "2"),
        ("20", "to"): ("ST", "+", "", ""),
        ("21", "from"): ("R1", "85", "", ""),
        ("21", "to"): (None, "", "red plug", "4"),
    }
    change = last_change(build.pk)
    assert change is not None
    assert change.says == "Written down: 3 wire tags, 19 to 21"
    take_back(change)
    assert set(WireTag.objects.values_list("mark", flat=True)) == {"17", "18"}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (row(1, mark="20", colours="GN/MAUVE"), "MAUVE"),
        (row(1, colours="GN"), "Give this row a mark"),
        (row(1, mark="17", colours="RD/BK"), "Tag 17 is there already; tick that this is its other end"),
        (row(1, mark="19", colours="BK"), "Tag 19 is there already"),
        (row(1, mark="17", colours="RD/BK") | {"1-joins": "on"}, "Both ends of tag 17 are there already"),
        (row(1, mark="99", colours="RD") | {"1-joins": "on"}, "No tag 99 is there to join"),
        (row(1, mark="18", other_end="ST.+") | {"1-joins": "on"}, "The other end of tag 18 is there already"),
        (row(1, mark="20", other_end="R1.88"), "R1 has no pin 88; a relay has 85, 86, 30, 87, 87a."),
        (row(1, mark="20", connector="ST", cavity="1"), "ST has no pin 1; a starter has +, -."),
        (row(1, mark="x" * 21), "20"),
    ],
)
def test_one_bad_row_keeps_all_rows_out_and_all_that_was_typed(
    client: Client, build: Build, wrong: dict[str, str], says: str
) -> None:
    changes = Change.objects.count()
    shown = page(client, build, row(0, mark="19", colours="GN/YE", function="a lamp") | wrong, 422)
    assert says in shown
    assert shown.index('id="row-1"') < shown.index('class="wrong"')
    assert 'value="GN/YE"' in shown
    assert 'value="a lamp"' in shown
    for typed in wrong.values():
        assert typed == "on" or not typed or f'value="{typed}"' in shown
    assert Change.objects.count() == changes
    assert WireTag.objects.count() == 2


def test_an_end_with_a_mark_on_record_joins_that_wire(client: Client, build: Build) -> None:
    page(client, build, row(0, mark="18", colours="BK/WH", connector="red plug", cavity="2") | {"0-joins": "on"}, 302)
    ends = {end.side: end for end in WireEnd.objects.filter(tag__mark="18")}
    assert (ends["to"].connector, ends["to"].cavity, ends["to"].colours) == ("red plug", "2", "BK/WH")
    assert ends["from"].colours == ""
    assert WireTag.objects.get(mark="18").colours == "BK"


def test_the_same_mark_twice_on_the_page_is_one_wire(client: Client, build: Build) -> None:
    data = row(0, mark="30", connector="blue plug", cavity="1") | row(
        1, mark="30", colours="VT", connector="red plug", cavity="9", function="clock"
    )
    page(client, build, data, 422)
    page(client, build, data | {"1-joins": "on"}, 302)
    tag = WireTag.objects.get(mark="30")
    assert (tag.colours, tag.function) == ("VT", "clock")
    assert [(end.side, end.connector, end.colours) for end in tag.ends.all()] == [
        ("from", "blue plug", ""), ("to", "red plug", "")]  # fmt: skip


def test_a_row_left_as_offered_is_left_out_and_said(client: Client, build: Build) -> None:
    data = row(0, mark="19", colours="GN") | row(
        1, mark="20", connector="blue plug", cavity="2", offered="20|blue plug|2"
    )
    response = client.post(f"/b/{build.pk}/wire-tags/many", data, follow=True)
    assert "The last row, tag 20, was as it was offered and is left out." in response.content.decode()
    assert not WireTag.objects.filter(mark="20").exists()
    # In the middle it was passed on purpose: it is a wire.
    page(client, build, {**data, **row(0, mark="19b", colours="GN"), **row(2, mark="22", colours="BN")}, 302)
    assert WireTag.objects.filter(mark="20").exists()


def test_nothing_typed_is_nothing_written(client: Client, build: Build) -> None:
    for data in ({}, row(0), row(0, mark="19", offered="19||")):
        assert "Nothing is written in the rows yet" in page(client, build, data, 422)
    assert WireTag.objects.count() == 2


@pytest.mark.parametrize(
    ("cells", "offered"),
    [
        ({"mark": "17", "connector": "blue plug", "cavity": "3"}, ("19", "blue plug", "4")),  # 18 is taken
        ({"mark": "J3", "connector": "red plug", "cavity": "A"}, ("J4", "red plug", "B")),
        ({"mark": ""}, ("19", "", "")),
    ],
)
def test_the_next_row_goes_on_from_the_one_before(
    client: Client, build: Build, cells: dict[str, str], offered: tuple[str, str, str]
) -> None:
    shown = page(client, build, row(0, **cells) | {"another": "1"}, 200)
    for name, value in zip(("mark", "connector", "cavity"), offered, strict=True):
        assert f'name="1-{name}" value="{value}"' in shown or (not value and f'name="1-{name}" maxlength' in shown)
    assert WireTag.objects.count() == 2
    fragment = client.post(
        f"/b/{build.pk}/wire-tags/many", row(0, **cells) | {"another": "1"}, headers={"HX-Request": "true"}
    ).content.decode()
    assert fragment.count("<fieldset") == 1
    assert "data-new" in fragment


def test_the_first_mark_of_all_is_1(client: Client) -> None:
    assert 'name="0-mark" value="1"' in client.get(f"/b/{bare_build().pk}/wire-tags/many").content.decode()


def test_a_mark_on_record_is_offered_to_be_joined(client: Client, build: Build) -> None:
    address = f"/b/{build.pk}/wire-tags/many/3/mark"
    shown = client.get(address, {"3-mark": "18"}).content.decode()
    assert "Tag 18 is on record, BK, at R1.87." in shown
    assert 'name="3-joins"' in shown
    assert not client.get(address, {"3-mark": "55"}).content.decode().strip()


PASTED = {
    "tabs": "19\tGN/YE\tblue plug\t1\tST.+\tlamp\n20\tBK",
    "semicolons": "19;GN/YE;blue plug;1;ST.+;lamp\n\n20;BK\n",
    "commas": '19,GN/YE,blue plug,1,ST.+,lamp\r\n"20",BK',
    "heads": "Colours\tMark\tCavity\tConnector\tOther end\tWhat it may be\nGN/YE\t19\t1\tblue plug\tST.+\tlamp\nBK\t20",
    "no mark": "\tGN/YE\tblue plug\t1\tST.+\tlamp\n\tBK",
}


@pytest.mark.parametrize("how", PASTED)
def test_pasted_lines_fill_the_rows(client: Client, build: Build, how: str) -> None:
    data = row(0, mark="40", colours="WH") | row(1, mark="41", offered="41||") | {"lines": PASTED[how], "paste": "1"}
    shown = page(client, build, data, 200)
    first, second = ("41", "42") if how == "no mark" else ("19", "20")
    expected = row(0, mark="40", colours="WH")
    expected |= row(
        1, mark=first, colours="GN/YE", connector="blue plug", cavity="1", other_end="ST.+", function="lamp"
    )
    expected |= row(2, mark=second, colours="BK")
    for name, value in expected.items():
        assert f'name="{name}" ' + (f'value="{value}"' if value else "maxlength") in shown, name
    assert shown.count("<fieldset") == 3
    assert WireTag.objects.count() == 2


def test_too_many_pasted_lines_are_refused_and_kept(client: Client, build: Build) -> None:
    shown = page(client, build, {"paste": "1", "lines": "\n".join(f"{n}\tBK" for n in range(300))}, 422)
    assert "a page holds 100: paste fewer" in shown
    assert "299 BK" in shown


def test_a_full_page_is_written_down(client: Client, build: Build) -> None:
    data: dict[str, str] = {}
    for number in range(100):
        data |= row(number, mark=f"L{number}", colours="BK", connector="loom", cavity=str(number), offered="-")
    page(client, build, data, 302)
    assert WireTag.objects.filter(mark__startswith="L").count() == 100


def test_no_more_rows_are_added_to_a_full_page(client: Client, build: Build) -> None:
    data = {key: value for number in range(100) for key, value in row(number, mark=f"L{number}").items()}
    assert "A page holds 100 rows; write these down first." in page(client, build, data | {"another": "1"}, 200)


def test_the_check_asks_no_more_of_the_database_for_more_rows(client: Client, build: Build) -> None:
    def asked(rows: int) -> int:
        data = {key: value for n in range(rows) for key, value in row(n, mark=f"A{n}", colours="BK").items()}
        with CaptureQueriesContext(
            connection,
        ) as queries:
            page(client, build, data | row(rows, mark="17"), 422)
        return len(queries)

    assert asked(2) == asked(40)


def test_mark_of_a_new_tag_is_still_offered(client: Client, build: Build) -> None:
    assert 'value="19"' in client.get(f"/b/{build.pk}/wire-tags/new").content.decode()
