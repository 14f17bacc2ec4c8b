"""Inspections: begun from a pattern or by hand, read one by one, held against limits, and what they add."""

from __future__ import annotations

import math

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from tests.shed.penhallow import bare_build

from tickover.planning.inspections import all_patterns
from tickover.records import history
from tickover.records.models import (
    Build,
    Inspection,
    InspectionLine,
    JobCard,
    Limit,
    NeededReading,
    Part,
    Purchase,
    Reading,
)

pytestmark = pytest.mark.django_db

BORE = {"standard_low": 0.067, "standard_high": 0.06702, "service_high": 0.0671}


@pytest.fixture
def build() -> Build:
    build = bare_build()
    block = Part(build=build, name="cylinder block", now="on the bike")
    block.save()
    Limit(build=build, name="cylinder bore", part=block, source="book p. 33", **BORE).save()
    Limit(build=build, name="bore, out of round", part=block, service_high=0.00005).save()
    return build


def text(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def begun(client: Client, build: Build, pattern: str = "bores", each: str = "left", **more: object) -> Inspection:
    address = f"/b/{build.pk}/inspections/begin/{pattern}"
    form = client.get(address).context["form"]
    limits = {name: form[name].value() or "" for name in form.fields if name.startswith("limit-")}
    response = client.post(address, {"name": "A round", "each": each, **limits, **more})
    assert response.status_code == 302, response.content.decode()
    return Inspection.objects.latest("pk")


def take(client: Client, inspection: Inspection, number: int, typed: str, instrument: str = "bore_gauge") -> str:
    response = client.post(f"/i/{inspection.pk}/take/{number}", {"typed": typed, "instrument": instrument})
    assert response.status_code == 302, response.content.decode()
    return response["Location"]


SIX = ("67.06", "67.04", "67.05", "67.03", "67.03", "67.02")


def read_all(client: Client, inspection: Inspection, figures: tuple[str, ...] = SIX) -> None:
    for number, typed in enumerate(figures, start=1):
        take(client, inspection, number, f"{typed} mm")


def test_an_empty_list_says_what_belongs_there_and_names_every_pattern(client: Client, build: Build) -> None:
    said = text(client, f"/b/{build.pk}/inspections")
    assert "An inspection is a round of measuring" in said
    for pattern in all_patterns().values():
        assert pattern.title in said


@pytest.mark.parametrize("pattern", all_patterns())
def test_every_pattern_begins_and_its_pages_open(client: Client, build: Build, pattern: str) -> None:
    each = "left, right" if all_patterns()[pattern].each else ""
    inspection = begun(client, build, pattern, each)
    assert inspection.lines.count() == len(all_patterns()[pattern].places(["left", "right"] if each else [""]))
    for page in ("", "/form", "/form?blank", "/edit", "/strike-out", "/places", "/take/1"):
        text(client, f"/i/{inspection.pk}{page}")
    change = history.last_change(build.pk)
    assert change is not None
    history.take_back(change)
    assert not Inspection.objects.exists()
    assert not InspectionLine.objects.exists()


def test_places_find_their_limit_and_their_part(client: Client, build: Build) -> None:
    for line in begun(client, build, each="left, right").lines.select_related("limit", "part"):
        assert str(line.limit) == "cylinder bore"
        assert str(line.part) == "cylinder block"


def test_a_limit_is_written_down_with_the_inspection(client: Client, build: Build) -> None:
    inspection = begun(
        client, build, "ring_gaps", "1", **{"new-0-service_high": "0.7 mm", "new-0-source": "book p. 35"}
    )
    limit = inspection.lines.first().limit
    assert (limit.name, limit.service_high, limit.source) == ("ring gap top", pytest.approx(7e-4), "book p. 35")
    assert inspection.lines.last().limit is None


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"each": "left, left"}, "Write each cylinder once"),
        ({"each": ""}, "Name each cylinder"),
        ({"name": ""}, "This is needed: what is inspected"),
        ({"limit-0": "77777"}, "is not in the list"),
        ({"new-0-service_high": "long"}, "does not start with a number"),
        ({"new-0-source": "book"}, "Give at least one value"),
        ({"new-0-service_high": "67.2 mm"}, "not both"),
    ],
)
def test_a_bad_beginning_is_one_sentence_and_writes_nothing(
    client: Client, build: Build, wrong: dict[str, str], says: str
) -> None:
    good = {"name": "Bores", "each": "left, right", "limit-0": str(Limit.objects.get(name="cylinder bore").pk)}
    response = client.post(f"/b/{build.pk}/inspections/begin/bores", good | wrong)
    assert response.status_code == 422
    assert says in response.content.decode()
    assert not Inspection.objects.exists()
    assert Limit.objects.count() == 2
    for value in wrong.values():
        assert value in response.content.decode()


