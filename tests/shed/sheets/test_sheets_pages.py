"""Every sheet's page is made from its declaration: form, answer, drawing, kept sheet."""

from __future__ import annotations

import pytest
from django.test import Client
from tests.shed.penhallow import bare_build, full_build

from tickover import sheets
from tickover.records.models import Build, Reading, SavedSheet

pytestmark = pytest.mark.django_db

TRAIL = {"rake": "27°", "offset": "55 ± 0.5 mm", "front_radius": "305 mm"}


@pytest.mark.parametrize("sheet_id", list(sheets.index()))
def test_every_sheet_has_a_page_with_all_its_inputs(client: Client, sheet_id: str) -> None:
    build = bare_build()
    assert sheet_id in client.get(f"/b/{build.pk}/sheets").content.decode()
    text = client.get(f"/b/{build.pk}/sheets/{sheet_id}").content.decode()
    for name in sheets.get(sheet_id).inputs:
        assert f'name="{name}"' in text
    assert "Still to give" in text


def test_the_answer_comes_while_figures_are_typed(client: Client) -> None:
    build = bare_build()
    text = client.get(f"/b/{build.pk}/sheets/chassis.trail/worked", TRAIL).content.decode()
    assert "93.7 ± 0.6 mm" in text
    assert "<svg" in text
    assert "does not replace a licensed engineer" in text


def test_a_build_in_inch_pound_shows_inches(client: Client) -> None:
    build = bare_build(system="inch-pound")
    text = client.get(f"/b/{build.pk}/sheets/chassis.trail/worked", TRAIL).content.decode()
    assert "3.69 ± 0.02 in" in text


@pytest.mark.parametrize(
    ("figure", "named"),
    [
        ("27 bananas", "bananas"),
        ("270°", "out of range"),
        ("nan", "Rake"),
        ("", "Not all that it needs is given: rake"),
    ],
)
def test_a_bad_figure_is_one_sentence_and_stays_typed(client: Client, figure: str, named: str) -> None:
    build = bare_build()
    answer = client.post(f"/b/{build.pk}/sheets/chassis.trail", TRAIL | {"rake": figure})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert named in text
    assert 'value="305 mm"' in text
    assert not SavedSheet.objects.exists()


@pytest.mark.parametrize(("form", "start"), [("pdf", b"%PDF"), ("dxf", b"  0\n"), ("svg", b"<svg")])
def test_the_drawing_can_be_kept(client: Client, form: str, start: bytes) -> None:
    build = bare_build()
    answer = client.get(f"/b/{build.pk}/sheets/chassis.trail/drawing.{form}", TRAIL | {"fits": "1"})
    assert answer.status_code == 200
    assert answer.content.lstrip(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").startswith(start)
    assert client.get(f"/b/{build.pk}/sheets/chassis.trail/drawing.doc", TRAIL).status_code == 404


def test_a_kept_sheet_stands_on_its_reading_and_says_when_it_is_out_of_date(client: Client) -> None:
    build = full_build()
    reading = Reading(
        build=build, name="fork offset", dimension="length", typed="55 mm", value=0.055, plus_minus=0.0005
    )
    reading.save()
    typed = {"rake": "27°", "front_radius": "305 mm", "offset__from": str(reading.pk), "name": "with the other fork"}
    answer = client.post(f"/b/{build.pk}/sheets/chassis.trail", typed)
    saved = SavedSheet.objects.get()
    assert answer.headers["Location"] == f"/y/{saved.pk}"
    assert saved.answer["inputs"]["offset"] == {"value": 0.055, "unit": "m", "plus_minus": 0.0005}
    assert "out of date" not in client.get(f"/y/{saved.pk}").content.decode()

    reading.value = 0.060
    reading.save()
    text = client.get(f"/y/{saved.pk}").content.decode()
    assert "out of date" in text
    assert "93.7 ± 0.6 mm" in text
    assert "out of date" in client.get(f"/b/{build.pk}/sheets").content.decode()
    client.post(f"/y/{saved.pk}/again")
    saved.refresh_from_db()
    assert saved.answer["inputs"]["offset"]["value"] == 0.060
    assert "out of date" not in client.get(f"/y/{saved.pk}").content.decode()

    client.post(f"/y/{saved.pk}/strike-out")
    assert not SavedSheet.objects.exists()


def test_a_reading_of_another_build_cannot_be_taken(client: Client) -> None:
    reading = Reading(build=full_build(), name="offset", dimension="length", typed="55 mm", value=0.055)
    reading.save()
    other: Build = bare_build("Another")
    answer = client.post(
        f"/b/{other.pk}/sheets/chassis.trail",
        {"rake": "27°", "front_radius": "305 mm", "offset__from": str(reading.pk)},
    )
    assert answer.status_code == 422
    assert "not on record for this build" in answer.content.decode()


def test_a_sheet_that_is_none(client: Client) -> None:
    assert client.get(f"/b/{bare_build().pk}/sheets/chassis.bananas").status_code == 404
