"""Writing a card and laying out what stands on it."""

from __future__ import annotations

import pytest
from django.test import Client
from tests.shed.penhallow import bare_build
from tests.shed.workshop import on_the_way

from tickover.records import history
from tickover.records.models import Change, JobCard, JobOrder, JobPart, JobStep, Limit, NeededReading, Part

pytestmark = pytest.mark.django_db


@pytest.fixture
def card() -> JobCard:
    on_the_way()
    return JobCard.objects.get(title="Starter back in")


def steps(card: JobCard) -> list[str]:
    return [step.says for step in card.steps.all()]


def add(client: Client, card: JobCard, kind: str, **given: object) -> object:
    fields = {f"{kind}-{name}": value for name, value in given.items()}
    return client.post(f"/j/{card.pk}/lay-out", {"add": kind, **fields})


def test_a_new_card_is_written(client: Client) -> None:
    build = bare_build()
    assert client.get(f"/b/{build.pk}/job-cards/new").status_code == 200
    answer = client.post(
        f"/b/{build.pk}/job-cards/new",
        {"title": "Valve clearances", "chapter": "engine", "hours": "1.5", "needed_for": "first start"},
    )
    card = JobCard.objects.get()
    assert answer.status_code == 302
    assert answer["Location"] == f"/j/{card.pk}"
    text = client.get(answer["Location"]).content.decode()
    assert "Add the first" in text
    assert "first start asks for this job itself" in text


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"title": "", "chapter": "engine"}, "Give the job a title"),
        ({"title": "A", "chapter": "engine", "hours": "an hour"}, "Give the hours as a number"),
        ({"title": "A", "chapter": "engine", "hours": "-1"}, "Give the hours as a number above 0"),
        ({"title": "A", "chapter": "engine", "hours": "nan"}, "Give the hours as a number"),
        ({"title": "A", "chapter": "galley"}, "galley"),
    ],
)
def test_a_bad_card_is_one_sentence_and_nothing_is_written(client: Client, given: dict[str, str], says: str) -> None:
    build = bare_build()
    before = Change.objects.count()
    answer = client.post(f"/b/{build.pk}/job-cards/new", given)
    assert answer.status_code == 422
    assert answer.content.decode().count('class="wrong"') == 1
    assert says in answer.content.decode()
    assert (JobCard.objects.count(), Change.objects.count()) == (0, before)


def test_a_card_is_edited_and_struck_out(client: Client, card: JobCard) -> None:
    assert client.get(f"/j/{card.pk}/edit").status_code == 200
    client.post(f"/j/{card.pk}/edit", {"title": "Starter on", "chapter": "electrics"})
    card.refresh_from_db()
    assert card.title == "Starter on"
    assert client.get(f"/j/{card.pk}/strike-out").status_code == 200
    assert client.post(f"/j/{card.pk}/strike-out").status_code == 302
    assert not JobCard.objects.filter(pk=card.pk).exists()
    history.take_back(history.last_change(card.build_id))
    assert steps(card) == ["Clean the seat of the starter.", "Torque both bolts."]


def test_steps_are_added_one_a_line(client: Client, card: JobCard) -> None:
    assert add(client, card, "steps", says="Lead on.\n\n  Turn it by hand. \n").status_code == 302
    assert steps(card)[2:] == ["Lead on.", "Turn it by hand."]
    history.take_back(history.last_change(card.build_id))
    assert len(steps(card)) == 2


def test_steps_move_and_the_move_is_taken_back(client: Client, card: JobCard) -> None:
    first, second = card.steps.all()
    client.post(f"/j/{card.pk}/lay-out/move/{second.pk}", {"to": "up"})
    assert steps(card) == ["Torque both bolts.", "Clean the seat of the starter."]
    client.post(f"/j/{card.pk}/lay-out/move/{second.pk}", {"to": "up"})
    assert steps(card) == ["Torque both bolts.", "Clean the seat of the starter."]
    history.take_back(history.last_change(card.build_id))
    assert steps(card) == ["Clean the seat of the starter.", "Torque both bolts."]
    client.post(f"/j/{card.pk}/lay-out/move/{first.pk}", {"to": "down"})
    assert steps(card) == ["Torque both bolts.", "Clean the seat of the starter."]


def test_a_step_is_edited_and_struck_out(client: Client, card: JobCard) -> None:
    step = card.steps.first()
    answer = client.post(f"/j/{card.pk}/lay-out/step/{step.pk}?next=/j/{card.pk}/lay-out", {"says": "Clean it."})
    assert answer["Location"] == f"/j/{card.pk}/lay-out"
    assert steps(card)[0] == "Clean it."
    client.post(f"/j/{card.pk}/lay-out/step/{step.pk}/strike-out")
    assert steps(card) == ["Torque both bolts."]
    assert "1</span> Torque both bolts." in client.get(f"/j/{card.pk}").content.decode()


