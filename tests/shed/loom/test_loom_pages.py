"""The loom's page: switches set, volts and amps shown; components; documents read in whole or not at all."""

from __future__ import annotations

import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from tests.shed.penhallow import bare_build, full_build

from tickover.records import demo
from tickover.records.models import Build, LoomComponent, WireTag

pytestmark = pytest.mark.django_db


def test_an_empty_loom_says_how_to_begin(client: Client) -> None:
    assert "No component of the loom is on record yet" in client.get(f"/b/{bare_build().pk}/loom").content.decode()


def test_a_switch_changes_the_volts(client: Client, heron: Build) -> None:
    off = client.get(f"/b/{heron.pk}/loom/solved").content.decode()
    on = client.get(f"/b/{heron.pk}/loom/solved", {"KEY": "on"}).content.decode()
    volts = [re.search(r"<b>15</b> ([^<]*?)\s*</span>", text[text.index("key switch") :]) for text in (off, on)]
    assert volts[0]
    assert volts[1]
    assert volts[0][1].strip() != volts[1][1].strip()
    assert float(volts[1][1].split()[0]) > 12


def test_a_fault_is_shown_beside_the_sound_loom(client: Client, heron: Build) -> None:
    text = client.get(f"/b/{heron.pk}/loom", {"KEY": "on", "fault": "open:F1"}).content.decode()
    assert "(sound bike in brackets)" in text


def test_a_fault_that_cannot_be(client: Client, heron: Build) -> None:
    answer = client.get(f"/b/{heron.pk}/loom/solved", {"fault": "open:W999"})
    assert answer.status_code == 400
    assert "W999" in answer.content.decode()


def test_a_document_goes_out_and_comes_in_again(client: Client, heron: Build) -> None:
    document = client.get(f"/b/{heron.pk}/loom/document.json").content
    other = bare_build("Another")
    answer = client.post(f"/b/{other.pk}/loom/read-in", {"file": SimpleUploadedFile("loom.json", document)})
    assert answer.status_code == 302
    assert LoomComponent.objects.filter(build=other).count() == LoomComponent.objects.filter(build=heron).count()
    again = client.get(f"/b/{other.pk}/loom/document.json").json()
    assert {wire["id"] for wire in again["wires"]} == {wire["id"] for wire in json.loads(document)["wires"]}


@pytest.mark.parametrize(
    ("content", "named"),
    [
        (b"[1, 2", "not JSON"),
        (b"\xff\xfe\x00\x01", "UTF-8"),
        (b'{"loom": 1, "components": [{"id": "F1", "kind": "fuze"}], "wires": []}', "fuze"),
        (b"", "empty"),
    ],
)
def test_a_document_that_cannot_be_used_writes_nothing(client: Client, content: bytes, named: str) -> None:
    build = bare_build()
    answer = client.post(f"/b/{build.pk}/loom/read-in", {"file": SimpleUploadedFile("loom.json", content)})
    assert answer.status_code == 422
    assert named in answer.content.decode()
    assert not LoomComponent.objects.filter(build=build).exists()


def test_a_component_is_checked_by_the_documents_rules(client: Client) -> None:
    build = bare_build()
    address = f"/b/{build.pk}/loom/components/new"
    wrong = {"ident": "F1", "kind": "fuse", "values": '{"amps": "many"}', "condition": "good"}
    answer = client.post(address, wrong)
    assert answer.status_code == 422
    assert "many" in answer.content.decode()
    assert client.post(address, wrong | {"values": "amps 15"}).status_code == 422
    assert not LoomComponent.objects.filter(build=build).exists()
    answer = client.post(address, wrong | {"values": '{"amps": 15, "ohms": 0.006}'})
    fuse = LoomComponent.objects.get(build=build)
    assert answer.headers["Location"] == f"/c/{fuse.pk}"
    assert client.post(address, wrong | {"values": '{"amps": 15, "ohms": 0.006}'}).status_code == 422
    assert LoomComponent.objects.filter(build=build).count() == 1


def test_a_components_page_and_what_is_wired_to_it(client: Client) -> None:
    build = full_build()
    relay = LoomComponent.objects.get(build=build, ident="R1")
    text = client.get(f"/c/{relay.pk}").content.decode()
    assert "17" in text
    assert "not known" in text
    answer = client.post(f"/c/{relay.pk}/strike-out")
    assert answer.status_code == 422
    assert "cannot be struck out while it is used by" in answer.content.decode()
    assert WireTag.objects.filter(build=build).count() == 2


def test_an_unsound_loom_says_what_to_put_right(client: Client) -> None:
    build = bare_build()
    LoomComponent(build=build, ident="F1", kind="fuse", values={"amps": 15}).save()
    text = client.get(f"/b/{build.pk}/loom").content.decode()
    assert "cannot be solved until this is put right" in text
    assert "ohms is missing" in text


def test_the_demos_document_is_the_loom_on_record(client: Client, heron: Build) -> None:
    wires = client.get(f"/b/{heron.pk}/loom/document.json").json()["wires"]
    assert {wire["id"] for wire in wires} == {wire["id"] for wire in demo.loom()["wires"]}
