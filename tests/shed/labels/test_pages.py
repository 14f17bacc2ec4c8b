"""The labels' pages: what is chosen, how it will look, the PDF, the address in the codes, and refusals."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import pytest
import zxingcpp
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from PIL import Image
from tests.shed.penhallow import bare_build, full_build

from tickover.drawing.labels import STOCKS
from tickover.records.codes import record_named
from tickover.records.labels import labels_of, tags_between
from tickover.records.models import Build, FastenerSet, Part, Store, WireTag
from tickover.shed.labels import address

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    build = full_build()
    build.address = "http://192.168.1.20:8000"
    build.save()
    return build


def page(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status
    return " ".join(response.content.decode().split())


def codes(pdf: bytes, tmp_path: Path) -> set[str]:
    (tmp_path / "labels.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", "150", "-gray", str(tmp_path / "labels.pdf"), str(tmp_path / "p")], check=True)
    pictures = [Image.open(io.BytesIO(file.read_bytes())) for file in tmp_path.glob("p*.pgm")]
    return {code.text for picture in pictures for code in zxingcpp.read_barcodes(picture)}


def test_with_nothing_chosen_the_page_says_how_to_choose(client: Client) -> None:
    said = page(client, f"/b/{bare_build().pk}/labels")
    assert "choose the first below" in said
    assert "Labels as PDF" not in said


@pytest.mark.parametrize("stock", [stock for stock in STOCKS if stock != "tape-9"])
def test_a_scanned_label_opens_the_page_of_its_record(client: Client, build: Build, stock: str, tmp_path: Path) -> None:
    """From the PDF of the page to the record's page, for every kind of record on every stock."""
    records = [Store.objects.get(mark="box 4"), Part.objects.get(name="starter"), FastenerSet.objects.get(),
               WireTag.objects.get(mark="17")]  # fmt: skip
    kinds = ("place", "part", "fasteners", "tag")
    what = "&".join(f"what={kind}:{record.pk}" for kind, record in zip(kinds, records, strict=True))
    response = client.get(f"/b/{build.pk}/labels.pdf?{what}&stock={stock}")
    assert response["Content-Type"] == "application/pdf"
    found = codes(response.content, tmp_path)
    assert len(found) == 4
    opened = set()
    for code in found:
        assert code.startswith("http://192.168.1.20:8000/")
        response = client.get(code.removeprefix("http://192.168.1.20:8000"), follow=True)
        assert response.status_code == 200
        opened.add(response.redirect_chain[-1][0])
        assert record_named(build, code) in records
    assert opened == {record.get_absolute_url() for record in records}


def test_all_in_a_place_is_chosen_with_the_places_in_it(client: Client, build: Build) -> None:
    room = Store.objects.get(name="back room")
    said = page(client, f"/b/{build.pk}/labels?in={room.pk}")
    for name in ("back room", "box 4 (electrics)", "starter", "starter bolts"):
        assert f'checked aria-label="{name}"' in said
    assert "petcock" not in said.split("<h2>On what</h2>")[0]
    assert "4 labels" in said
    assert "page.svg?what=" in said


def test_wire_tags_are_chosen_from_mark_to_mark_as_they_are_counted(client: Client, build: Build) -> None:
    for mark in ("2", "9", "10", "10a", "J3", "100"):
        WireTag(build=build, mark=mark).save()
    assert [tag.mark for tag in tags_between(build, "9", "17")] == ["9", "10", "10a", "17"]
    assert [tag.mark for tag in tags_between(build, "", "9")] == ["2", "9"]
    assert [tag.mark for tag in tags_between(build, "100", "")] == ["100", "J3"]
    said = page(client, f"/b/{build.pk}/labels?from=9&to=17")
    assert "4 labels" in said
    assert "8 labels" in page(client, f"/b/{build.pk}/labels?all_tags=1")
    said = page(client, f"/b/{build.pk}/labels?from=40&to=41", 422)
    assert said.count('class="wrong"') == 1
    assert 'value="40"' in said


