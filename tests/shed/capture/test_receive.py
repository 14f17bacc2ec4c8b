"""What a phone kept and sends later: the same checks as on the page, written once, at its own time."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.utils import timezone
from tests.shed.penhallow import picture
from tests.shed.workshop import on_the_way

from tickover.records.models import (
    Balloon,
    Build,
    FastenerSet,
    Inspection,
    JobCard,
    JobStep,
    Photo,
    Reading,
    Received,
    Stint,
)
from tickover.shed.base.outbox import KINDS

pytestmark = pytest.mark.django_db

READING = {"name": "piston skirt", "typed": "61.24 mm", "dimension": "length", "taken_at": "2026-03-01T10:00"}


@pytest.fixture
def build() -> Build:
    return on_the_way()


def send(client: Client, build: Build, kind: str, to: str, fields: dict[str, str], **more: object) -> tuple[int, dict]:  # type: ignore[type-arg]
    body = {"mark": uuid4(), "kind": kind, "to": to, "fields": urlencode(fields), "age": "0"} | more
    answer = client.post(f"/b/{build.pk}/receive", body)
    return answer.status_code, answer.json()


def test_a_reading_is_written_once(client: Client, build: Build) -> None:
    before, mark = Reading.objects.count(), uuid4()
    first = send(client, build, "reading", f"/b/{build.pk}/readings/new", READING, mark=mark)
    again = send(client, build, "reading", f"/b/{build.pk}/readings/new", READING, mark=mark)
    assert first == again
    assert first[0] == 200
    assert Reading.objects.count() == before + 1
    assert first[1]["address"] == Reading.objects.get(name="piston skirt").get_absolute_url()
    assert Received.objects.get().kind == "reading"


def test_a_bad_reading_is_refused_with_its_sentence_and_may_be_put_right(client: Client, build: Build) -> None:
    before, mark = Reading.objects.count(), uuid4()
    bad = READING | {"typed": "many"}
    status, said = send(client, build, "reading", f"/b/{build.pk}/readings/new", bad, mark=mark)
    assert status == 422
    assert "many" in said["says"]
    assert "<" not in said["says"]
    assert Reading.objects.count() == before
    assert not Received.objects.exists()
    assert send(client, build, "reading", f"/b/{build.pk}/readings/new", READING, mark=mark)[0] == 200
    assert Reading.objects.count() == before + 1


def test_a_needed_reading_keeps_the_hour_and_the_stint_in_which_it_was_taken(client: Client, build: Build) -> None:
    now = timezone.now()
    Stint.objects.all().delete()
    then = Stint(build=build, who="Jory", started=now - timedelta(hours=30), ended=now - timedelta(hours=26))
    then.save()
    Stint(build=build, who="Wen", started=now - timedelta(hours=1)).save()
    card = JobCard.objects.get(build=build, title="Bowls on")
    needed = card.needed_readings.get()
    to = f"/j/{card.pk}/take/{needed.pk}"
    status, _ = send(client, build, "reading", to, {f"needed-{needed.pk}-typed": "3 mm"}, age=28 * 3600)
    assert status == 200
    needed.refresh_from_db()
    assert needed.reading is not None
    assert abs(needed.reading.taken_at - (now - timedelta(hours=28))) < timedelta(minutes=1)
    assert needed.reading.stint == then


def test_a_tick_and_a_joint(client: Client, build: Build) -> None:
    step = JobStep.objects.filter(done_at=None).first()
    assert step is not None
    now = timezone.now()
    status, answer = send(client, build, "tick", f"/j/{step.card_id}/tick/{step.pk}", {"done": "yes"}, age=7200)
    assert (status, answer) == (200, {"address": f"/j/{step.card_id}"})
    step.refresh_from_db()
    assert step.done_at is not None
    assert abs(step.done_at - (now - timedelta(hours=2))) < timedelta(minutes=1)
    bolts = FastenerSet.objects.filter(build=build).first()
    assert bolts is not None
    assert send(client, build, "tick", f"/f/{bolts.pk}/joint", {"joint": "torqued"})[0] == 200
    status, said = send(client, build, "tick", f"/f/{bolts.pk}/joint", {"joint": "glued"})
    assert status == 422
    assert "glued" in said["says"]
    bolts.refresh_from_db()
    assert bolts.joint == "torqued"


def test_a_tick_that_was_taken_back_is_not_done_again_by_a_second_sending(client: Client, build: Build) -> None:
    step, mark = JobStep.objects.filter(done_at=None).first(), uuid4()
    assert step is not None
    to = f"/j/{step.card_id}/tick/{step.pk}"
    send(client, build, "tick", to, {"done": "yes"}, mark=mark)
    client.post(to, {"done": "no"})
    send(client, build, "tick", to, {"done": "yes"}, mark=mark)
    step.refresh_from_db()
    assert step.done_at is None


def test_an_older_tick_does_not_undo_what_was_done_since(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.filter(build=build).first()
    step = JobStep.objects.filter(done_at=None).first()
    assert bolts is not None
    assert step is not None
    joint, tick = f"/f/{bolts.pk}/joint", f"/j/{step.card_id}/tick/{step.pk}"
    assert send(client, build, "tick", joint, {"joint": "finger-tight"}, age=7200)[0] == 200
    assert send(client, build, "tick", joint, {"joint": "torqued"}, age=7100)[0] == 200, "in order they are all taken"
    client.post(joint, {"joint": "apart"})
    client.post(tick, {"done": "yes"})
    for to, fields in ((joint, {"joint": "torqued"}), (tick, {"done": "no"})):
        status, said = send(client, build, "tick", to, fields, age=3600)
        assert status == 422
        assert "after this was pressed" in said["says"]
    bolts.refresh_from_db()
    step.refresh_from_db()
    assert bolts.joint == "apart"
    assert step.done_at is not None
    assert send(client, build, "tick", joint, {"joint": "torqued"})[0] == 200


def test_an_older_reading_is_kept_and_the_newer_one_still_counts(client: Client, build: Build) -> None:
    card = JobCard.objects.get(build=build, title="Bowls on")
    needed = card.needed_readings.get()
    to = f"/j/{card.pk}/take/{needed.pk}"
    client.post(to, {f"needed-{needed.pk}-typed": "3.2 mm"})
    assert send(client, build, "reading", to, {f"needed-{needed.pk}-typed": "2.1 mm"}, age=3600)[0] == 200
    needed.refresh_from_db()
    assert needed.reading is not None
    assert needed.reading.typed == "3.2 mm"
    assert Reading.objects.filter(typed="2.1 mm").exists()


def test_a_reading_of_a_line_that_is_gone_does_not_pass_for_written(client: Client, build: Build) -> None:
    inspection = Inspection(build=build, name="bores")
    inspection.save()
    status, said = send(client, build, "reading", f"/i/{inspection.pk}/take/7", {"typed": "61 mm"})
    assert status == 422
    assert "no longer on record" in said["says"]


def test_a_balloon(client: Client, build: Build) -> None:
    photo = Photo.objects.filter(build=build).first()
    assert photo is not None
    before, mark = Balloon.objects.count(), uuid4()
    fields = {"x": "25", "y": "40", "remark": "bracket bent here", "target": ""}
    for _ in range(2):
        assert send(client, build, "balloon", f"/ph/{photo.pk}/balloons", fields, mark=mark)[0] == 200
    assert Balloon.objects.count() == before + 1
    status, said = send(client, build, "balloon", f"/ph/{photo.pk}/balloons", fields | {"x": "400"})
    assert status == 422
    assert "100" in said["says"]


def test_what_it_belonged_to_was_struck_out(client: Client, build: Build) -> None:
    status, said = send(client, build, "tick", "/f/99999/joint", {"joint": "torqued"})
    assert status == 422
    assert "no longer on record" in said["says"]
    gone = Build(pk=99999)
    assert send(client, gone, "tick", "/f/1/joint", {"joint": "torqued"})[0] == 422


@pytest.mark.parametrize(
    ("kind", "to"),
    [
        ("tick", "/b/{}/readings/new"),
        ("reading", "/b/{}/parts/new"),
        ("photo", "/b/{}/readings/new"),
        ("", "/b/{}/readings/new"),
        ("reading", "/nowhere"),
        ("reading", "https://elsewhere.example/b/{}/readings/new"),
        ("tick", "/b/{}/receive"),
    ],
)
def test_only_forms_that_may_wait_are_taken(client: Client, build: Build, kind: str, to: str) -> None:
    status, said = send(client, build, kind, to.format(build.pk), READING)
    assert status == 422
    assert said["says"].endswith(".")
    assert not Received.objects.exists()


@pytest.mark.parametrize(
    "wrong", [{"mark": ""}, {"mark": "seventeen"}, {"age": "soon"}, {"age": "nan"}, {"fields": "typed=%00&name=a"}]
)
def test_nonsense_is_one_sentence_and_writes_nothing(client: Client, build: Build, wrong: dict[str, str]) -> None:
    before = Reading.objects.count()
    body = {"mark": uuid4(), "kind": "reading", "to": f"/b/{build.pk}/readings/new", "fields": urlencode(READING)}
    answer = client.post(f"/b/{build.pk}/receive", body | wrong)
    assert answer.status_code == 422
    assert answer.json()["says"].endswith(".")
    assert Reading.objects.count() == before


def test_a_mark_belongs_to_one_thing(client: Client, build: Build) -> None:
    mark = uuid4()
    send(client, build, "reading", f"/b/{build.pk}/readings/new", READING, mark=mark)
    bolts = FastenerSet.objects.filter(build=build).first()
    assert bolts is not None
    assert send(client, build, "tick", f"/f/{bolts.pk}/joint", {"joint": "torqued"}, mark=mark)[0] == 422


def test_sending_needs_a_token_and_the_token_is_fresh() -> None:
    build = on_the_way()
    phone = Client(enforce_csrf_checks=True)
    assert phone.post(f"/b/{build.pk}/receive", {"mark": uuid4()}).status_code == 403
    answer = phone.get("/token")
    assert "no-store" in answer["Cache-Control"]
    token = answer.json()["token"]
    body = {"mark": uuid4(), "kind": "reading", "to": f"/b/{build.pk}/readings/new", "fields": urlencode(READING)}
    assert phone.post(f"/b/{build.pk}/receive", body, headers={"X-CSRFToken": token}).status_code == 200


def test_what_is_said_is_not_shown_days_later(client: Client, build: Build) -> None:
    bolts = FastenerSet.objects.filter(build=build).first()
    assert bolts is not None
    send(client, build, "tick", f"/f/{bolts.pk}/joint", {"joint": "torqued"}, age=90_000)
    assert b'class="said" role="status">' not in client.get(f"/f/{bolts.pk}").content
    send(client, build, "tick", f"/f/{bolts.pk}/joint", {"joint": "apart"}, waits="yes")
    assert b"apart.</p>" in client.get(f"/f/{bolts.pk}").content


# --- the web app ---------------------------------------------------------------------------------------------------


def test_the_manifest_and_its_icons(client: Client) -> None:
    answer = client.get("/manifest.webmanifest")
    assert answer["Content-Type"] == "application/manifest+json"
    told = answer.json()
    assert (told["name"], told["display"], told["start_url"]) == ("tickover", "standalone", "/")
    sizes = {icon["sizes"] for icon in told["icons"]}
    assert {"192x192", "512x512", "any"} <= sizes
    for icon in told["icons"]:
        if icon["type"] == "image/png":
            picture = client.get(icon["src"])
            assert picture.content.startswith(b"\x89PNG")
            side = int(icon["sizes"].partition("x")[0])
            assert int.from_bytes(picture.content[16:20], "big") == side
    assert client.get("/icon-7.png").status_code == 404


def test_the_worker_may_have_all_pages_and_lays_down_what_is_there(client: Client) -> None:
    answer = client.get("/sw.js")
    assert answer["Service-Worker-Allowed"] == "/"
    assert answer["Content-Type"].startswith("text/javascript")
    files = json.loads(re.search(r"const LAID_DOWN = (\[.*\]);", answer.content.decode()).group(1))  # type: ignore[union-attr]
    for name in files:
        if name.startswith(f"/{settings.STATIC_URL.strip('/')}/"):
            assert finders.find(name.removeprefix(f"/{settings.STATIC_URL.strip('/')}/")), name
        else:
            assert client.get(name).status_code == 200


def test_every_form_that_may_wait_is_sent_to_a_view_that_takes_it() -> None:
    """The word on the form and the word on the view are the same, and every page area that has one has the other."""

    def views(resolver: URLResolver) -> list[object]:
        return [
            view
            for one in resolver.url_patterns
            for view in (views(one) if isinstance(one, URLResolver) else [one.callback])
            if isinstance(one, (URLPattern, URLResolver))
        ]

    taken = {kind for view in views(get_resolver()) if (kind := getattr(view, "may_wait", ""))}
    assert taken == set(KINDS)
    shed = Path(__file__).parents[3] / "src/tickover/shed"
    asked = {
        word
        for page in shed.glob("*/templates/**/*.html")
        for word in re.findall(r'data-outbox="([a-z]+)"', page.read_text())
    }
    assert asked <= taken | {"photo"}


def test_a_photo_is_filed_under_the_stint_in_which_it_was_taken(client: Client, build: Build) -> None:
    now = timezone.now()
    Stint.objects.all().delete()
    then = Stint(build=build, who="Jory", started=now - timedelta(hours=30), ended=now - timedelta(hours=26))
    then.save()
    running = Stint(build=build, who="Wen", started=now - timedelta(hours=1))
    running.save()
    stints = []
    for shade, hours in ((10, 28), (20, 5), (30, 0)):
        body = {"photo": SimpleUploadedFile("taken.jpg", picture(shade)), "mark": uuid4(), "age": hours * 3600}
        answer = client.post(f"/b/{build.pk}/photos/one", body)
        assert answer.status_code == 200
        stints.append(Photo.objects.get(pk=answer.json()["photo"]).stint)
    assert stints == [then, None, running]
