"""QR labels in a photo: read when turned, dark and far away, and understood only as this workshop's own."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from tests.labelled import label, scene
from tests.shed.penhallow import bare_build, full_build

from tickover.records import codes, photo_files
from tickover.records.models import FastenerSet, Part, Store, WireTag


@pytest.mark.parametrize("turn", [0, 30, 90, 135, 200])
@pytest.mark.parametrize("light", [1.0, 0.35])
def test_a_label_turned_and_dark(turn: float, light: float) -> None:
    photo = scene((label("http://192.168.1.20:8000/s/4"), (0.25, 0.6), turn), light=light)
    [code] = codes.read(photo)
    assert code.says == "http://192.168.1.20:8000/s/4"
    assert (code.x, code.y) == (pytest.approx(0.25, abs=0.01), pytest.approx(0.6, abs=0.01))


def test_a_label_too_small_for_the_reduced_copy() -> None:
    """Its modules are four pixels in a picture of 4000, one and a half in the copy of 1600."""
    photo = scene((label("http://heron.local/w/17", 4), (0.8, 0.2), 10), size=(4000, 3000))
    assert [code.says for code in codes.read(photo)] == ["http://heron.local/w/17"]


def test_several_labels_each_at_its_place() -> None:
    photo = scene((label("http://a/p/31"), (0.2, 0.2), 20), (label("http://a/f/5"), (0.8, 0.7), -40))
    assert {(code.says, round(code.x, 1), round(code.y, 1)) for code in codes.read(photo)} == {
        ("http://a/p/31", 0.2, 0.2),
        ("http://a/f/5", 0.8, 0.7),
    }


def test_no_label_no_code() -> None:
    assert codes.read(scene()) == ()


@pytest.mark.parametrize("kind", ["JPEG", "HEIF"])
def test_the_place_is_that_of_the_upright_picture(kind: str) -> None:
    """The camera lay on its side (orientation 6): the label at the left of the sensor's picture is at the top."""
    exif = Image.Exif()
    exif[0x0112] = 6
    out = io.BytesIO()
    scene((label("http://a/s/4"), (0.25, 0.4), 0), size=(1600, 1200)).save(out, kind, exif=exif)
    [code] = photo_files.keep(io.BytesIO(out.getvalue()), "a picture").codes
    assert (code.x, code.y) == (pytest.approx(0.6, abs=0.01), pytest.approx(0.25, abs=0.01))


@pytest.mark.django_db
@pytest.mark.parametrize(("letter", "model"), [("s", Store), ("p", Part), ("f", FastenerSet), ("w", WireTag)])
@pytest.mark.parametrize("host", ["http://192.168.1.20:8000", "https://heron.local", "HTTP://OLD-LAPTOP", ""])
def test_an_address_of_this_workshop(letter: str, model: type, host: str) -> None:
    build = full_build()
    record = model.objects.last()
    assert codes.record_named(build, f"{host}/{letter}/{record.pk}") == record


@pytest.mark.django_db
@pytest.mark.parametrize(
    "says",
    ["", "4006381333931", "http://a/x/4", "http://a/s/", "http://a/s/4/edit", "s/4", "http://a/b/1/s/4", "WIFI:S:a;;",
     "http://a/s/9999999", "http://a/s/99999999999999999999", "http://a/s/4?x=1", "http://a/s/٤"],
)  # fmt: skip
def test_anything_else_is_ignored(says: str) -> None:
    assert codes.record_named(full_build(), says) is None


@pytest.mark.django_db
def test_a_label_of_another_build_is_ignored() -> None:
    full_build()
    assert codes.record_named(bare_build("another"), f"http://a/s/{Store.objects.first().pk}") is None