def test_a_part_a_reading_and_an_order_are_added(client: Client, card: JobCard) -> None:
    lost = Part.objects.get(name="petcock")
    assert add(client, card, "part", part=lost.pk, role="needs").status_code == 302
    assert JobPart.objects.get(card=card, part=lost).role == "needs"
    limit = Limit.objects.get(name="armature runout")
    assert add(client, card, "reading", limit=limit.pk, name="", dimension="voltage").status_code == 302
    needed = NeededReading.objects.get(card=card)
    assert (needed.name, needed.dimension) == ("armature runout", "length")
    other = JobCard.objects.get(title="Frame painted")
    assert add(client, card, "order", side="after", other=other.pk, why="paint first").status_code == 302
    assert JobOrder.objects.get(first=other, then=card).why == "paint first"
    text = client.get(f"/j/{card.pk}/lay-out").content.decode()
    for words in ("petcock", "armature runout", "paint first"):
        assert words in text
    for kind, row in (
        ("part", JobPart.objects.get(card=card, part=lost)),
        ("reading", needed),
        ("order", JobOrder.objects.get(then=card)),
    ):
        assert client.post(f"/j/{card.pk}/lay-out/{kind}/{row.pk}/strike-out").status_code == 302
        assert not type(row).objects.filter(pk=row.pk).exists()


@pytest.mark.parametrize(
    ("kind", "given", "says"),
    [
        ("steps", {"says": " \n "}, "Write at least one step"),
        ("steps", {"says": "x\n" * 300}, "A card takes up to 200 steps at once"),
        ("part", {"part": "", "role": "fits"}, "Choose the part."),
        ("part", {"part": "999", "role": "fits"}, "Choose one of this bike’s parts."),
        (
            "reading",
            {"limit": "", "name": "", "dimension": "length"},
            "Say what to measure, or choose a limit.",
        ),
        ("order", {"side": "after", "other": ""}, "Choose the other job."),
    ],
)
def test_a_bad_addition_is_one_sentence_and_nothing_is_written(
    client: Client, card: JobCard, kind: str, given: dict[str, str], says: str
) -> None:
    before = Change.objects.count()
    answer = add(client, card, kind, **given)
    assert answer.status_code == 422
    assert answer.content.decode().count('class="wrong"') == 1
    assert says in answer.content.decode()
    assert Change.objects.count() == before


def test_an_order_that_makes_a_circle_is_refused(client: Client, card: JobCard) -> None:
    bowls, guard = JobCard.objects.get(title="Bowls on"), JobCard.objects.get(title="Guard on")
    assert add(client, guard, "order", side="after", other=bowls.pk).status_code == 302
    answer = add(client, card, "order", side="after", other=guard.pk)
    assert answer.status_code == 422
    assert "“Starter back in” already comes before “Guard on”; both ways round cannot be." in answer.content.decode()
    again = add(client, bowls, "order", side="after", other=card.pk)
    assert "“Starter back in” already comes before “Bowls on”." in again.content.decode()


def test_the_same_part_twice_is_refused(client: Client, card: JobCard) -> None:
    answer = add(client, card, "part", part=Part.objects.get(name="starter").pk, role="needs")
    assert "“starter” is already on this card" in answer.content.decode()


def test_a_signed_off_card_is_not_laid_out_anew(client: Client, card: JobCard) -> None:
    done = JobCard.objects.get(title="Frame painted")
    client.post(f"/j/{done.pk}/sign-off", {"who": "Jory"})
    assert "open it again" in client.get(f"/j/{done.pk}/lay-out").content.decode()
    assert add(client, done, "steps", says="One more.").status_code == 400
    assert not JobStep.objects.filter(card=done).exists()


def test_rows_of_other_cards_and_other_builds_stay(client: Client, card: JobCard) -> None:
    bowls = JobCard.objects.get(title="Bowls on")
    row = JobPart.objects.get(card=bowls)
    assert client.post(f"/j/{card.pk}/lay-out/part/{row.pk}/strike-out").status_code == 404
    assert client.post(f"/j/{card.pk}/lay-out/wheel/{row.pk}/strike-out").status_code == 404
    other = bare_build("Second bike")
    foreign = Part(build=other, name="foreign part")
    foreign.save()
    assert add(client, card, "part", part=foreign.pk, role="fits").status_code == 422
    assert JobPart.objects.filter(pk=row.pk).exists()
