"""What goes back on and why; joint by joint; the torque worked out; loose things counted."""

from __future__ import annotations

import html
import re

import pytest
from django.test import Client
from tests.shed.penhallow import bare_build, full_build

from tickover.records import history
from tickover.records.models import Build, Change, Cover, FastenerSet, LooseCount, Part, SavedSheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return full_build()


def page(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status
    return html.unescape(response.content.decode())


def text(client: Client, address: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page(client, address)).split())


def count_of(build: Build, **facts: object) -> LooseCount:
    count = LooseCount(build=build, **({"name": "bearing balls", "counted_out": 38} | facts))
    count.save()
    return count


# -- the refitting order ---------------------------------------------------------------------------------------


def test_an_empty_build_says_what_belongs_there(client: Client) -> None:
    build = bare_build()
    assert "Nothing is off that is to go back on" in text(client, f"/b/{build.pk}/refitting")
    assert "count the first out before the bag is closed" in text(client, f"/b/{build.pk}/counts")


def test_next_on_says_why_where_it_lies_and_what_is_in_its_way(client: Client, build: Build) -> None:
    said = text(client, f"/b/{build.pk}/refitting")
    assert "Next on starter" in said
    assert "It lies in box 4 (electrics)." in said
    assert "First off again: the chain case cover is on the bike" in said
    assert said.index("starter") < said.index("petcock")


def test_what_waits_stands_apart_with_its_reason(client: Client, build: Build) -> None:
    Part.objects.filter(name="petcock").update(now="on order")
    Part.objects.filter(name="chain case cover").update(now="in stores")
    Part.objects.filter(name="starter").update(now="out for work")
    said = text(client, f"/b/{build.pk}/refitting")
    assert "all that is off waits for something" in said
    waits = said[said.index("What waits") :]
    assert "starter waits out for work." in waits
    assert "chain case cover waits behind the starter: out for work." in waits


def test_a_circle_is_shown_with_the_way_to_break_it(client: Client, build: Build) -> None:
    starter, side = Part.objects.get(name="starter"), Part.objects.get(name="left side cover")
    link = Cover(build=build, cover=starter, covered=side, guessed=True)
    link.save()
    address = f"/p/{side.pk}/covers/{starter.pk}/strike-out"
    for where in (f"/b/{build.pk}/refitting", f"/p/{starter.pk}", f"/p/{side.pk}"):
        said = page(client, where)
        assert "This goes round in a circle" in said
        assert address in said
        assert "it is only a guess" in said
    assert client.post(address).status_code == 302
    assert "circle" not in text(client, f"/b/{build.pk}/refitting")


def test_the_list_does_not_ask_more_because_there_is_more(client: Client, build: Build) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as few:
        client.get(f"/b/{build.pk}/refitting")
    with history.writing(kept=False):
        under = Part.objects.get(name="starter")
        for number in range(60):
            part = Part(build=build, name=f"plate {number}")
            part.save()
            Cover(build=build, cover=part, covered=under).save()
            under = part
    with CaptureQueriesContext(connection) as many:
        said = client.get(f"/b/{build.pk}/refitting").content.decode()
    assert len(many) <= len(few)
    assert "more are off" in said


# -- asked kindly and little -----------------------------------------------------------------------------------


def came_off(client: Client, build: Build, name: str) -> Part:
    assert client.post(f"/b/{build.pk}/strip-down", {"name": name}).status_code == 302
    return Part.objects.get(name=name)


@pytest.mark.parametrize(("answer", "stays"), [("yes", True), ("no", False)])
def test_a_guess_is_answered_with_one_tap(client: Client, build: Build, answer: str, stays: bool) -> None:
    seat, tank = came_off(client, build, "seat"), came_off(client, build, "tank")
    for address in (f"/p/{tank.pk}", f"/b/{build.pk}/strip-down", f"/b/{build.pk}/refitting"):
        assert "Did the seat have to come off before the tank ?" in text(client, address)
    address = f"/p/{tank.pk}/covers/{seat.pk}/answer"
    assert client.get(address).status_code == 405
    assert client.post(address, {"answer": "perhaps"}).status_code == 400
    assert client.post(address, {"answer": answer}).status_code == 302
    assert [link.guessed for link in Cover.objects.filter(cover=seat, covered=tank)] == ([False] if stays else [])
    assert "Did the seat" not in text(client, f"/p/{tank.pk}")
    assert client.post(address, {"answer": answer}).status_code == 302  # twice is harmless


