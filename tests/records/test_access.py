"""What must come off first, from the records; and the one question asked when a part comes off."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from tickover.records import history
from tickover.records.access import (
    access_to,
    all_to_reach,
    circle_with,
    guess_cover,
    makes_a_circle,
    open_questions,
    refitting_of,
    to_reach,
)
from tickover.records.models import Build, Cover, Part

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    build = Build(name="Penhallow Heron 450")
    build.save()
    return build


def parts_of(build: Build, *names: str, **facts: object) -> list[Part]:
    parts = [Part(build=build, name=name, **facts) for name in names]
    for part in parts:
        part.save()
    return parts


def covers(build: Build, cover: Part, covered: Part, **facts: object) -> Cover:
    link = Cover(build=build, cover=cover, covered=covered, **facts)
    link.save()
    return link


def off(build: Build, name: str, number: int, day: int = 1, chapter: str = "chassis") -> Part:
    part = Part(build=build, name=name, came_off=date(2023, 8, day), came_off_order=number, chapter=chapter)
    part.save()
    return part


def test_from_the_records(build: Build) -> None:
    seat, tank, box, coil = parts_of(build, "seat", "tank", "airbox", "coil")
    for cover, covered in ((seat, tank), (tank, coil), (seat, box)):
        covers(build, cover, covered)
    assert to_reach(coil) == [seat, tank]
    assert to_reach(seat) == []
    assert all_to_reach(build.pk) == {tank.pk: [seat], coil.pk: [seat, tank], box.pk: [seat]}
    assert makes_a_circle(coil, seat)
    assert makes_a_circle(coil, coil)
    assert not makes_a_circle(box, coil)


def test_what_only_holds_a_part_is_in_the_way_of_taking_it_off_alone(build: Build) -> None:
    guard, clamp, pipe = parts_of(build, "heat guard", "exhaust clamp", "header pipe")
    covers(build, guard, clamp)
    covers(build, clamp, pipe, how="holds")
    way = access_to(pipe)
    assert (way.reach, way.more) == ([], [guard, clamp])
    assert all_to_reach(build.pk) == {clamp.pk: [guard]}


def test_the_number_of_queries_does_not_grow_with_the_covers(
    build: Build, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    parts = parts_of(build, *(f"plate {number}" for number in range(30)))
    for cover, covered in pairwise(parts):
        covers(build, cover, covered)
    with django_assert_num_queries(3):
        assert access_to(parts[-1]).reach == parts[:-1]
    with django_assert_num_queries(2):
        assert len(all_to_reach(build.pk)) == 29
    with django_assert_num_queries(4):
        assert len(refitting_of(build).steps) == 30


@pytest.mark.parametrize("most", [1, 4, 20])
def test_a_part_of_the_refitting_order_is_the_beginning_of_the_whole(build: Build, most: int) -> None:
    parts = [off(build, f"piece {number}", number) for number in range(1, 41)]
    for place, part in enumerate(parts):
        part.now = ("in stores", "in stores", "on order", "fitted", "in stores")[place % 5]
        part.save()
        if place % 4 == 3:
            covers(build, part, parts[place * 7 % 37])
    whole, some = refitting_of(build), refitting_of(build, most)
    assert [step.part.id for step in some.at_hand][:most] == [step.part.id for step in whole.at_hand][:most]
    assert [step.part.id for step in some.waiting][:most] == [step.part.id for step in whole.waiting][:most]


def test_a_circle_on_record_is_shown_with_the_entry_that_contradicts_the_order(build: Build) -> None:
    seat, tank, coil = (off(build, name, number) for number, name in enumerate(("seat", "tank", "coil"), 1))
    covers(build, seat, tank)
    covers(build, tank, coil)
    wrong = covers(build, coil, seat)
    (circle,) = refitting_of(build).circles
    assert circle.strike.id == wrong.pk
    assert "came off as number 3, after the seat (number 1)" in circle.why
    assert [c.strike.id for c in access_to(tank).circles] == [wrong.pk]


def test_a_circle_about_to_close_names_what_stands_against_it(build: Build) -> None:
    seat, tank, coil = parts_of(build, "seat", "tank", "coil")
    covers(build, seat, tank)
    guess = covers(build, tank, coil, guessed=True)
    circle = circle_with(coil, seat)
    assert circle is not None
    assert circle.strike.id == guess.pk
    assert circle_with(seat, coil) is None


# -- asked kindly and little -----------------------------------------------------------------------------------


def test_the_part_that_came_off_right_before_is_guessed_to_cover(build: Build) -> None:
    seat = off(build, "seat", 1)
    tank = off(build, "tank", 2)
    guess = guess_cover(tank)
    assert guess is not None
    assert (guess.cover, guess.guessed) == (seat, True)
    assert open_questions(build) == [guess]
    assert access_to(tank).guessed == {seat.pk}


@pytest.mark.parametrize(
    ("name", "number", "day", "chapter"),
    [
        ("tank", 2, 2, "chassis"),  # another day
        ("tank", 2, 1, "fuel"),  # another chapter
        ("right side cover", 2, 1, "chassis"),  # the other of a pair
    ],
)
def test_where_nothing_is_guessed(build: Build, name: str, number: int, day: int, chapter: str) -> None:
    off(build, "left side cover", 1)
    assert guess_cover(off(build, name, number, day, chapter)) is None


def test_a_guess_that_was_refused_is_not_asked_again(build: Build) -> None:
    off(build, "seat", 1)
    tank = off(build, "tank", 2)
    guess = guess_cover(tank)
    assert guess is not None
    guess.delete()
    assert guess_cover(tank) is None


def test_a_part_somebody_has_spoken_about_is_not_guessed_about(build: Build) -> None:
    rack, seat, tank = (off(build, name, number) for number, name in enumerate(("rack", "seat", "tank"), 1))
    covers(build, rack, tank)
    assert guess_cover(tank) is None
    assert guess_cover(seat) is not None


def test_a_guess_never_closes_a_circle(build: Build) -> None:
    rack, seat, tank = (off(build, name, number) for number, name in enumerate(("rack", "seat", "tank"), 1))
    covers(build, tank, rack)
    covers(build, rack, seat)
    assert guess_cover(tank) is None


def test_a_long_strip_down_asks_three_questions_and_no_more(build: Build) -> None:
    with history.writing("Jory", "All off"):
        for number in range(1, 31):
            guess_cover(off(build, f"piece {number}", number))
    assert len(open_questions(build)) == 3