def test_a_name_is_looked_up_and_ticked(client: Client, build: Build) -> None:
    starter = Part.objects.get(name="starter")
    said = page(client, f"/b/{build.pk}/labels?what=part:{starter.pk}&q=start")
    assert 'value="fasteners:' in said
    assert said.count(f'value="part:{starter.pk}"') == 1
    assert "Nothing is called" in page(client, f"/b/{build.pk}/labels?q=zzz")


def test_the_preview_is_one_page_of_the_print(client: Client, build: Build) -> None:
    response = client.get(f"/b/{build.pk}/labels/page.svg?all_tags=1&stock=tape-12&page=2")
    assert response["Content-Type"] == "image/svg+xml"
    assert response.content.startswith(b"<svg")
    for number in ("3", "0", "x"):
        assert client.get(f"/b/{build.pk}/labels/page.svg?all_tags=1&stock=tape-12&page={number}").status_code == 404


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("stock=a5", "not in the list"),
        ("stock=a4-3x7&start=22", "labels 1 to 21"),
        ("stock=a4-3x7&start=two", "Write a whole number"),
        ("right=3 cm", "corrected by 20 mm at most"),
        ("down=3 kg", "unit of mass"),
        ("wire=40 mm", "0.5 to 30 mm thick"),
        ("stock=a4-5x13&wire=9 mm&what=tag:{tag}", "choose longer labels or a tape"),
        ("in=x", "No place is called"),
        ("in=99999", "no place of this build"),
    ],
)
def test_what_cannot_be_printed_is_one_sentence_at_its_field(
    client: Client, build: Build, asked: str, says: str
) -> None:
    asked = asked.format(tag=WireTag.objects.get(mark="17").pk)
    query = f"what=part:{Part.objects.get(name='starter').pk}&{asked}"
    said = page(client, f"/b/{build.pk}/labels?{query}", 422)
    assert said.count('class="wrong"') == 1
    assert says in said
    assert 'checked aria-label="starter"' in said
    for name, typed in (each.split("=") for each in asked.split("&")):
        if name in ("start", "right", "down", "wire"):
            assert f'value="{typed}"' in said
    response = client.get(f"/b/{build.pk}/labels.pdf?{query}")
    assert response.status_code == 400
    assert response.content.decode().count('class="wrong"') == 1


def test_ticks_that_are_no_records_are_left_out(client: Client, build: Build) -> None:
    wrong = "&".join(f"what={text}" for text in ("part:x", "lid:1", "part:99999", "part:" + "9" * 30, ""))
    assert "choose the first below" in page(client, f"/b/{build.pk}/labels?{wrong}")
    assert client.get(f"/b/{build.pk}/labels.pdf?{wrong}").status_code == 400


def test_too_many_labels_at_once_are_said_so(client: Client, build: Build) -> None:
    box = Store.objects.get(mark="box 4")
    Part.objects.bulk_create(Part(build=build, name=f"part {n}", place=box) for n in range(410))
    said = page(client, f"/b/{build.pk}/labels?in={box.pk}", 422)
    assert "at most 400 are printed at once" in said


