"""The strip-down's pages: full, empty, and with what cannot be used."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build, full_build

from tickover.records.models import (
    Build,
    ChangeLine,
    Cover,
    FastenerSet,
    LoomComponent,
    Part,
    Photo,
    Store,
    WireEnd,
    WireTag,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return full_build()


def text(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status, response.content.decode()[:2000]
    return " ".join(response.content.decode().split())


LISTS = ("", "?show=parts", "?show=fasteners", "?show=tags", "?show=photos")
NEW = ("parts/new", "fastener-sets/new", "wire-tags/new", "photos/new")


@pytest.mark.parametrize("query", LISTS)
def test_an_empty_list_says_what_belongs_there(client: Client, query: str) -> None:
    assert "Here stand" in text(client, f"/b/{bare_build().pk}/strip-down{query}")


@pytest.mark.parametrize("query", [*LISTS, "?show=nonsense&page=99&chapter=x", "?page=minus", "?show=parts&order=last"])
def test_every_list_opens(client: Client, build: Build, query: str) -> None:
    text(client, f"/b/{build.pk}/strip-down{query}")


@pytest.mark.parametrize("form", NEW)
def test_every_form_opens(client: Client, build: Build, form: str) -> None:
    text(client, f"/b/{build.pk}/{form}")


@pytest.mark.parametrize("model", [Part, FastenerSet, WireTag, Photo])
def test_every_record_has_its_page_its_form_and_its_question(client: Client, build: Build, model: type[Part]) -> None:
    for record in model.objects.filter(build=build):
        for more in ("", "/edit", "/strike-out"):
            assert str(record).partition(",")[0].split()[-1] in text(client, record.get_absolute_url() + more)


@pytest.mark.parametrize("address", ["/p/999", "/f/999", "/w/999", "/ph/999", "/ph/999/480", "/b/999/strip-down"])
def test_what_is_not_there_is_not_found(client: Client, address: str) -> None:
    assert client.get(address).status_code == 404


def test_a_part_says_where_it_is_and_what_to_take_off_first(client: Client, build: Build) -> None:
    page = text(client, Part.objects.get(name="starter").get_absolute_url())
    assert "back room" in page
    assert "box 4" in page
    assert page.index("left side cover") < page.index("chain case cover")
    assert "12 min" in page  # 2 for the side cover and 10 for the chain case
    for said in ("starter bolts", "22 N·m", "M8 x 1.25", "9.100 ± 0.012 mm", "inside", "not measured",
                 "Starter back in", "brush set", "ST, starter", "Balloon 1"):  # fmt: skip
        assert said in page, said


def test_covers_that_are_off_already_cost_no_time(client: Client, build: Build) -> None:
    Part.objects.filter(name="chain case cover").update(now="in stores")
    page = text(client, Part.objects.get(name="starter").get_absolute_url())
    assert "2 min" in page
    assert "12 min" not in page
    assert "already off" in page


def test_a_torque_stands_large_and_in_the_other_unit_beside(client: Client, build: Build) -> None:
    address = FastenerSet.objects.get().get_absolute_url()
    assert '<span class="big">22 N·m</span> <span class="faint">16.2 ft·lb</span>' in text(client, address)
    Build.objects.filter(pk=build.pk).update(system="inch-pound")
    assert '<span class="big">16.2 ft·lb</span> <span class="faint">22 N·m</span>' in text(client, address)


def test_a_brake_joint_carries_its_caution(client: Client, build: Build) -> None:
    Part.objects.filter(name="starter").update(chapter="brakes")
    assert "does not replace a licensed engineer" in text(client, FastenerSet.objects.get().get_absolute_url())


def test_a_wire_tag_says_what_it_joins(client: Client, build: Build) -> None:
    page = text(client, WireTag.objects.get(mark="17").get_absolute_url())
    for said in (
        "R1.87",
        "starter relay",
        "ST.+",
        "ring",
        "RD/BK",
        "2.5 mm²",
        "400 mm",
        "On the same pin",
        "tag 18",
    ):
        assert said in page, said


@pytest.mark.parametrize(
    ("query", "marks"),
    [("tags=both_ends", {"17"}), ("tags=one_end", {"18"}), ("tags=function", {"18"}), ("", {"17", "18"})],
)
def test_tags_by_what_is_known_of_them(client: Client, build: Build, query: str, marks: set[str]) -> None:
    page = text(client, f"/b/{build.pk}/strip-down?show=tags&{query}")
    tags = WireTag.objects.all()
    assert {tag.mark for tag in tags if f'href="{tag.get_absolute_url()}"' in page} == marks


def test_tags_stand_in_the_order_of_their_marks(client: Client) -> None:
    build = bare_build()
    for mark in ("10", "9", "2"):
        WireTag(build=build, mark=mark).save()
    page = text(client, f"/b/{build.pk}/strip-down?show=tags")
    assert page.index(">2</a>") < page.index(">9</a>") < page.index(">10</a>")


def test_parts_are_narrowed_by_plain_links(client: Client, build: Build) -> None:
    page = text(client, f"/b/{build.pk}/strip-down?show=parts&condition=worn&chapter=electrics")
    assert "starter</a>" in page
    assert "petcock</a>" not in page


def test_what_comes_off_gets_the_next_number(client: Client, build: Build) -> None:
    response = client.post(f"/b/{build.pk}/strip-down", {"name": "carburettor", "place": ""})
    assert response.status_code == 302
    part = Part.objects.get(name="carburettor")
    assert (part.came_off_order, part.now, part.place) == (2, "in stores", None)
    assert part.came_off is not None


def test_coming_off_without_a_name_is_one_sentence(client: Client, build: Build) -> None:
    response = client.post(f"/b/{build.pk}/strip-down", {"name": "  "})
    assert response.status_code == 422
    assert "Say what came off." in response.content.decode()
    assert Part.objects.count() == 4


def test_a_part_goes_back_on_and_that_can_be_taken_back(client: Client, build: Build) -> None:
    part = Part.objects.get(name="starter")
    response = client.post(f"/p/{part.pk}/move", {"move": "back_on"}, follow=True)
    part.refresh_from_db()
    assert (part.now, part.place) == ("fitted", None)
    change = build.changes.first()
    assert change is not None
    assert change.says == "Goes back on: starter"
    assert "starter: fitted." in response.content.decode()
    client.post(f"/x/{change.pk}/take-back")
    part.refresh_from_db()
    assert part.now == "in stores"
    assert part.place == Store.objects.get(mark="box 4")


def test_what_is_covered_should_go_back_on_first(client: Client, build: Build) -> None:
    Part.objects.filter(name="chain case cover").update(now="in stores")
    cover = Part.objects.get(name="chain case cover")
    response = client.post(f"/p/{cover.pk}/move", {"move": "back_on"}, follow=True)
    assert "It covers what is not back on yet: starter." in response.content.decode()


@pytest.mark.parametrize(
    "data", [{"move": "fly"}, {}, {"move": "in_stores", "place": "999"}, {"move": "in_stores", "place": "x"}]
)
def test_a_move_that_is_none_writes_nothing(client: Client, build: Build, data: dict[str, str]) -> None:
    part, lines = Part.objects.get(name="petcock"), ChangeLine.objects.count()
    response = client.post(f"/p/{part.pk}/move", data)
    assert response.status_code == 400
    assert response.content.decode().count('class="wrong"') == 1
    assert ChangeLine.objects.count() == lines


def test_moves_are_never_made_by_looking(client: Client, build: Build) -> None:
    assert client.get(f"/p/{Part.objects.first().pk}/move").status_code == 405
    assert client.get(f"/f/{FastenerSet.objects.get().pk}/joint").status_code == 405


def test_a_joint_is_torqued_with_one_press(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.get()
    client.post(f"/f/{bolts.pk}/joint", {"joint": "torqued"})
    bolts.refresh_from_db()
    assert (bolts.joint, bolts.place) == ("torqued", None)
    assert client.post(f"/f/{bolts.pk}/joint", {"joint": "loose"}).status_code == 400
    bolts.refresh_from_db()
    assert bolts.joint == "torqued"


def test_covers_do_not_go_round_in_a_circle(client: Client, build: Build) -> None:
    outer, starter = Part.objects.get(name="left side cover"), Part.objects.get(name="starter")
    response = client.post(f"/p/{outer.pk}/covers", {"cover": starter.pk})
    assert response.status_code == 400
    assert "cannot cover it" in response.content.decode()
    assert Cover.objects.count() == 2
    for wrong in ("", "x", outer.pk, "9" * 30):
        assert client.post(f"/p/{outer.pk}/covers", {"cover": wrong}).status_code == 400
    lost = Part.objects.get(name="petcock")
    assert client.post(f"/p/{lost.pk}/covers", {"cover": starter.pk}).status_code == 302
    assert client.post(f"/p/{lost.pk}/covers", {"cover": starter.pk}).status_code == 400
    assert Cover.objects.count() == 3


def test_a_cover_is_struck_out(client: Client, build: Build) -> None:
    cover = Cover.objects.first()
    address = f"/p/{cover.covered_id}/covers/{cover.cover_id}/strike-out"
    text(client, address)
    assert client.post(address).status_code == 302
    assert Cover.objects.count() == 1


TAG = {"mark": "20", "condition": "unknown"}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"mark": "17"}, "Tag 17 is already on another wire"),
        ({"colours": "MAUVE"}, "is none of BK, BN"),
        ({"area": "2.5 bananas"}, "no unit of area"),
        ({"area": "0"}, "more than nought"),
        ({"length": "-3 mm"}, "more than nought"),
        ({"from_pin": "87"}, "Choose the component that pin 87 is on"),
        ({"from_component": "R1", "from_pin": "99"}, "R1 has no pin 99; a relay has 85, 86, 30, 87, 87a."),
        ({"from_component": "12345"}, "is not in the list; choose one"),
        ({"mark": "x" * 21}, "at most 20 characters"),
        ({"mark": "a\0b"}, "Null characters"),
    ],
)
def test_a_wire_tag_that_is_wrong_keeps_what_was_typed(
    client: Client, build: Build, wrong: dict[str, str], says: str
) -> None:
    data = TAG | {"remark": "typed with cold fingers"} | wrong
    if data.get("from_component") == "R1":
        data["from_component"] = str(LoomComponent.objects.get(ident="R1").pk)
    lines = ChangeLine.objects.count()
    response = client.post(f"/b/{build.pk}/wire-tags/new", data)
    page = response.content.decode()
    assert response.status_code == 422
    assert page.count('class="wrong"') == 1
    assert says in page
    assert "typed with cold fingers" in page
    assert (WireTag.objects.count(), ChangeLine.objects.count()) == (2, lines)


def test_a_wire_tag_is_written_down_with_both_ends_as_one_change(client: Client, build: Build) -> None:
    relay, motor = LoomComponent.objects.get(ident="R1"), LoomComponent.objects.get(ident="ST")
    data = TAG | {
        "colours": "gn ye", "area": "14 AWG", "length": "1 ft", "from_component": relay.pk, "from_pin": "87",
        "to_component": motor.pk, "to_pin": "+", "to_connector": "ring, M6",
    }  # fmt: skip
    before = build.changes.count()
    assert client.post(f"/b/{build.pk}/wire-tags/new", data).status_code == 302
    tag = WireTag.objects.get(mark="20")
    assert tag.colours == "GN/YE"
    assert tag.area == pytest.approx(2.0809e-6, rel=1e-4)  # 14 AWG, ASTM B258
    assert tag.length == pytest.approx(0.3048)
    assert [(end.side, end.component.ident, end.pin) for end in tag.ends.all()] == [
        ("from", "R1", "87"), ("to", "ST", "+"),
    ]  # fmt: skip
    assert build.changes.count() == before + 1
    assert build.changes.first().lines.count() == 3


def test_an_end_that_is_emptied_is_gone_and_the_other_stays(client: Client, build: Build) -> None:
    tag = WireTag.objects.get(mark="17")
    end = tag.ends.get(side="from")
    data = {"mark": "17", "condition": "good", "from_component": end.component_id, "from_pin": "87"}
    assert client.post(f"/w/{tag.pk}/edit", data).status_code == 302
    assert [(end.side, end.pin) for end in tag.ends.all()] == [("from", "87")]


def test_editing_without_a_change_changes_nothing(client: Client, build: Build) -> None:
    """What is shown rounded is not written back rounded."""
    bolts = FastenerSet.objects.get()
    FastenerSet.objects.filter(pk=bolts.pk).update(torque=22.123456789)
    form = client.get(f"/f/{bolts.pk}/edit").context["form"]
    data = {name: form[name].value() or "" for name in form.fields}
    data |= {name: form.fields[name].prepare_value(form.initial[name]) for name in ("torque", "length")}
    lines = ChangeLine.objects.count()
    assert client.post(f"/f/{bolts.pk}/edit", data).status_code == 302
    assert FastenerSet.objects.get().torque == 22.123456789
    assert ChangeLine.objects.count() == lines


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"torque": "22 mm"}, "unit of length"),
        ({"torque": "-4"}, "below nought"),
        ({"count": "-1"}, "greater than"),
        ({"name": ""}, "This is needed"),
        ({"count": "99999999"}, "less than or equal to 10000"),
    ],
)
def test_a_fastener_set_that_is_wrong(client: Client, build: Build, wrong: dict[str, str], says: str) -> None:
    data = {"name": "rocker cover bolts", "count": "6", "joint": "apart"} | wrong
    response = client.post(f"/b/{build.pk}/fastener-sets/new", data)
    page = response.content.decode()
    assert response.status_code == 422
    assert page.count('class="wrong"') == 1
    assert says in page
    assert FastenerSet.objects.count() == 1


def test_a_bare_torque_is_in_the_builds_own_unit(client: Client) -> None:
    build = bare_build(system="inch-pound")
    data = {"name": "rocker cover bolts", "count": "6", "joint": "apart", "torque": "10"}
    assert client.post(f"/b/{build.pk}/fastener-sets/new", data).status_code == 302
    assert FastenerSet.objects.get().torque == pytest.approx(13.558, rel=1e-4)  # NIST SP 811, B.8


def test_no_record_of_another_build_is_taken(client: Client, build: Build) -> None:
    other = bare_build("Another")
    strange = Part(build=other, name="strange part")
    strange.save()
    data = {"name": "bolts", "count": "2", "joint": "apart", "holds": strange.pk}
    assert client.post(f"/b/{build.pk}/fastener-sets/new", data).status_code == 422
    assert client.post(f"/p/{Part.objects.first().pk}/covers", {"cover": strange.pk}).status_code == 400


@pytest.mark.parametrize("name", ["starter", "chain case cover"])
def test_a_part_is_struck_out_and_taken_back_with_all_that_hung_on_it(client: Client, build: Build, name: str) -> None:
    part = Part.objects.get(name=name)
    counts = [model.objects.count() for model in (Part, Cover, FastenerSet, Photo)]
    holds = FastenerSet.objects.get().holds_id
    response = client.post(f"/p/{part.pk}/strike-out")
    assert response.status_code == 302
    assert not Part.objects.filter(pk=part.pk).exists()
    client.post(f"/x/{build.changes.first().pk}/take-back")
    assert [model.objects.count() for model in (Part, Cover, FastenerSet, Photo)] == counts
    assert FastenerSet.objects.get().holds_id == holds


def test_the_number_of_queries_does_not_grow(client: Client) -> None:
    build = full_build()
    starter, relay = Part.objects.get(name="starter"), WireEnd.objects.first().component
    addresses = [f"/b/{build.pk}/strip-down{query}" for query in LISTS] + [starter.get_absolute_url()]

    def queries() -> list[int]:
        counted = []
        for address in addresses:
            with CaptureQueriesContext(connection) as seen:
                assert client.get(address).status_code == 200
            counted.append(len(seen))
        return counted

    queries()
    before = queries()
    for number in range(12):
        place = Store(build=build, name=f"shelf {number}")
        place.save()
        part = Part(build=build, name=f"part {number}", place=place)
        part.save()
        FastenerSet(build=build, name=f"set {number}", holds=starter, place=place).save()
        tag = WireTag(build=build, mark=f"{100 + number}")
        tag.save()
        WireEnd(build=build, tag=tag, side="from", component=relay, pin="87").save()
        Cover(build=build, cover=part, covered=starter).save()
    assert queries() == before