def test_a_guess_gives_way_to_what_somebody_says(client: Client, build: Build) -> None:
    seat, tank = came_off(client, build, "seat"), came_off(client, build, "tank")
    changes = Change.objects.count()
    assert client.post(f"/p/{seat.pk}/covers", {"cover": "Tank", "how": "holds"}).status_code == 302
    (link,) = Cover.objects.filter(covered__in=(seat, tank))
    assert (link.cover, link.covered, link.how, link.guessed) == (tank, seat, "holds", False)
    assert Change.objects.count() == changes + 1


def test_a_cover_is_named_as_it_is_called(client: Client, build: Build) -> None:
    starter, lost = Part.objects.get(name="starter"), Part.objects.get(name="petcock")
    assert client.post(f"/p/{lost.pk}/covers", {"cover": f"p{starter.pk}"}).status_code == 302
    Part(build=build, name="Starter").save()
    for typed, sentence in (
        ("starter", "Several parts are called starter"),
        ("hat", "“hat” is no other part of this build"),
        ("", "No part is named"),
        ("petcock", "“petcock” is no other part of this build"),
    ):
        response = client.post(f"/p/{lost.pk}/covers", {"cover": typed})
        assert response.status_code == 400
        assert sentence in html.unescape(response.content.decode())
    assert client.post(f"/p/{lost.pk}/covers", {"cover": str(starter.pk), "how": "hides"}).status_code == 400
    assert Cover.objects.filter(covered=lost).count() == 1


