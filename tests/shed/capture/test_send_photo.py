"""One photo sent from a phone: filed under the running stint, once, with a sentence where it cannot be used."""

from __future__ import annotations

import io
import threading
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from tests.labelled import label, scene
from tests.sending import Sender
from tests.shed.penhallow import bare_build, full_build, picture

from tickover.records.models import Balloon, Build, FastenerSet, Part, Photo, Received, Stint, Store, WireTag


def file(name: str = "side.jpg", data: bytes | None = None) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, picture(90) if data is None else data, content_type="image/jpeg")


def send(client: Client, build: Build, photo: SimpleUploadedFile | None = None, **fields: object) -> Any:
    return client.post(f"/b/{build.pk}/photos/one", {"photo": photo or file(), **fields})


@pytest.mark.django_db
def test_it_is_filed_under_the_running_stint(client: Client) -> None:
    build = bare_build()
    stint = Stint(build=build, who="Jory")
    stint.save()
    answer = send(client, build).json()
    photo = Photo.objects.get()
    assert (answer["photo"], answer["address"]) == (photo.pk, f"/ph/{photo.pk}")
    assert photo.stint == stint
    assert build.changes.first().lines.count() == 1


@pytest.mark.django_db
def test_without_a_stint_it_is_kept_all_the_same(client: Client) -> None:
    build = bare_build()
    assert send(client, build).status_code == 200
    assert Photo.objects.get().stint is None


@pytest.mark.django_db
def test_the_same_mark_twice_has_the_same_answer(client: Client) -> None:
    build, mark = bare_build(), uuid.uuid4()
    first, second = (send(client, build, mark=mark) for _ in range(2))
    assert first.json() == second.json()
    assert (Photo.objects.count(), Received.objects.count()) == (1, 1)


@pytest.mark.django_db
def test_a_mark_that_was_taken_back_is_not_written_again(client: Client) -> None:
    build, mark = bare_build(), uuid.uuid4()
    first = send(client, build, mark=mark).json()
    client.post(f"/x/{build.changes.first().pk}/take-back")
    assert send(client, build, mark=mark).json() == first
    assert not Photo.objects.exists()


@pytest.mark.django_db
def test_the_same_picture_under_another_mark_is_one_photo(client: Client) -> None:
    build = bare_build()
    answers = [send(client, build, mark=uuid.uuid4()).json() for _ in range(2)]
    assert answers[0]["photo"] == answers[1]["photo"]
    assert "is here already" in answers[1]["says"]
    assert Photo.objects.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "model", "field"),
    [("part", Part, "part"), ("fastenerset", FastenerSet, "fasteners"), ("wiretag", WireTag, "tag"),
     ("store", Store, "place")],
)  # fmt: skip
def test_taken_on_a_records_page_it_points_at_the_record(client: Client, kind: str, model: Any, field: str) -> None:
    build = full_build()
    record = model.objects.first()
    answer = send(client, build, on_kind=kind, on_record=record.pk).json()
    assert getattr(Balloon.objects.get(photo=answer["photo"]), field) == record


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"photo": file("notes.jpg", b"words, not a picture")}, "“notes.jpg” is not a whole picture"),
        ({"photo": ""}, "No picture came with it"),
        ({"mark": "seven"}, "“seven” is no mark"),
        ({"on_kind": "part", "on_record": "99999"}, "There is no “part 99999” in this build"),
        ({"on_kind": "lid", "on_record": "1"}, "There is no “lid 1” in this build"),
        ({"on_kind": "received", "on_record": "1"}, "There is no “received 1”"),
        ({"on_kind": "part", "on_record": "x"}, "There is no “part x”"),
        ({"shows": "x" * 201}, "longer than 200 letters"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_nothing_is_written(
    client: Client, fields: dict[str, Any], says: str
) -> None:
    build = bare_build()
    response = client.post(f"/b/{build.pk}/photos/one", {"photo": file("a.jpg"), "mark": uuid.uuid4()} | fields)
    assert response.status_code == 422
    assert says in response.json()["says"]
    assert (Photo.objects.count(), Received.objects.count()) == (0, 0)


@pytest.mark.django_db
def test_a_bad_photo_may_be_sent_again_under_its_mark(client: Client) -> None:
    build, mark = bare_build(), uuid.uuid4()
    assert send(client, build, file("notes.jpg", b"words"), mark=mark).status_code == 422
    assert send(client, build, mark=mark).status_code == 200


@pytest.mark.django_db
def test_a_label_in_the_picture_files_it_there(client: Client) -> None:
    build = full_build()
    box, tag = Store.objects.get(mark="box 4"), WireTag.objects.get(mark="17")
    photo = scene(
        (label(f"http://192.168.1.20:8000/s/{box.pk}"), (0.2, 0.3), 30),
        (label(f"http://heron.local/w/{tag.pk}"), (0.7, 0.6), -10),
        (label("WIFI:S:workshop;;"), (0.2, 0.8), 0),
        light=0.5,
    )
    out = io.BytesIO()
    photo.save(out, "JPEG")
    answer = send(client, build, file("box.jpg", out.getvalue())).json()
    assert answer["says"].endswith("Its label was read: filed with box 4 (electrics), tag 17, RD/BK.") or answer[
        "says"
    ].endswith("Its label was read: filed with tag 17, RD/BK, box 4 (electrics).")
    balloons = Balloon.objects.filter(photo=answer["photo"])
    assert {(str(b.target), round(b.x, 1), round(b.y, 1)) for b in balloons} == {
        ("box 4 (electrics)", 0.2, 0.3),
        ("tag 17, RD/BK", 0.7, 0.6),
    }
    again = send(client, build, file("box.jpg", out.getvalue()))
    assert again.status_code == 200
    assert balloons.count() == 2


@pytest.mark.django_db
def test_without_the_token_nothing_is_taken() -> None:
    build = bare_build()
    assert send(Client(enforce_csrf_checks=True), build).status_code == 403
    assert not Photo.objects.exists()


def test_the_same_mark_from_four_sendings_at_once_is_one_photo(own_demo_server: str) -> None:
    sender, mark = Sender(own_demo_server), uuid.uuid4()
    together, answers = threading.Barrier(4), []

    def sending() -> None:
        together.wait()
        answers.append(sender.send_photo("side.jpg", picture(90), mark=mark))

    threads = [threading.Thread(target=sending) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [answers[0]] * 4
    status, answer = answers[0]
    assert status == 200
    assert "is here already" not in answer["says"]
    assert sender.get(f"/ph/{answer['photo'] + 1}")[0] == 404