def test_readings_go_from_place_to_place_and_bring_their_uncertainty(client: Client, build: Build) -> None:
    inspection = begun(client, build)
    assert client.get(f"/i/{inspection.pk}/take")["Location"] == f"/i/{inspection.pk}/take/1"
    assert take(client, inspection, 1, "67.06") == f"/i/{inspection.pk}/take/2"
    reading = Reading.objects.get()
    assert (reading.name, reading.typed, reading.part.name) == ("left bore, top, across", "67.06 mm", "cylinder block")
    assert reading.value == pytest.approx(0.06706)
    # GUM 4.3.7: half-widths of 10 µm and of half a 10 µm step, rectangular
    assert reading.plus_minus == pytest.approx(math.hypot(10e-6, 5e-6) / math.sqrt(3))
    assert 'value="bore_gauge" selected' in client.get(f"/i/{inspection.pk}/take/2").content.decode()
    assert client.get(f"/i/{inspection.pk}/take?after=2")["Location"] == f"/i/{inspection.pk}/take/3"
    for number in range(2, 6):
        take(client, inspection, number, "67.05")
    assert take(client, inspection, 6, "67.05") == f"/i/{inspection.pk}"
    assert client.get(f"/i/{inspection.pk}/take")["Location"] == f"/i/{inspection.pk}"
    assert client.get(f"/i/{inspection.pk}/take/99")["Location"] == f"/i/{inspection.pk}"


def test_a_bare_figure_is_in_the_builds_own_unit(client: Client, build: Build) -> None:
    Build.objects.update(system="inch-pound")
    inspection = begun(client, build)
    take(client, inspection, 1, "2.6400")
    assert Reading.objects.get().value == pytest.approx(2.64 * 0.0254)


@pytest.mark.parametrize(
    ("typed", "instrument", "says"),
    [
        ("", "bore_gauge", "or skip it"),
        ("wide", "bore_gauge", "does not start with a number"),
        ("9 bar", "", "is a unit of pressure"),
        ("6 mm", "bore_gauge", "reads from 18 mm to 150 mm"),
        ("67 mm", "sundial", "Choose what it was read with"),
    ],
)
def test_a_bad_reading_is_one_sentence_and_writes_nothing(
    client: Client, build: Build, typed: str, instrument: str, says: str
) -> None:
    inspection = begun(client, build)
    response = client.post(f"/i/{inspection.pk}/take/1", {"typed": typed, "instrument": instrument})
    assert response.status_code == 422
    assert says in response.content.decode()
    assert f'value="{typed}"' in response.content.decode() or not typed
    assert not Reading.objects.exists()


def test_the_worst_stands_first_and_the_shape_is_worked_out(client: Client, build: Build) -> None:
    inspection = begun(client, build)
    read_all(client, inspection, ("67.14", "67.04", "67.05", "67.03", "67.03"))
    response = client.get(f"/i/{inspection.pk}")
    words = [row.word for row in response.context["rows"]]
    assert words == ["outside", "not measured", "inside", "inside", "inside", "inside"]
    assert "waits for: left bore, bottom, along" in response.content.decode()
    take(client, inspection, 6, "67.02")
    shape = client.get(f"/i/{inspection.pk}").context["shapes"][0]
    figures = {figure.name: figure for figure in shape.figures}
    assert figures["out of round top"].shown == "0.100 ± 0.009 mm"
    assert figures["out of round top"].verdict.verdict == "outside"
    assert figures["widest"].verdict.verdict == "outside"
    page = text(client, f"/b/{build.pk}/sheets/{shape.sheet}?{shape.query}")
    assert "0.100 ± 0.009 mm" in page


def test_too_close_to_call_proposes_the_better_instrument(client: Client, build: Build) -> None:
    inspection = begun(client, build)
    take(client, inspection, 1, "67.085 mm", "telescopic_gauge")
    response = client.get(f"/i/{inspection.pk}")
    [row] = response.context["unsettled"]
    assert [one.id for one in row.better] == ["bore_gauge", "inside_micrometer"]
    assert f"/i/{inspection.pk}/take/1?with=bore_gauge" in response.content.decode()
    take(client, inspection, 1, "67.085 mm", "bore_gauge")
    assert client.get(f"/i/{inspection.pk}").context["unsettled"] == []
    assert Reading.objects.count() == 2


def adds(client: Client, inspection: Inspection, what: str) -> int:
    return client.post(f"/i/{inspection.pk}/add", {"adds": what}).status_code


