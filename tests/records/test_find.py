"""The search: what it forgives, and that it follows every way in which records are written."""

from __future__ import annotations

import pytest
from django.db import connection
from tests.shed.penhallow import bare_build, full_build

from tickover.records import find_index
from tickover.records.find import Asked, find, from_the_records
from tickover.records.history import last_change, take_back, writing
from tickover.records.models import Build, FastenerSet, JobCard, JobStep, Part, Remark, Store, WireEnd, WireTag

pytestmark = pytest.mark.django_db


def names(build: Build, typed: str) -> list[str]:
    return [str(row.record) for row in find(build, typed) if not row.differs]


def indexed() -> set[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT rowid, whole, name, beside, build FROM records_find")
        return set(cursor.fetchall())


@pytest.mark.parametrize("typed", ["carburetor", "carburretor", "carburator", "carb", "CARBURETTOR", "car buretor"])
def test_a_carburettor_is_found_however_it_is_spelt(heron: Build, typed: str) -> None:
    assert {"left carburettor", "right carburettor"} <= {str(row.record) for row in find(heron, typed)[:4]}


@pytest.mark.parametrize("typed", ["M8 x 40", "M8x40", "M8×40", "m8 X 40", "M8x1.25x40"])
def test_a_size_is_found_however_it_is_written(typed: str) -> None:
    build = bare_build()
    FastenerSet(build=build, name="case bolts", thread="M8 x 1.25", length=0.040).save()
    FastenerSet(build=build, name="other bolts", thread="M8 x 1.25", length=0.035).save()
    assert names(build, typed) == ["case bolts"]


@pytest.mark.parametrize("typed", ["1/4", "1/4-20", "1/4 x 3/4", "unc"])
def test_an_inch_size_is_found(typed: str) -> None:
    build = bare_build()
    FastenerSet(build=build, name="breather screws", thread="1/4-20 UNC", length=0.01905).save()
    assert names(build, typed) == ["breather screws"]


@pytest.mark.parametrize("typed", ["GN/YE", "gn / ye", "GNYE", "green yellow"])
def test_a_wire_is_found_by_its_colours(typed: str) -> None:
    build = bare_build()
    WireTag(build=build, mark="12", colours="GN/YE").save()
    WireTag(build=build, mark="13", colours="BU").save()
    assert names(build, typed) == ["tag 12, GN/YE"]


def test_a_bag_stands_before_what_lies_in_it() -> None:
    build = bare_build()
    bag = Store(build=build, name="odd screws", mark="bag 12")
    bag.save()
    Part(build=build, name="points cover", place=bag).save()
    Store(build=build, name="clips", mark="bag 1").save()
    assert names(build, "bag 12") == ["bag 12 (odd screws)", "points cover"]
    bag.mark = "bag 30"
    bag.save()
    assert names(build, "bag 12") == []
    assert names(build, "bag 30") == ["bag 30 (odd screws)", "points cover"]


def test_a_remark_is_found_by_its_text() -> None:
    build = full_build()
    part = Part.objects.get(build=build, name="starter")
    Remark(build=build, on_kind="part", on_record=part.pk, text="Whines when it is cold").save()
    assert [row.kind for row in find(build, "whine")] == ["remark"]


def test_what_is_struck_out_is_gone_and_comes_back_when_it_is_taken_back() -> None:
    build = full_build()
    before = indexed()
    part = Part.objects.get(build=build, name="starter")
    with writing("Jory", "Struck out"):
        part.delete()
    assert "starter" not in names(build, "starter")
    assert "starter in its place" in names(build, "starter")
    change = last_change(build.pk)
    assert change is not None
    take_back(change)
    assert names(build, "starter")[0] == "starter"
    assert indexed() == before


def _broken_off(build: Build) -> None:
    with writing("Jory", "Broken off"):
        Part(build=build, name="kickstart lever").save()
        raise ValueError("broken off")


def test_what_was_not_kept_is_not_found() -> None:
    build = bare_build()
    with pytest.raises(ValueError, match="broken off"):
        _broken_off(build)
    assert find(build, "kickstart") == []


def test_rows_of_a_record_are_followed_from_one_owner_to_the_next() -> None:
    build = full_build()
    end = WireEnd.objects.get(build=build, tag__mark="17", side="to")
    other = WireTag.objects.get(build=build, mark="18")
    end.tag = other
    end.save()
    assert names(build, "ring") == ["tag 18, BK"]
    card = JobCard.objects.get(build=build)
    step = JobStep(build=build, card=card, number=1, says="Offer it up to the crankcase")
    step.save()
    assert names(build, "crankcase") == ["Starter back in"]
    step.delete()
    assert names(build, "crankcase") == []


def test_the_index_of_the_demo_is_what_working_it_out_anew_gives(heron: Build) -> None:
    kept = indexed()
    assert len(kept) > 300
    find_index.rebuild()
    assert indexed() == kept


def test_an_older_workshop_gets_its_index_after_migrating() -> None:
    full_build()
    kept = indexed()
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM records_find")
    find_index.fill_if_empty()
    assert indexed() == kept


@pytest.mark.parametrize("typed", ['"', "*", "NEAR(", "a AND", "^", "-", "'; --", "OR", "x" * 500, "\0", "ß×½"])
def test_no_sign_breaks_the_search(typed: str) -> None:
    find(full_build(), typed)


@pytest.mark.parametrize(
    ("typed", "name"), [("starter", "starter"), ("M8x30", "starter bolts"), ("startre", "starter")]
)
def test_without_the_full_text_table_the_records_are_asked(typed: str, name: str) -> None:
    build = full_build()
    words = tuple(typed.lower().split())
    asked = Asked(words, tuple({word: 1.0} for word in words))
    assert name in {str(kind.model.objects.get(pk=pk)) for (kind, pk), _ in from_the_records(build, asked)}
