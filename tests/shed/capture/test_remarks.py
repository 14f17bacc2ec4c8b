"""Remarks on any record: typed, spoken, played back in pieces, put right, struck out, taken back."""

from __future__ import annotations

import io
import wave
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from playwright.sync_api import Browser, expect
from tests.serving import CHROMIUM, CHROMIUM_ARGUMENTS
from tests.shed.penhallow import full_build

from tickover.records.models import (
    Build,
    ChangeLine,
    FastenerSet,
    JobCard,
    Limit,
    LoomComponent,
    Part,
    Photo,
    Purchase,
    Reading,
    Remark,
    Stint,
    Store,
    WireTag,
)


@pytest.fixture(autouse=True)
def own_sounds(settings: Any, tmp_path: Path) -> Path:
    settings.SOUNDS = tmp_path / "sounds"
    return tmp_path / "sounds"


@pytest.fixture
def build(db: None) -> Build:
    build = full_build()
    Stint(build=build, who="Jory").save()
    return build


def spoken(seconds: float = 0.2) -> bytes:
    out = io.BytesIO()
    with wave.open(out, "wb") as sound:
        sound.setparams((1, 2, 8000, 0, "NONE", ""))
        sound.writeframes(bytes(range(256)) * int(seconds * 16000 / 256))
    return out.getvalue()


def say(client: Client, on: Any, text: str = "", sound: bytes | None = None, name: str = "spoken.wav") -> Any:
    data: dict[str, Any] = {"on_kind": on._meta.model_name, "on_record": on.pk, "text": text}
    if sound is not None:
        data["sound"] = SimpleUploadedFile(name, sound)
    return client.post(f"/b/{on.build_id}/remarks", data)


@pytest.mark.parametrize(
    "kind", [Part, FastenerSet, WireTag, Photo, Store, JobCard, Reading, Stint, Purchase, LoomComponent, Limit]
)
def test_on_any_record(client: Client, build: Build, kind: Any) -> None:
    record = kind.objects.filter(build=build).first()
    response = say(client, record, "Runs <b>rough</b> when cold.")
    assert response.headers["Location"] == f"{record.get_absolute_url()}#remarks"
    page = client.get(record.get_absolute_url()).content.decode()
    assert "Runs &lt;b&gt;rough&lt;/b&gt; when cold." in page
    assert f'href="/m/{Remark.objects.get().pk}"' in page


def test_the_newest_stands_first_and_belongs_to_the_running_stint(client: Client, build: Build) -> None:
    part = Part.objects.first()
    for text in ("first said", "then said"):
        say(client, part, text)
    page = client.get(part.get_absolute_url()).content.decode()
    assert page.index("then said") < page.index("first said")
    assert {remark.stint for remark in Remark.objects.all()} == {Stint.objects.get()}


def test_only_its_own_remarks_stand_on_a_page(client: Client, build: Build) -> None:
    part = Part.objects.first()
    store = Store(build=build, name="a place with the part's number", pk=part.pk + 1000)
    store.save()
    say(client, store, "about the place")
    assert "about the place" not in client.get(part.get_absolute_url()).content.decode()


def test_a_spoken_one_is_kept_by_its_hash_and_played_back(client: Client, build: Build, own_sounds: Path) -> None:
    for _ in range(2):
        say(client, Part.objects.first(), sound=spoken())
    [path] = [path for path in own_sounds.rglob("*") if path.is_file()]
    assert path.read_bytes() == spoken()
    remark = Remark.objects.first()
    assert path.stem == remark.sound
    assert f'src="/m/{remark.pk}/sound"' in client.get(remark.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("asked", "status", "piece", "says"),
    [
        ("", 200, slice(None), None),
        ("bytes=0-", 206, slice(0, None), "bytes 0-{last}/{size}"),
        ("bytes=100-199", 206, slice(100, 200), "bytes 100-199/{size}"),
        ("bytes=-50", 206, slice(-50, None), "bytes {fifty}-{last}/{size}"),
        ("bytes=10-999999999", 206, slice(10, None), "bytes 10-{last}/{size}"),
        ("bytes=-999999999", 206, slice(0, None), "bytes 0-{last}/{size}"),
        ("bytes=999999-", 416, slice(0, 0), "bytes */{size}"),
        ("bytes=200-100", 416, slice(0, 0), "bytes */{size}"),
        ("bytes=-0", 416, slice(0, 0), "bytes */{size}"),
        ("bytes=0-1,5-6", 200, slice(None), None),
        ("lines=1-2", 200, slice(None), None),
        ("bytes=-", 200, slice(None), None),
    ],
)
def test_a_piece_of_the_sound(
    client: Client, build: Build, asked: str, status: int, piece: slice, says: str | None
) -> None:
    """RFC 9110, 14.1.2, 14.2 and 15.5.17."""
    say(client, Part.objects.first(), sound=spoken())
    whole = spoken()
    address = f"{Remark.objects.get().get_absolute_url()}/sound"
    response = client.get(address, headers={"Range": asked} if asked else {})
    assert response.status_code == status
    body = b"".join(response.streaming_content) if response.streaming else response.content
    assert body == whole[piece]
    wanted = says and says.format(size=len(whole), last=len(whole) - 1, fifty=len(whole) - 50)
    assert response.headers.get("Content-Range") == wanted
    assert response.headers["Accept-Ranges"] == "bytes"
    response.close()