def test_what_is_outside_adds_the_part_the_job_and_the_purchase_each_once(client: Client, build: Build) -> None:
    inspection = begun(client, build)
    read_all(client, inspection, ("67.14", "67.13", *SIX[2:]))
    block = Part.objects.get()
    for what in ("replace", "card", "purchase", "all"):
        assert adds(client, inspection, f"part-{block.pk} {what}") == 302
    block.refresh_from_db()
    assert (block.condition, block.to_do) == ("worn", "replace")
    card = JobCard.objects.get()
    assert card.title == "Put right: cylinder block"
    assert "Left bore, top, across" in card.why
    assert card.steps.count() == 3
    assert {row.name for row in card.needed_readings.all()} == {"left bore, top, across", "left bore, top, along"}
    assert [row.part for row in card.job_parts.all()] == [block]
    bought = Purchase.objects.get()
    assert (bought.what, bought.card, bought.part) == ("cylinder block", card, block)
    assert client.get(f"/i/{inspection.pk}").context["open"] == []


def test_all_of_it_is_one_change(client: Client, build: Build) -> None:
    inspection = begun(client, build)
    read_all(client, inspection, ("67.14", *SIX[1:]))
    assert adds(client, inspection, "all all") == 302
    assert (JobCard.objects.count(), Purchase.objects.count()) == (1, 1)
    change = history.last_change(build.pk)
    assert change is not None
    history.take_back(change)
    assert (JobCard.objects.count(), Purchase.objects.count(), NeededReading.objects.count()) == (0, 0, 0)
    assert Part.objects.get().condition == "unknown"


def test_a_usual_job_is_written_from_its_template(client: Client, build: Build) -> None:
    Part(build=build, name="rocker arms", count=4).save()
    Limit(build=build, name="valve clearance, inlet, cold", service_low=4e-5, service_high=1.2e-4).save()
    inspection = begun(client, build, "valve_clearances", "left, right")
    take(client, inspection, 1, "0.25 mm", "feeler_gauge")
    adds(client, inspection, "all card")
    card = JobCard.objects.get()
    assert card.title == "Set the valve clearances"
    assert "With the plugs out" in card.caution
    assert "Valve clearance, left inlet" in card.remark


def test_nothing_outside_adds_nothing(client: Client, build: Build) -> None:
    inspection = begun(client, build)
    read_all(client, inspection)
    assert adds(client, inspection, "all all") == 400
    assert adds(client, inspection, "part-1 rocket") == 400
    assert not JobCard.objects.exists()


def test_places_of_my_own(client: Client, build: Build) -> None:
    address = f"/b/{build.pk}/inspections/by-hand"
    assert client.post(address, {"name": "Gearbox", "chapter": "engine", "places": " \n"}).status_code == 422
    assert not Inspection.objects.exists()
    client.post(address, {"name": "Gearbox", "chapter": "engine", "places": "main shaft, left\nmain shaft, right"})
    inspection = Inspection.objects.get()
    take(client, inspection, 1, "19.98 mm", "micrometer")
    assert client.get(f"/i/{inspection.pk}").context["counts"] == [(1, "not measured"), (1, "no limit")]
    client.post(f"/i/{inspection.pk}/places", {"places": "lay shaft"})
    assert list(inspection.lines.values_list("number", "name"))[-1] == (3, "lay shaft")
    line = inspection.lines.last()
    limit = Limit.objects.get(name="cylinder bore")
    client.post(f"/i/{inspection.pk}/place/{line.pk}", {})
    assert (
        client.post(
            f"/i/{inspection.pk}/place/{line.pk}", {"name": "lay shaft, left", "limit": limit.pk, "part": ""}
        ).status_code
        == 302
    )
    assert client.post(f"/i/{inspection.pk}/place/{line.pk}/strike-out").status_code == 302
    assert inspection.lines.count() == 2


def test_an_inspection_of_brakes_says_what_it_does_not_replace(client: Client, build: Build) -> None:
    inspection = begun(client, build, "discs", "left")
    assert "does not replace a licensed engineer" in text(client, f"/i/{inspection.pk}")
    assert "does not replace a licensed engineer" in text(client, f"/i/{inspection.pk}/form?blank")


def test_more_places_ask_no_more_questions(client: Client, build: Build) -> None:
    def queries(inspection: Inspection) -> list[int]:
        client.get(f"/i/{inspection.pk}")  # says what was just kept, once
        counts = []
        for page in ("", "/form", "/take/1"):
            with CaptureQueriesContext(connection) as counted:
                client.get(f"/i/{inspection.pk}{page}")
            counts.append(len(counted))
        return counts

    one = begun(client, build, each="left")
    read_all(client, one, ("67.14", *SIX[1:]))
    four = begun(client, build, each="4")
    for number in range(1, 25):
        take(client, four, number, "67.14" if number % 3 else "67.02")
    assert queries(four) == queries(one)
