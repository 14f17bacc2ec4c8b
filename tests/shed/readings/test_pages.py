"""The readings' pages: the table of limits, readings with their uncertainty, and what cannot be read."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build, full_build

from tickover.records.models import Build, ChangeLine, Limit, Part, Reading
from tickover.records.verdicts import standing, verdict_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return full_build()


def page(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def test_no_limits_and_no_readings_say_what_belongs_there(client: Client) -> None:
    said = page(client, f"/b/{bare_build().pk}/readings")
    assert "Here stand the book’s standard values" in said
    assert "Here stands every reading" in said


def test_the_table_has_limit_reading_and_verdict(client: Client, build: Build) -> None:
    said = page(client, f"/b/{build.pk}/readings")
    for words in (
        "11.5 to 12.5 mm",
        "at least 5.5 mm",
        "9.100 ± 0.012 mm",
        "inside",
        "not measured",
        "at most 0.4 mm",
    ):
        assert words in said, words


def test_every_page_and_form_opens(client: Client, build: Build) -> None:
    for record in [*Reading.objects.all(), *Limit.objects.all()]:
        for more in ("", "/edit", "/strike-out"):
            page(client, record.get_absolute_url() + more)
    for more in ("readings/new", "limits/new", "readings/new?limit=1&part=x", "readings?page=9"):
        page(client, f"/b/{build.pk}/{more}")
    for address in ("/r/999", "/l/999"):
        assert client.get(address).status_code == 404


def test_the_newest_reading_counts(build: Build) -> None:
    limit = Limit.objects.get(name="starter brush length")
    Reading(
        build=build,
        name="starter brush length",
        limit=limit,
        typed="12 mm",
        value=0.012,
        taken_at=datetime(2020, 1, 1, tzinfo=UTC),
    ).save()
    [row] = standing([limit])
    assert row.reading is not None
    assert row.reading.value == 0.0091


@pytest.mark.parametrize(
    ("value", "plus_minus", "word"),
    [
        (0.0060, 10e-6, "inside"), (0.0050, 10e-6, "outside"), (0.005505, 10e-6, "too close to call"),
        (None, 0.0, "not measured"),
    ],
)  # fmt: skip
def test_a_reading_is_held_against_the_service_limit(
    build: Build, value: float | None, plus_minus: float, word: str
) -> None:
    limit = Limit.objects.get(name="starter brush length")
    reading = None if value is None else Reading(build=build, value=value, plus_minus=plus_minus)
    verdict = verdict_of(limit, reading)
    assert verdict is not None
    assert verdict.verdict == word
    assert verdict_of(None, reading) is None


def test_without_a_service_limit_the_standard_value_counts(build: Build) -> None:
    limit = Limit(build=build, name="float height", standard_low=0.0255, standard_high=0.0265)
    verdict = verdict_of(limit, Reading(build=build, value=0.0280, plus_minus=0.0001))
    assert verdict is not None
    assert verdict.verdict == "outside"
    assert "standard value" in verdict.why


def test_a_reading_takes_its_uncertainty_from_its_instrument(client: Client, build: Build) -> None:
    limit = Limit.objects.get(name="armature runout")
    data = {"typed": "12 thou", "instrument": "dial_gauge", "limit": limit.pk, "taken_at": "2026-03-01T10:00"}
    assert client.post(f"/b/{build.pk}/readings/new", data).status_code == 302
    reading = Reading.objects.get(limit=limit)
    assert reading.value == pytest.approx(12 * 25.4e-6)  # thousandths of an inch, exactly
    # GUM 4.3.7: half-widths of 17 µm (DIN 878) and of half a 10 µm step, rectangular
    assert reading.plus_minus == pytest.approx(math.hypot(17e-6, 5e-6) / math.sqrt(3))
    assert (reading.name, reading.part) == (limit.name, limit.part)


def test_a_typed_uncertainty_goes_first(client: Client, build: Build) -> None:
    data = {
        "name": "big end journal", "typed": "36.98 ± 0.02 mm", "instrument": "micrometer",
        "taken_at": "2026-03-01T10:00",
    }  # fmt: skip
    client.post(f"/b/{build.pk}/readings/new", data)
    reading = Reading.objects.get(name="big end journal")
    assert (reading.value, reading.plus_minus) == (pytest.approx(0.03698), pytest.approx(20e-6))


@pytest.mark.parametrize(("system", "typed", "pascals"), [("metric", "980", 980e3), ("inch-pound", "142", 979_056.0)])
def test_a_bare_figure_keeps_the_unit_it_was_taken_to_have(
    client: Client, system: str, typed: str, pascals: float
) -> None:
    build = bare_build(system=system)
    data = {
        "name": "compression, left",
        "typed": typed,
        "instrument": "compression_gauge",
        "taken_at": "2026-03-01T10:00",
    }
    assert client.post(f"/b/{build.pk}/readings/new", data).status_code == 302
    reading = Reading.objects.get()
    assert reading.value == pytest.approx(pascals, rel=1e-5)
    assert reading.typed == f"{typed} {'kPa' if system == 'metric' else 'psi'}"
    Build.objects.update(system="metric" if system == "inch-pound" else "inch-pound")
    form = client.get(f"/r/{reading.pk}/edit").context["form"]
    kept = {name: form[name].value() or "" for name in form.fields} | {"taken_at": "2026-03-01T10:00"}
    assert client.post(f"/r/{reading.pk}/edit", kept).status_code == 302
    assert Reading.objects.get().value == reading.value


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"typed": "long"}, "does not start with a number"),
        ({"typed": "9 bar"}, "is a unit of pressure"),
        ({"typed": ""}, "This is needed"),
        ({"typed": "9 m"}, "reads from 0 mm to 200 mm"),
        ({"instrument": "multimeter_volts"}, "reads voltage"),
        ({"instrument": "crystal ball"}, "is not in the list; choose one"),
        ({"limit": "", "name": ""}, "Say what was measured"),
        ({"limit": "", "name": "x", "instrument": ""}, "Choose the kind of quantity"),
        ({"taken_at": "yesterday"}, "Write date and time as"),
        ({"limit": "99999", "name": "x"}, "is not in the list; choose one"),
    ],
)
def test_a_reading_that_is_wrong_keeps_what_was_typed(
    client: Client, build: Build, wrong: dict[str, str], says: str
) -> None:
    data = {
        "typed": "9.1 mm", "instrument": "digital_calliper", "limit": str(Limit.objects.first().pk),
        "taken_at": "2026-03-01T10:00", "remark": "brush two",
    } | wrong  # fmt: skip
    lines = ChangeLine.objects.count()
    response = client.post(f"/b/{build.pk}/readings/new", data)
    said = response.content.decode()
    assert response.status_code == 422
    assert said.count('class="wrong"') == 1
    assert says in said
    assert "brush two" in said
    assert (Reading.objects.count(), ChangeLine.objects.count()) == (1, lines)


def test_a_reading_belongs_to_the_running_stint(client: Client, build: Build) -> None:
    from tickover.records.models import Stint

    stint = Stint(build=build)
    stint.save()
    data = {
        "name": "valve lift",
        "typed": "8.2 mm",
        "instrument": "dial_gauge",
        "taken_at": "2026-03-01T10:00",
    }
    client.post(f"/b/{build.pk}/readings/new", data)
    assert Reading.objects.get(name="valve lift").stint == stint


LIMIT = {"name": "valve guide bore", "chapter": "engine", "dimension": "length"}


def test_a_limit_is_typed_in_any_unit(client: Client, build: Build) -> None:
    data = LIMIT | {"standard_low": "7.000", "standard_high": "7.015 mm", "service_high": "0.2776 in"}
    assert client.post(f"/b/{build.pk}/limits/new", data).status_code == 302
    limit = Limit.objects.get(name="valve guide bore")
    assert (limit.standard_low, limit.standard_high) == (pytest.approx(0.007), pytest.approx(0.007015))
    assert (limit.service_low, limit.service_high) == (None, pytest.approx(0.2776 * 0.0254))


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"service_high": "wide"}, "does not start with a number"),
        ({"service_high": "9 bar"}, "is a unit of pressure"),
        ({"standard_low": "7.1", "standard_high": "7.0"}, "below the lowest"),
        ({"service_low": "8", "service_high": "7"}, "below the lowest"),
        ({}, "at least one value"),
        ({"dimension": "charm", "service_low": "1"}, "is not in the list; choose one"),
        ({"name": "", "service_low": "1"}, "This is needed"),
    ],
)
def test_a_limit_that_is_wrong(client: Client, build: Build, wrong: dict[str, str], says: str) -> None:
    response = client.post(f"/b/{build.pk}/limits/new", LIMIT | {"source": "page 14"} | wrong)
    said = response.content.decode()
    assert response.status_code == 422
    assert said.count('class="wrong"') == 1
    assert says in said
    assert "page 14" in said
    assert Limit.objects.count() == 2


def test_a_limit_shown_rounded_is_not_written_back_rounded(client: Client, build: Build) -> None:
    limit = Limit.objects.get(name="armature runout")
    Limit.objects.filter(pk=limit.pk).update(service_high=0.000123456789)
    form = client.get(f"/l/{limit.pk}/edit").context["form"]
    lines = ChangeLine.objects.count()
    data = {name: form[name].value() or "" for name in form.fields}
    assert client.post(f"/l/{limit.pk}/edit", data).status_code == 302
    limit.refresh_from_db()
    assert limit.service_high == 0.000123456789
    assert ChangeLine.objects.count() == lines


def test_a_limit_with_readings_keeps_its_kind_of_quantity(client: Client, build: Build) -> None:
    limit = Limit.objects.get(name="starter brush length")
    data = {"name": "x", "chapter": "engine", "dimension": "pressure", "service_low": "1 bar"}
    response = client.post(f"/l/{limit.pk}/edit", data)
    assert response.status_code == 422
    assert "write down a new limit" in response.content.decode()


def test_a_limit_is_struck_out_and_its_readings_stay(client: Client, build: Build) -> None:
    limit = Limit.objects.get(name="starter brush length")
    client.post(f"/l/{limit.pk}/strike-out")
    assert Reading.objects.get().limit is None
    client.post(f"/x/{build.changes.first().pk}/take-back")
    assert Reading.objects.get().limit == limit


def test_the_number_of_queries_does_not_grow(client: Client, build: Build) -> None:
    limit, part = Limit.objects.get(name="starter brush length"), Part.objects.get(name="starter")
    addresses = (
        f"/b/{build.pk}/readings",
        limit.get_absolute_url(),
        Reading.objects.get().get_absolute_url(),
    )

    def queries() -> list[int]:
        counted = []
        for address in addresses:
            with CaptureQueriesContext(connection) as seen:
                page(client, address)
            counted.append(len(seen))
        return counted

    Reading(build=build, name="another", part=part, limit=limit, typed="9 mm", value=0.009).save()
    queries()
    before = queries()
    for number in range(10):
        more = Limit(build=build, name=f"limit {number}", part=part, service_high=1.0)
        more.save()
        for held in (limit, more):
            Reading(build=build, name=f"r{number}", part=part, limit=held, typed="1 m", value=1.0).save()
    assert queries() == before


@pytest.mark.parametrize(("chapter", "cautioned"), [("brakes", True), ("chassis", True), ("electrics", False)])
def test_a_brake_reading_says_what_it_does_not_replace(
    client: Client, build: Build, chapter: str, cautioned: bool
) -> None:
    Limit.objects.update(chapter=chapter)
    for address in (f"/b/{build.pk}/readings", f"/l/{Limit.objects.first().pk}", f"/r/{Reading.objects.get().pk}"):
        assert ("does not replace a licensed engineer" in page(client, address)) == cautioned


def test_the_newest_reading_of_one_side_does_not_hide_the_other() -> None:
    build = full_build()
    limit = Limit.objects.get(build=build, name="armature runout")
    for name, value, day in (("left end", 0.0006, 1), ("right end", 0.0001, 2), ("left end", 0.0005, 3)):
        Reading(
            build=build,
            name=name,
            limit=limit,
            typed=str(value),
            value=value,
            plus_minus=1e-6,
            taken_at=datetime(2022, 1, day, tzinfo=UTC),
        ).save()
    rows = standing([limit])
    assert [(row.place, row.reading.value, row.verdict.verdict) for row in rows] == [
        ("left end", 0.0005, "outside"),
        ("right end", 0.0001, "inside"),
    ]
