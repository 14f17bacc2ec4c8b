"""Photos through the pages: taken in, shown, pointed at; and what is no photo."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from tests.shed.penhallow import bare_build, full_build, picture

from tickover.records.models import Balloon, Build, ChangeLine, Part, Photo, Stint, Store, WireTag

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return full_build()


def file(name: str = "side.jpg", data: bytes | None = None) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, picture(90) if data is None else data, content_type="image/jpeg")


def files_kept() -> list[Path]:
    return [path for path in Path(settings.PHOTOS).rglob("*") if path.is_file()]


def test_several_photos_at_once_are_one_change(client: Client, build: Build) -> None:
    stint = Stint(build=build, who="Jory")
    stint.save()
    before = build.changes.count()
    data = {"photos": [file(f"{shade}.jpg", picture(shade)) for shade in (10, 20, 30)], "shows": "left side"}
    response = client.post(f"/b/{build.pk}/photos/new", data, follow=True)
    assert "3 photos kept." in response.content.decode()
    assert [photo.shows for photo in Photo.objects.filter(stint=stint)] == ["left side"] * 3
    assert build.changes.count() == before + 1


def test_the_same_photo_twice_is_not_kept_twice(client: Client, build: Build) -> None:
    for _ in range(2):
        response = client.post(f"/b/{build.pk}/photos/new", {"photos": [file()]}, follow=True)
    assert "was not kept twice" in response.content.decode()
    assert Photo.objects.count() == 2  # the one of the full build, and this one
    assert len([path for path in files_kept() if len(path.stem) == 64]) == 2


def test_the_same_photo_twice_in_one_go(client: Client, build: Build) -> None:
    client.post(f"/b/{build.pk}/photos/new", {"photos": [file("a.jpg"), file("b.jpg")]})
    assert Photo.objects.count() == 2


@pytest.mark.parametrize(
    ("upload", "says"),
    [
        (("notes.jpg", b"words, not a picture"), "“notes.jpg” is not a whole picture"),
        (("empty.jpg", b""), "“empty.jpg” is empty"),
        (("cut.jpg", picture(90, (800, 600))[:-500]), "“cut.jpg” is damaged or cut short"),
    ],
)
def test_what_is_no_photo_is_one_sentence_and_nothing_is_written(
    client: Client, upload: tuple[str, bytes], says: str
) -> None:
    build = bare_build()
    lines = ChangeLine.objects.count()
    data = {"photos": [file(*upload)], "shows": "the left side"}
    response = client.post(f"/b/{build.pk}/photos/new", data)
    page = response.content.decode()
    assert response.status_code == 422
    assert page.count('class="wrong"') == 1
    assert says in page
    assert 'value="the left side"' in page
    assert (Photo.objects.count(), ChangeLine.objects.count(), files_kept()) == (0, lines, [])


def test_one_bad_photo_does_not_cost_the_good_ones(client: Client) -> None:
    build = bare_build()
    response = client.post(f"/b/{build.pk}/photos/new", {"photos": [file(), file("notes.jpg", b"words")]})
    assert response.status_code == 422
    assert "“notes.jpg”" in response.content.decode()
    assert "1 photo kept." in response.content.decode()
    assert Photo.objects.count() == 1


def test_no_photo_at_all_is_one_sentence(client: Client, build: Build) -> None:
    response = client.post(f"/b/{build.pk}/photos/new", {"shows": "x"})
    assert response.status_code == 422
    assert "No picture was chosen" in response.content.decode()


def test_a_photo_of_a_part_is_ready_to_point_at_it(client: Client, build: Build) -> None:
    part = Part.objects.get(name="petcock")
    data = {"photos": [file()], "target": f"part:{part.pk}"}
    response = client.post(f"/b/{build.pk}/photos/new", data, follow=True)
    assert f'value="petcock [p/{part.pk}]"' in response.content.decode()


@pytest.mark.parametrize("target", ["part:x", "elsewhere", "//elsewhere.example", "part:1#"])
def test_a_target_that_is_none_is_left_out(client: Client, build: Build, target: str) -> None:
    response = client.post(f"/b/{build.pk}/photos/new", {"photos": [file()], "target": target})
    assert response.headers["Location"] == Photo.objects.latest("pk").get_absolute_url()


@pytest.mark.parametrize(
    ("size", "kind"), [("480", "jpeg"), ("1600", "jpeg"), ("preview", "jpeg"), ("original", "jpeg")]
)
def test_pictures_are_sent_once(client: Client, build: Build, size: str, kind: str) -> None:
    address = f"{Photo.objects.get().get_absolute_url()}/{size}"
    response = client.get(address)
    assert response.headers["Content-Type"] == f"image/{kind}"
    assert b"".join(response.streaming_content).startswith(b"\xff\xd8\xff")
    response.close()
    again = client.get(address, headers={"If-None-Match": response.headers["ETag"]})
    assert again.status_code == 304


@pytest.mark.parametrize("size", ["481", "0", "99999999999999999999"])
def test_no_other_size_is_made(client: Client, build: Build, size: str) -> None:
    assert client.get(f"{Photo.objects.get().get_absolute_url()}/{size}").status_code == 404


def test_a_photo_whose_file_is_gone_is_not_found(client: Client, build: Build) -> None:
    for path in files_kept():
        path.unlink()
    for size in ("480", "original"):
        assert client.get(f"{Photo.objects.get().get_absolute_url()}/{size}").status_code == 404
    assert client.get(Photo.objects.get().get_absolute_url()).status_code == 200


def test_a_balloon_is_put_where_the_picture_was_tapped(client: Client, build: Build) -> None:
    photo, part = Photo.objects.get(), Part.objects.get(name="petcock")
    data = {"target": f"part:{part.pk}", "x": "12.5", "y": "80"}
    assert client.post(f"/ph/{photo.pk}/balloons", data).status_code == 302
    balloon = Balloon.objects.latest("pk")
    assert (balloon.number, balloon.x, balloon.y, balloon.target) == (4, 0.125, 0.8, part)
    assert build.changes.first().says == "A balloon on starter in its place points at petcock"
    page = client.get(f"/ph/{photo.pk}").content.decode()
    assert 'style="left:12.50%;top:80.00%"' in page


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"x": ""}, "Tap the picture"),
        ({"x": "101"}, "less than or equal to 100"),
        ({"y": "-1"}, "greater than or equal to 0"),
        ({"y": "nan"}, "Write a number, such as 2.5."),
        ({"target": ""}, "Choose what the balloon points at"),
        ({"target": "part:99999"}, "is not in the list; choose one"),
        ({"target": "lid:1"}, "is not in the list; choose one"),
        ({"remark": "x" * 201}, "at most 200 characters"),
    ],
)
def test_a_balloon_that_is_wrong(client: Client, build: Build, wrong: dict[str, str], says: str) -> None:
    photo = Photo.objects.get()
    data = {"target": f"part:{Part.objects.first().pk}", "x": "10", "y": "20"} | wrong
    response = client.post(f"/ph/{photo.pk}/balloons", data)
    page = response.content.decode()
    assert response.status_code == 422
    assert page.count('class="wrong"') == 1
    assert says in page
    assert Balloon.objects.count() == 3


def test_a_balloon_is_struck_out_and_taken_back(client: Client, build: Build) -> None:
    balloon = Balloon.objects.get(number=2)
    address = f"/ph/{balloon.photo_id}/balloons/2/strike-out"
    assert "Strike out" in client.get(address).content.decode()
    client.post(address)
    assert Balloon.objects.count() == 2
    client.post(f"/x/{build.changes.first().pk}/take-back")
    assert Balloon.objects.count() == 3


def test_a_photo_struck_out_and_taken_back_still_has_its_file(client: Client, build: Build) -> None:
    photo = Photo.objects.get()
    client.post(f"/ph/{photo.pk}/strike-out")
    assert not Photo.objects.exists()
    client.post(f"/x/{build.changes.first().pk}/take-back")
    response = client.get(f"/ph/{photo.pk}/480")
    assert response.status_code == 200
    response.close()
    assert Balloon.objects.count() == 3


def test_the_photo_links_to_what_its_balloons_point_at(client: Client, build: Build) -> None:
    page = client.get(Photo.objects.get().get_absolute_url()).content.decode()
    for record in (Part.objects.get(name="starter"), WireTag.objects.get(mark="17")):
        assert f'href="{record.get_absolute_url()}"' in page


def test_what_is_offered_as_it_is_typed(client: Client, build: Build) -> None:
    address = f"/ph/{Photo.objects.get().pk}/pointed-at"
    starter, place = Part.objects.get(name="starter"), Store.objects.get(mark="box 4")
    assert f'value="part:{starter.pk}"' in client.get(address, {"points_at": "start"}).content.decode()
    assert (
        f'value="tag:{WireTag.objects.get(mark="17").pk}"' in client.get(address, {"points_at": "17"}).content.decode()
    )
    assert f'value="place:{place.pk}"' in client.get(address, {"points_at": "box 4"}).content.decode()
    nothing = client.get(address, {"points_at": "gudgeon"}).content.decode()
    assert 'name="target"' not in nothing
    assert "A new part: “gudgeon”" in nothing
    assert "<button" not in client.get(address, {"points_at": " "}).content.decode()


def test_a_name_that_only_one_has_is_enough(client: Client, build: Build) -> None:
    photo = Photo.objects.get()
    client.post(f"/ph/{photo.pk}/balloons", {"points_at": "Petcock", "x": "10", "y": "20"})
    assert Balloon.objects.get(number=4).part == Part.objects.get(name="petcock")


def test_a_new_part_by_its_name_is_one_change(client: Client, build: Build) -> None:
    photo, before = Photo.objects.get(), build.changes.count()
    data = {"points_at": "gudgeon pin", "new_part": "yes", "x": "10", "y": "20"}
    client.post(f"/ph/{photo.pk}/balloons", data)
    part = Part.objects.get(name="gudgeon pin")
    assert Balloon.objects.get(number=4).part == part
    assert build.changes.count() == before + 1
    client.post(f"/x/{build.changes.first().pk}/take-back")
    assert not Part.objects.filter(name="gudgeon pin").exists()
    assert Balloon.objects.count() == 3


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"points_at": "gudgeon"}, "No part or fastener set or wire tag or place is called “gudgeon”"),
        ({"points_at": "x" * 121, "new_part": "yes"}, "at most 120 letters"),
        ({"points_at": "x [p/99999]"}, "is called “x [p/99999]”"),
    ],
)
def test_a_name_that_is_wrong_stays_typed(client: Client, build: Build, wrong: dict[str, str], says: str) -> None:
    parts = Part.objects.count()
    response = client.post(f"/ph/{Photo.objects.get().pk}/balloons", {"x": "10", "y": "20"} | wrong)
    page = response.content.decode()
    assert response.status_code == 422
    assert page.count('class="wrong"') == 1
    assert says in page
    assert f'value="{wrong["points_at"]}"' in page
    assert (Balloon.objects.count(), Part.objects.count()) == (3, parts)


def test_a_balloon_is_pointed_anew_and_moved(client: Client, build: Build) -> None:
    balloon, place = Balloon.objects.get(number=2), Store.objects.get(mark="box 4")
    address = f"/ph/{balloon.photo_id}/balloons/2"
    page = client.get(address).content.decode()
    assert f'value="starter bolts [f/{balloon.fasteners_id}]"' in page
    assert 'value="50.0"' in page
    client.post(address, {"target": f"place:{place.pk}", "points_at": "x", "x": "30", "y": "40", "remark": "in it"})
    balloon.refresh_from_db()
    assert (balloon.target, balloon.fasteners, balloon.x, balloon.y) == (place, None, 0.3, 0.4)
    assert (balloon.number, balloon.remark, Balloon.objects.count()) == (2, "in it", 3)
    assert client.post(address, {"target": "part:99999", "x": "1", "y": "1"}).status_code == 422