@pytest.mark.parametrize(
    ("text", "sound", "says"),
    [
        ("", None, "Nothing was said; type a remark or speak one."),
        ("   ", None, "Nothing was said"),
        ("x" * 4001, None, "A remark has at most 4000 letters; make two of it."),
        ("brushes worn", b"", "“spoken.wav” is empty"),
        ("brushes worn", b"these are only words", "“spoken.wav” is no sound in WebM, Ogg, MP4, MP3 or WAV"),
        ("brushes worn", b"RIFF" + bytes(4) + b"WAVE" + bytes(11 * 2**20), "“spoken.wav” is larger than 10 MB"),
        ("brushes worn", b"\x00\x00\x00\x18ftypheic" + bytes(50), "“spoken.wav” is no sound"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_nothing_is_written(
    client: Client, build: Build, own_sounds: Path, text: str, sound: bytes | None, says: str
) -> None:
    lines = ChangeLine.objects.count()
    response = say(client, Part.objects.first(), text, sound)
    page = response.content.decode()
    assert response.status_code == 422
    assert page.count('class="wrong"') == 1
    assert says in page
    assert text.strip() in page
    assert (Remark.objects.count(), ChangeLine.objects.count()) == (0, lines)
    assert not [path for path in own_sounds.rglob("*") if path.is_file()]


@pytest.mark.parametrize(("kind", "number"), [("part", "99999"), ("lid", "1"), ("change", "1"), ("part", "x")])
def test_on_what_is_not_there(client: Client, build: Build, kind: str, number: str) -> None:
    response = client.post(f"/b/{build.pk}/remarks", {"on_kind": kind, "on_record": number, "text": "x"})
    assert response.status_code == 400
    assert f"There is no “{kind} {number}” in this build." in response.content.decode()


def test_it_is_put_right_struck_out_and_taken_back(client: Client, build: Build) -> None:
    part = Part.objects.first()
    say(client, part, "worn brshes")
    remark = Remark.objects.get()
    assert client.post(f"/m/{remark.pk}/edit", {"text": "worn brushes"}).status_code == 302
    assert Remark.objects.get().text == "worn brushes"
    assert client.post(f"/m/{remark.pk}/edit", {"text": " "}).status_code == 422
    assert client.post(f"/m/{remark.pk}/strike-out").headers["Location"] == f"{part.get_absolute_url()}#remarks"
    assert not Remark.objects.exists()
    client.post(f"/x/{build.changes.first().pk}/take-back")
    assert Remark.objects.get().text == "worn brushes"


def test_a_remark_outlives_what_it_was_about(client: Client, build: Build) -> None:
    part = Part.objects.get(name="petcock")
    say(client, part, "leaks")
    part.delete()
    assert "has been struck out" in client.get(Remark.objects.get().get_absolute_url()).content.decode()


def test_no_more_queries_with_more_remarks(client: Client, build: Build, django_assert_max_num_queries: Any) -> None:
    part = Part.objects.first()
    say(client, part, "one", spoken())
    with CaptureQueriesContext(connection) as few:
        client.get(part.get_absolute_url())
    before = len(few)
    for number in range(15):
        say(client, part, f"{number}")
    with django_assert_max_num_queries(before):
        client.get(part.get_absolute_url())


def test_spoken_on_the_phone_and_heard_again(own_demo_server: str, browser: Browser) -> None:
    """Chromium's own false microphone speaks; what it said is kept, and plays."""
    speaking = [*CHROMIUM_ARGUMENTS, "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
    talker = browser.browser_type.launch(executable_path=CHROMIUM, args=speaking)
    page = talker.new_page(viewport={"width": 390, "height": 844})
    page.goto(f"{own_demo_server}/p/78")
    remarks = page.locator("#remarks")
    expect(remarks.get_by_label("Or a spoken one")).to_be_hidden()
    remarks.get_by_role("button", name="Speak").click()
    expect(remarks.locator(".speak [role=status]")).to_contain_text("0:01 of 2:00")
    remarks.get_by_role("button", name="Stop").click()
    expect(remarks.get_by_role("button", name="Speak it again")).to_be_visible()
    remarks.get_by_label("Remark", exact=True).fill("starter sounds like this")
    remarks.get_by_role("button", name="Keep the remark").click()
    expect(remarks.locator("li")).to_contain_text("starter sounds like this")
    length = remarks.locator("li audio").evaluate(
        """async (audio) => {
          const data = await (await fetch(audio.src)).arrayBuffer();
          return (await new AudioContext().decodeAudioData(data)).duration;
        }"""
    )
    assert 0.8 < length < 10
    talker.close()