def test_without_an_address_the_page_warns_and_offers_the_one_on_the_network(
    client: Client, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(address, "lan_address", lambda: "192.168.7.9")
    build.address = ""
    build.save()
    said = " ".join(client.get(f"/b/{build.pk}/labels?all_tags=1", HTTP_HOST="127.0.0.1:8000").content.decode().split())
    assert "A phone cannot reach http://127.0.0.1:8000" in said
    assert "Put http://192.168.7.9:80 on labels" in said or "Put http://192.168.7.9 on labels" in said
    response = client.post(
        f"/b/{build.pk}/labels/address", {"address": "192.168.7.9:8000/", "query": "what=tag:1&stock=tape-12"}
    )
    assert response["Location"] == f"/b/{build.pk}/labels?what=tag%3A1&stock=tape-12"
    build.refresh_from_db()
    assert build.address == "http://192.168.7.9:8000"
    assert build.changes.first().says == "Address on labels: http://192.168.7.9:8000"
    assert "A phone cannot reach" not in page(client, f"/b/{build.pk}/labels?all_tags=1")


@pytest.mark.parametrize(
    "typed",
    ["ftp://x", "http://", "http://a b", "http://x/path", "http://x:99999", "http://u:p@x", "http://" + "a" * 80],
)
def test_an_address_that_is_none_is_one_sentence_and_kept_on_the_page(client: Client, build: Build, typed: str) -> None:
    tag = WireTag.objects.get(mark="17")
    response = client.post(f"/b/{build.pk}/labels/address", {"address": typed, "query": f"what=tag:{tag.pk}"})
    said = response.content.decode()
    assert response.status_code == 422
    assert said.count('class="wrong"') == 1
    assert f'value="{typed}"' in said
    assert "checked" in said
    build.refresh_from_db()
    assert build.address == "http://192.168.1.20:8000"


def test_a_narrow_tape_without_codes_says_so(client: Client, build: Build) -> None:
    said = page(client, f"/b/{build.pk}/labels?all_tags=1&stock=tape-9")
    assert "no room for a code" in said


def test_the_stock_of_the_last_print_is_offered_again(client: Client, build: Build) -> None:
    client.get(f"/b/{build.pk}/labels.pdf?all_tags=1&stock=tape-18&right=1 mm")
    said = page(client, f"/b/{build.pk}/labels?all_tags=1")
    assert '<option value="tape-18" selected>' in said
    assert 'value="1 mm"' in said


def test_what_stands_on_the_labels(build: Build) -> None:
    box, starter, bolts = Store.objects.get(mark="box 4"), Part.objects.get(name="starter"), FastenerSet.objects.get()
    tag = WireTag.objects.get(mark="17")
    of_box, of_starter, of_bolts, of_tag = labels_of(build, [box, starter, bolts, tag], "http://192.168.1.20:8000/")
    assert (of_box.mark, of_box.name, of_box.more) == ("box 4", "electrics", f"s/{box.pk} · back room")
    assert of_box.address == f"http://192.168.1.20:8000/s/{box.pk}"
    assert (of_starter.name, of_starter.more) == ("starter", f"p/{starter.pk} · no. H450-31 · back room › box 4")
    assert of_bolts.more == f"f/{bolts.pk} · 2 × M8 x 1.25, 30 mm · 22 N·m · back room › box 4"
    assert (of_tag.mark, of_tag.name) == ("17", "RD/BK relay to starter")
    assert of_tag.wire == pytest.approx(3.26, abs=0.01)


def test_the_number_of_queries_does_not_grow(client: Client, build: Build) -> None:
    room = Store.objects.get(name="back room")

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            page(client, f"/b/{build.pk}/labels?in={room.pk}&all_tags=1&q=part")
        return len(seen)

    queries()
    before = queries()
    for number in range(8):
        Store(build=build, name=f"bag {number}", inside=room).save()
        Part(build=build, name=f"part {number}", place=room).save()
        FastenerSet(build=build, name=f"set {number}", place=room, torque=9.0).save()
        WireTag(build=build, mark=f"{number}").save()
    assert queries() == before


def test_every_record_leads_to_its_label(client: Client, build: Build) -> None:
    for kind, record in (
        ("place", Store.objects.get(mark="box 4")),
        ("part", Part.objects.get(name="starter")),
        ("fasteners", FastenerSet.objects.get()),
        ("tag", WireTag.objects.get(mark="17")),
    ):
        link = f"/b/{build.pk}/labels?what={kind}:{record.pk}"
        assert f'href="{link}"' in page(client, record.get_absolute_url())
        assert "1 label" in page(client, link)
