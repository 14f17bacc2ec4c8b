"""The bench, stints with their handover, search, the guided start, changes taken back."""

from __future__ import annotations

import pytest
from django.test import Client
from tests.shed.penhallow import bare_build, full_build

from tickover.records.find import find
from tickover.records.models import Build, Change, Part, Stint, Store

pytestmark = pytest.mark.django_db


def page(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status, response.content[:500]
    return response.content.decode()


def test_with_no_build_the_guided_start_opens(client: Client) -> None:
    assert client.get("/").headers["Location"] == "/start"
    assert "Only the bike’s name is needed" in page(client, "/start")


def test_the_guided_start_needs_a_name_only(client: Client) -> None:
    answer = client.post("/start", {"name": "", "milestone": "first start", "system": "metric"})
    assert answer.status_code == 422
    assert not Build.objects.exists()
    answer = client.post("/start", {"name": "Heron", "milestone": "first start", "system": "inch-pound", "who": "Wen"})
    build = Build.objects.get()
    assert answer.headers["Location"] == f"/b/{build.pk}/first-things"
    assert build.system == "inch-pound"
    assert Change.objects.get().who == "Wen"


def test_first_things_are_kept_whole_or_not_at_all(client: Client) -> None:
    build = bare_build()
    address = f"/b/{build.pk}/first-things"
    answer = client.post(address, {"places": "Box 1\nShelf", "parts": "Tank, Shelf\nSeat, Loft"})
    assert answer.status_code == 422
    assert "“Loft”, which is none of the places above" in answer.content.decode()
    assert "Tank, Shelf" in answer.content.decode()
    assert not Store.objects.exists()
    answer = client.post(address, {"places": "Box 1\nShelf", "parts": "Tank, Shelf\nSeat"})
    assert answer.status_code == 302
    assert Part.objects.get(name="Tank").place.name == "Shelf"
    assert Part.objects.get(name="Seat").place is None


def test_an_empty_build_says_how_to_begin(client: Client) -> None:
    text = page(client, f"/b/{bare_build().pk}")
    assert "Nothing is written down yet" in text
    assert "No stint has ended yet" in text


def test_a_stint_starts_ends_and_stands_first_on_the_bench(client: Client) -> None:
    build = bare_build()
    client.post(f"/b/{build.pk}/stints/start", {"who": "Wen", "aim": "Carburettors"})
    stint = Stint.objects.get()
    assert client.get(f"/b/{build.pk}/stints/start").headers["Location"] == f"/t/{stint.pk}/end"
    assert "Stint running since" in page(client, f"/b/{build.pk}")
    client.post(
        f"/t/{stint.pk}/end",
        {"stopped_at": "Left bowl is off.", "next_up": "Read its level.", "not_safe": "Fuel in the bowl."},
    )
    text = page(client, f"/b/{build.pk}")
    for said in ("Left bowl is off.", "Read its level.", "Fuel in the bowl.", "Wen"):
        assert said in text
    assert "Stint running since" not in text
    assert Change.objects.latest("id").who == "Wen"


def test_the_last_change_is_taken_back_from_the_foot_of_the_page(client: Client) -> None:
    build = full_build()
    starter = Part.objects.get(name="starter")
    starter.condition = "good"
    starter.save()
    change = Change.objects.latest("id")
    assert f"/x/{change.pk}/take-back" in page(client, f"/b/{build.pk}")
    client.post(f"/x/{change.pk}/take-back")
    starter.refresh_from_db()
    assert starter.condition == "worn"
    again = client.post(f"/x/{change.pk}/take-back")
    assert again.status_code == 400
    assert "Only the last change can be taken back" in again.content.decode()


def test_a_milestone_that_is_none_is_refused(client: Client) -> None:
    build = bare_build()
    answer = client.post(f"/b/{build.pk}/milestone", {"milestone": "polished"})
    assert answer.status_code == 400
    assert "“polished” is no milestone" in answer.content.decode()
    client.post(f"/b/{build.pk}/milestone", {"milestone": "road-ready"})
    assert Build.objects.get().milestone == "road-ready"


@pytest.mark.parametrize(
    ("typed", "kind", "name"),
    [
        ("starter", "part", "starter"),
        ("M8 x 1.25", "fastener set", "starter bolts"),
        ("M8 x 30", "fastener set", "starter bolts"),
        ("m8×30", "fastener set", "starter bolts"),
        ("box 4", "place", "electrics"),
        ("BOX4", "place", "electrics"),
        ("tag 17", "wire tag", "tag 17"),
        ("RD/BK", "wire tag", "tag 17"),
        ("rdbk", "wire tag", "tag 17"),
        ("relay 87", "wire tag", "tag 17"),
        ("brush set", "purchase", "brush set"),
        ("H450-31", "part", "starter"),
        ("h45031", "part", "starter"),
        ("satrter", "part", "starter"),
        ("start er", "part", "starter"),
        ("lef sied cover", "part", "left side cover"),
        ("brake starter", "part", "starter"),
    ],
)
def test_everything_is_found_first(typed: str, kind: str, name: str) -> None:
    first = find(full_build(), typed)[0]
    assert (first.kind, name in str(first.record)) == (kind, True)


def test_what_is_found_comes_with_its_picture_and_its_place(client: Client) -> None:
    build = full_build()
    first = find(build, "sarter")[0]
    assert (str(first.photo), str(first.place)) == ("starter in its place", "box 4 (electrics)")
    assert first.differs == "“starter”, not “sarter”"
    shown = page(client, f"/b/{build.pk}/find?q=sarter")
    assert "“starter”, not “sarter”" in shown
    assert f"/ph/{first.photo.pk}/preview" in shown  # type: ignore[union-attr]


def test_a_tag_is_found_by_its_whole_mark() -> None:
    build = full_build()
    assert "tag 17" not in " ".join(str(row.record) for row in find(build, "tag 1") if not row.differs)


def test_searching_for_nothing_and_for_what_is_not_there(client: Client) -> None:
    build = full_build()
    assert "Type a name, a mark" in page(client, f"/b/{build.pk}/find")
    assert "Nothing on record" in page(client, f"/b/{build.pk}/find?q=%F0%9F%A6%A9")


def test_other_builds_stay_out_of_the_search() -> None:
    full_build()
    assert find(bare_build("Another"), "starter") == []


def test_the_bench_of_the_demo_costs_no_more_queries_with_more_parts(
    client: Client, heron: Build, django_assert_max_num_queries: object
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for _ in range(2):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            page(client, f"/b/{heron.pk}")
        counts.append(len(queries))
        Part.objects.bulk_create(Part(build=heron, name=f"washer {k}", condition="unknown") for k in range(200))
    assert counts[0] == counts[1]


def test_the_pages_of_stints_and_changes(client: Client, heron: Build) -> None:
    assert page(client, f"/b/{heron.pk}/stints").count("/t/") >= 12
    assert "Wen" in page(client, f"/b/{heron.pk}/changes")
    stint = Stint.objects.filter(build=heron).first()
    assert stint.stopped_at[:40] in page(client, stint.get_absolute_url()).replace("&#x27;", "'")
