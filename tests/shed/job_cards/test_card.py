"""A job card at the bike: steps, joints, readings, sign-off."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.workshop import on_the_way

from tickover.records import history
from tickover.records.models import (
    Change,
    FastenerSet,
    JobCard,
    JobPart,
    JobStep,
    NeededReading,
    Part,
    Reading,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def card() -> JobCard:
    on_the_way()
    return JobCard.objects.get(title="Starter back in")


@pytest.fixture
def bowls(card: JobCard) -> JobCard:
    return JobCard.objects.get(title="Bowls on")


def page(client: Client, card: JobCard) -> str:
    answer = client.get(f"/j/{card.pk}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_card_shows_what_the_job_needs(client: Client, card: JobCard) -> None:
    text = page(client, card)
    for words in (
        "13 mm socket", "Take the battery&#x27;s earth lead off first.", "box 4", "starter bolts", "22 N·m",
        "2 × M8 x 1.25", "book, page 61", "Clean the seat of the starter.", "can be done now", "Bowls on",
        "the starter is reached past the carburettors", "first start needs the starter on the bike",
    ):  # fmt: skip
        assert words in text, words
    assert text.count('aria-pressed="true">Apart') == 1


def test_a_card_without_a_caution_carries_the_usual_one(client: Client, bowls: JobCard) -> None:
    assert "Petrol vapour creeps along the floor" in page(client, bowls)


def test_a_card_that_there_is_not(client: Client) -> None:
    assert client.get("/j/999").status_code == 404
    assert client.get(f"/j/{10**30}").status_code == 404


def test_one_tap_ticks_a_step_and_one_more_unticks_it(client: Client, card: JobCard) -> None:
    step = card.steps.first()
    assert step is not None
    assert client.get(f"/j/{card.pk}/tick/{step.pk}").status_code == 405
    assert client.post(f"/j/{card.pk}/tick/{step.pk}").status_code == 302
    step.refresh_from_db()
    assert step.done_at is not None
    assert Change.objects.first().says == "Starter back in: “Clean the seat of the starter.” done"
    ticked = step.done_at
    client.post(f"/j/{card.pk}/tick/{step.pk}", {"done": "yes"})
    step.refresh_from_db()
    assert step.done_at == ticked
    client.post(f"/j/{card.pk}/tick/{step.pk}", {"done": "no"})
    step.refresh_from_db()
    assert step.done_at is None


def test_a_step_of_another_card_is_not_ticked_here(client: Client, card: JobCard, bowls: JobCard) -> None:
    step = JobStep.objects.get(card=card, number=1)
    assert client.post(f"/j/{bowls.pk}/tick/{step.pk}").status_code == 404


def test_one_tap_says_how_a_joint_stands(client: Client, card: JobCard) -> None:
    bolts = FastenerSet.objects.get(name="starter bolts")
    client.post(f"/j/{card.pk}/joint/{bolts.pk}", {"joint": "torqued"})
    bolts.refresh_from_db()
    assert bolts.joint == "torqued"
    answer = client.post(f"/j/{card.pk}/joint/{bolts.pk}", {"joint": "quite tight"})
    assert answer.status_code == 400
    assert "“quite tight” is no state of a joint" in answer.content.decode()
    bolts.refresh_from_db()
    assert bolts.joint == "torqued"


def test_a_card_is_not_signed_off_while_something_is_missing(client: Client, card: JobCard) -> None:
    answer = client.post(f"/j/{card.pk}/sign-off", {"who": "Jory"})
    assert answer.status_code == 422
    assert "“Starter back in” cannot be signed off yet: steps 1, 2 not done." in answer.content.decode()
    card.refresh_from_db()
    assert card.signed_off_at is None


def test_a_missing_reading_is_named(client: Client, bowls: JobCard) -> None:
    answer = client.post(f"/j/{bowls.pk}/sign-off", {"who": "Jory"})
    assert "cannot be signed off yet: the reading “fuel level, left” not done." in answer.content.decode()


def test_signing_off_keeps_who_and_when_puts_the_parts_on_and_is_undone(client: Client, card: JobCard) -> None:
    for step in card.steps.all():
        client.post(f"/j/{card.pk}/tick/{step.pk}")
    nameless = client.post(f"/j/{card.pk}/sign-off")
    assert nameless.status_code == 422
    assert "Write who signs the job off." in nameless.content.decode()
    answer = client.post(f"/j/{card.pk}/sign-off", {"who": "Jory"}, follow=True)
    assert "Signed off by Jory. Put down as fitted: starter." in answer.content.decode()
    card.refresh_from_db()
    assert card.signed_off_by == "Jory"
    assert card.signed_off_at is not None
    assert Part.objects.get(name="starter").now == "fitted"
    step = card.steps.first()
    assert step is not None
    refused = client.post(f"/j/{card.pk}/tick/{step.pk}")
    assert refused.status_code == 400
    assert "is signed off; open it again before changing it" in refused.content.decode()
    change = history.last_change(card.build_id)
    assert change is not None
    assert change.says == "Signed off: Starter back in"
    history.take_back(change)
    card.refresh_from_db()
    assert card.signed_off_at is None
    assert Part.objects.get(name="starter").now == "in stores"


def test_a_signed_off_card_is_opened_again(client: Client, card: JobCard) -> None:
    done = JobCard.objects.get(title="Frame painted")
    client.post(f"/j/{done.pk}/sign-off", {"who": "Jory"})
    assert client.post(f"/j/{done.pk}/sign-off", {"who": "Jory"}).status_code == 422
    client.post(f"/j/{done.pk}/open-again")
    done.refresh_from_db()
    assert done.signed_off_at is None
    assert done.signed_off_by == ""
    assert client.post(f"/j/{done.pk}/open-again").status_code == 400


def take(client: Client, card: JobCard, typed: str, instrument: str = "") -> object:
    needed = card.needed_readings.get()
    prefix = f"needed-{needed.pk}"
    return client.post(f"/j/{card.pk}/take/{needed.pk}", {f"{prefix}-typed": typed, f"{prefix}-instrument": instrument})


def test_a_bare_figure_is_in_the_unit_that_stands_at_the_field(client: Client, bowls: JobCard) -> None:
    bowls.build.system = "inch-pound"
    bowls.build.save()
    assert "Reading, in in or any unit" in page(client, bowls)
    assert take(client, bowls, "0.125", "digital_calliper").status_code == 302
    reading = Reading.objects.get(answers__card=bowls)
    assert reading.value == pytest.approx(0.003175)
    assert reading.typed == "0.125 in"


@pytest.mark.parametrize(
    ("typed", "instrument", "value", "verdict"),
    [
        ("3 mm", "digital_calliper", 0.003, "inside"),
        ("1/8 in", "digital_calliper", 0.003175, "inside"),
        ("5.5", "digital_calliper", 0.0055, "outside"),
        ("4.0 mm", "fuel_level_tube", 0.004, "too close to call"),
    ],
)
def test_a_reading_is_typed_in_any_unit_and_held_against_its_limit(
    client: Client, bowls: JobCard, typed: str, instrument: str, value: float, verdict: str
) -> None:
    answer = take(client, bowls, typed, instrument)
    assert answer.status_code == 302
    reading = Reading.objects.get(answers__card=bowls)
    assert reading.value == pytest.approx(value)
    assert reading.plus_minus > 0
    assert reading.typed == ("5.5 mm" if typed == "5.5" else typed)
    assert reading.limit is not None
    assert reading.part == Part.objects.get(name="left float bowl")
    assert f"</svg> {verdict}</span>" in page(client, bowls)


def test_a_typed_uncertainty_goes_before_the_instruments(client: Client, bowls: JobCard) -> None:
    take(client, bowls, "3.0 ± 0.5 mm", "digital_calliper")
    assert Reading.objects.get(answers__card=bowls).plus_minus == pytest.approx(0.0005)


@pytest.mark.parametrize(
    ("typed", "instrument", "says"),
    [
        ("", "", "Type what was read, with its unit."),
        ("3 bananas", "", "bananas"),
        ("12 V", "", "volt"),
        ("3 m", "digital_calliper", "A digital calliper, 0.01 mm reads from 0 mm to 200 mm"),
        ("3 mm", "torque_wrench", "Choose what it was read with, or “not said”."),
    ],
)
def test_a_bad_reading_is_one_sentence_at_its_field_and_nothing_is_written(
    client: Client, bowls: JobCard, typed: str, instrument: str, says: str
) -> None:
    before = Change.objects.count()
    readings = Reading.objects.count()
    answer = take(client, bowls, typed, instrument)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert text.count('class="wrong"') == 1
    assert says in text
    if typed:
        assert f'value="{typed}"' in text
    assert (Change.objects.count(), Reading.objects.count()) == (before, readings)


def test_a_reading_taken_again_replaces_the_one_on_the_card_and_keeps_both(client: Client, bowls: JobCard) -> None:
    before = Reading.objects.count()
    take(client, bowls, "5 mm")
    take(client, bowls, "3 mm")
    assert Reading.objects.count() == before + 2
    assert bowls.needed_readings.get().reading.typed == "3 mm"


def test_a_reading_on_record_answers_with_one_tap(client: Client, bowls: JobCard) -> None:
    needed = bowls.needed_readings.get()
    facts = {"build": bowls.build, "name": "fuel level", "value": 0.003, "limit": needed.limit}
    reading = Reading(typed="3.0 mm", **facts)
    reading.save()
    assert "Use 3.0 mm of" in page(client, bowls)
    other = Reading.objects.exclude(limit=needed.limit).first()
    assert other is not None
    for wrong in (str(other.pk), "none", "99999"):
        assert client.post(f"/j/{bowls.pk}/use/{needed.pk}", {"reading": wrong}).status_code == 400
    assert client.post(f"/j/{bowls.pk}/use/{needed.pk}", {"reading": reading.pk}).status_code == 302
    needed.refresh_from_db()
    assert needed.reading == reading
    assert "Use 3.0 mm of" not in page(client, bowls)


def test_the_number_of_queries_does_not_grow(client: Client, card: JobCard) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            page(client, card)
        return len(seen)

    limit = NeededReading.objects.get(card__title="Bowls on").limit
    NeededReading(build=card.build, card=card, name="gap", limit=limit).save()
    few = queries()
    for number in range(10):
        part = Part(build=card.build, name=f"washer {number}")
        part.save()
        JobPart(build=card.build, card=card, part=part).save()
        FastenerSet(build=card.build, name=f"set {number}", holds=part).save()
        JobStep(build=card.build, card=card, number=10 + number, says="Again.").save()
        NeededReading(build=card.build, card=card, name=f"gap {number}", limit=limit).save()
    assert queries() == few