def test_what_comes_off_has_its_joints_apart(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.get()
    client.post(f"/p/{bolts.holds_id}/move", {"move": "back_on"})
    client.post(f"/f/{bolts.pk}/joint", {"joint": "torqued"})
    client.post(f"/p/{bolts.holds_id}/move", {"move": "came_off"})
    bolts.refresh_from_db()
    assert bolts.joint == "apart"
    last = history.last_change(build.pk)
    assert last is not None
    history.take_back(last)
    bolts.refresh_from_db()
    assert bolts.joint == "torqued"


# -- joint by joint --------------------------------------------------------------------------------------------


def test_a_joint_goes_from_apart_to_witness_marked_and_on_to_the_next(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.get()
    other = FastenerSet(build=build, name="starter cable nut", holds=bolts.holds)
    other.save()
    assert client.get(f"/p/{bolts.holds_id}/tighten")["Location"] == f"/f/{bolts.pk}/tighten"
    said = text(client, f"/f/{bolts.pk}/tighten")
    for fact in ("joint 1 of 2", "2 × M8 x 1.25", "30 mm long", "22 N·m", "the bag is box 4", "The starter is off"):
        assert fact in said, fact
    client.post(f"/p/{bolts.holds_id}/move", {"move": "back_on"})
    for state in ("finger-tight", "torqued", "witness-marked"):
        shown = page(client, f"/f/{bolts.pk}/tighten")
        (pressed,) = re.findall(r'name="joint" value="([^"]+)" class="main"', shown)
        assert pressed == state
        (onward,) = re.findall(r'set_joint|action="/f/\d+/joint".*?name="next" value="([^"]+)"', shown, re.DOTALL)
        response = client.post(f"/f/{bolts.pk}/joint", {"joint": state, "next": onward})
        assert response["Location"] == (
            f"/f/{other.pk}/tighten" if state == "witness-marked" else f"/f/{bolts.pk}/tighten"
        )
    assert client.get(f"/p/{bolts.holds_id}/tighten")["Location"] == f"/f/{other.pk}/tighten"
    assert "no torque on record" in text(client, f"/f/{other.pk}/tighten")


def test_the_unit_on_the_wrench_is_remembered(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.get()
    assert client.get(f"/b/{build.pk}/wrench").status_code == 405
    assert client.post(f"/b/{build.pk}/wrench", {"wrench": "furlongs"}).status_code == 400
    assert client.post(f"/b/{build.pk}/wrench", {"wrench": "inch-pound"}).status_code == 302
    assert "16.2 ft·lb" in text(client, f"/f/{bolts.pk}/tighten")
    client.post(f"/b/{build.pk}/wrench", {"wrench": "metric"})
    assert "22 N·m" in text(client, f"/f/{bolts.pk}/tighten")


def test_a_finished_part_has_no_joint_left(client: Client, build: Build) -> None:
    FastenerSet.objects.update(joint="witness-marked")
    part = Part.objects.get(name="starter")
    response = client.get(f"/p/{part.pk}/tighten", follow=True)
    assert "No joint of the starter is left to tighten." in response.content.decode()


# -- a torque that is in no book -------------------------------------------------------------------------------


def test_a_torque_is_worked_out_and_marked_so(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.get()
    bolts.material = "8.8, zinc"
    bolts.save()
    shown = page(client, f"/f/{bolts.pk}/torque")
    assert 'value="8 mm"' in shown
    assert 'value="1.25 mm"' in shown
    assert "<option selected>8.8</option>" in shown
    assert "22 N·m stands there already" in text(client, f"/f/{bolts.pk}/torque")
    typed = {"diameter": "8 mm", "pitch": "1.25 mm", "property_class": "8.8", "friction": "0.12"}
    changes = Change.objects.count()
    assert client.post(f"/f/{bolts.pk}/torque", typed).status_code == 302
    bolts.refresh_from_db()
    saved = SavedSheet.objects.get()
    assert bolts.torque_sheet == saved
    assert bolts.torque == pytest.approx(24.6, rel=0.01)  # VDI 2230: M8, 8.8, friction 0.12
    assert Change.objects.count() == changes + 1
    said = text(client, f"/f/{bolts.pk}")
    assert "worked out Not from the book" in said
    assert f'href="{saved.get_absolute_url()}"' in page(client, f"/f/{bolts.pk}")
    assert "worked out not from the book" in text(client, f"/f/{bolts.pk}/tighten")


def test_a_torque_typed_over_it_is_no_longer_worked_out(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.get()
    client.post(f"/f/{bolts.pk}/torque", {"diameter": "8 mm", "pitch": "1.25 mm", "property_class": "8.8"})
    data = {"name": "starter bolts", "count": "2", "joint": "apart", "torque_from": "worked out, not from the book"}
    assert client.post(f"/f/{bolts.pk}/edit", data | {"torque": "20 N·m"}).status_code == 302
    bolts.refresh_from_db()
    assert (bolts.torque_sheet, bolts.torque_from, bolts.torque) == (None, "", pytest.approx(20.0))


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"pitch": ""}, "Not all that it needs is given: pitch"),
        ({"pitch": "3 bananas"}, "is no unit of length"),
        ({"friction": "12"}, "friction"),
        ({"property_class": "9.1"}, "property_class"),
    ],
)
def test_bad_figures_keep_nothing(client: Client, build: Build, wrong: dict[str, str], sentence: str) -> None:
    bolts = FastenerSet.objects.get()
    typed = {"diameter": "8 mm", "pitch": "1.25 mm", "property_class": "8.8"} | wrong
    response = client.post(f"/f/{bolts.pk}/torque", typed)
    assert response.status_code == 422
    assert sentence in html.unescape(response.content.decode())
    assert 'value="8 mm"' in response.content.decode()
    assert not SavedSheet.objects.exists()
    bolts.refresh_from_db()
    assert bolts.torque == pytest.approx(22.0)


@pytest.mark.parametrize("thread", ["", "rubbish", "M9 x 1.25", "1/4-20 UNC"])
def test_any_thread_on_record_opens_the_sheet(client: Client, build: Build, thread: str) -> None:
    FastenerSet.objects.update(thread=thread)
    shown = page(client, f"/f/{FastenerSet.objects.get().pk}/torque")
    assert ('value="9 mm"' in shown) == thread.startswith("M9")


# -- loose things ----------------------------------------------------------------------------------------------


def test_counted_out_counted_in_and_the_difference_shouted(client: Client, build: Build) -> None:
    starter = Part.objects.get(name="starter")
    data = {"name": "shims", "part": starter.pk, "counted_out": "4"}
    assert client.post(f"/b/{build.pk}/counts/new", data).status_code == 302
    count = LooseCount.objects.get()
    quiet = [
        f"/n/{count.pk}",
        f"/p/{starter.pk}",
        f"/b/{build.pk}/refitting",
        f"/b/{build.pk}",
        f"/b/{build.pk}/counts",
    ]
    assert all('class="shout" role="alert"' not in page(client, address) for address in quiet)
    assert "Count in: shims , 4 came out." in text(client, f"/f/{FastenerSet.objects.get().pk}/tighten")
    assert client.post(f"/n/{count.pk}/in", {"counted_in": "3"}).status_code == 302
    for address in [*quiet, f"/f/{FastenerSet.objects.get().pk}/tighten"]:
        assert "1 missing: 4 came out, 3 went in." in text(client, address), address
    client.post(f"/n/{count.pk}/in", {"counted_in": "5"})
    assert "1 too many: 4 came out, 5 went in." in text(client, f"/b/{build.pk}")
    client.post(f"/n/{count.pk}/in", {"counted_in": "4"})
    assert all('class="shout" role="alert"' not in page(client, address) for address in quiet)
    client.post(f"/n/{count.pk}/in", {"out_again": "1"})
    count.refresh_from_db()
    assert count.counted_in is None


def test_a_part_that_goes_on_without_its_loose_things_is_shouted_too(client: Client, build: Build) -> None:
    starter = Part.objects.get(name="starter")
    count_of(build, part=starter)
    client.post(f"/p/{starter.pk}/move", {"move": "back_on"})
    assert "38 came out and not one is counted in, but the starter is on." in text(client, f"/b/{build.pk}")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Count them, and write how many went in."),
        ("a few", "Write a whole number, such as 38."),
        ("-1", "A count below nought cannot be"),
        ("100001", "At most 100000 can be counted here"),
    ],
)
def test_a_count_that_cannot_be_is_not_taken(client: Client, build: Build, typed: str, sentence: str) -> None:
    count = count_of(build)
    response = client.post(f"/n/{count.pk}/in", {"counted_in": typed})
    assert response.status_code == 422
    shown = html.unescape(response.content.decode())
    assert sentence in shown
    assert not typed or f'value="{typed}"' in shown
    data = {"name": "shims", "counted_out": typed}
    response = client.post(f"/b/{build.pk}/counts/new", data)
    assert response.status_code == 422
    count.refresh_from_db()
    assert count.counted_in is None
    assert LooseCount.objects.count() == 1


def test_a_count_is_changed_and_struck_out(client: Client, build: Build) -> None:
    count = count_of(build, counted_in=38)
    data = {"name": "balls, upper race", "counted_out": "19", "counted_in": "19"}
    assert client.post(f"/n/{count.pk}/edit", data).status_code == 302
    assert "It comes out even." in text(client, f"/n/{count.pk}")
    assert "balls, upper race" in text(client, f"/b/{build.pk}/counts")
    assert client.post(f"/n/{count.pk}/strike-out").status_code == 302
    last = history.last_change(build.pk)
    assert last is not None
    history.take_back(last)
    assert LooseCount.objects.get().counted_out == 19


def test_what_is_not_there_is_not_found(client: Client) -> None:
    for address in (
        "/n/9",
        "/n/9/edit",
        "/f/9/tighten",
        "/p/9/tighten",
        "/f/9/torque",
        "/b/9/refitting",
        "/b/9/counts",
    ):
        assert client.get(address).status_code == 404
