"""The demo is whole: its counts, its references, its history, and what a newcomer asks of it."""

from __future__ import annotations

import re
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from django.utils import timezone

from tickover.chapters.electrics.loom import document
from tickover.faultfinding.search import Found
from tickover.faultfinding.simulate import Answering
from tickover.records import demo, history, photo_files
from tickover.records.access import to_reach
from tickover.records.as_plan import plan_of
from tickover.records.as_search import search_of
from tickover.records.kits import compared
from tickover.records.models import (
    Build,
    Change,
    FastenerSet,
    FaultReading,
    FaultSearch,
    JobCard,
    Limit,
    LoomComponent,
    NeededReading,
    Part,
    Photo,
    Purchase,
    Reading,
    Stint,
    Store,
    WireEnd,
    WireTag,
)
from tickover.records.models.words import Chapter, Milestone
from tickover.records.verdicts import standing
from tickover.units import BadInput, parse

pytestmark = pytest.mark.django_db

# -- counts --------------------------------------------------------------------------------------------------


def test_there_is_as_much_of_it_as_a_real_strip_down_leaves(heron: Build) -> None:
    counts = {kind: kind.objects.filter(build=heron).count() for kind in (Part, FastenerSet, Photo, JobCard, Stint)}
    assert 110 <= counts[Part] <= 145
    assert (counts[FastenerSet], counts[Photo], counts[JobCard], counts[Stint]) == (25, 30, 25, 12)
    assert WireTag.objects.filter(build=heron).count() >= 60
    assert Reading.objects.filter(build=heron).count() >= 40
    assert Limit.objects.filter(build=heron).count() >= 30
    assert 20 <= Store.objects.filter(build=heron).count() <= 35
    assert LoomComponent.objects.filter(build=heron).count() >= 25
    assert len(demo.loom()["wires"]) >= 45


def test_every_chapter_has_parts(heron: Build) -> None:
    assert set(Part.objects.filter(build=heron).values_list("chapter", flat=True)) == set(Chapter.values)


def test_it_loads_in_time_for_make_run(loaded: tuple[Build, float]) -> None:
    """Processor time, so that other tests beside it do not count; 2 s where this was written."""
    assert loaded[1] < 5


def test_loading_twice_is_refused_and_changes_nothing(heron: Build) -> None:
    before = Part.objects.count(), Change.objects.count()
    with pytest.raises(BadInput, match=r"Penhallow Heron 450.*already"):
        demo.load()
    assert (Part.objects.count(), Change.objects.count()) == before


# -- it hangs together ---------------------------------------------------------------------------------------


def test_a_part_is_in_a_place_or_on_the_bike_or_on_its_way(heron: Build) -> None:
    for part in Part.objects.filter(build=heron):
        if part.now in ("on the bike", "fitted", "on order"):
            assert part.place is None, part
        else:
            assert part.place is not None or part.condition == "missing", part


def test_a_joint_that_is_together_is_on_the_bike(heron: Build) -> None:
    for joint in FastenerSet.objects.filter(build=heron).select_related("holds"):
        assert (joint.joint == "apart") == (not joint.holds.is_on), joint
        assert (joint.joint == "apart") == (joint.place is not None), joint
        if joint.joint in ("torqued", "witness-marked"):
            assert joint.torque, joint
            assert joint.torque_from, joint
    states = list(FastenerSet.objects.filter(build=heron).values_list("joint", flat=True))
    assert states.count("finger-tight") >= 3
    assert {"apart", "torqued", "witness-marked"} <= set(states)


def test_what_came_off_is_numbered_without_a_gap_and_in_the_order_of_the_days(heron: Build) -> None:
    off = list(Part.objects.filter(build=heron, came_off_order__isnull=False).order_by("came_off_order"))
    assert [part.came_off_order for part in off] == list(range(1, len(off) + 1))
    days = [part.came_off for part in off]
    assert days == sorted(days)
    assert set(days) <= {stint.started.date() for stint in Stint.objects.filter(build=heron)}


def test_covers_run_three_deep_and_never_in_a_circle(heron: Build) -> None:
    chains = {part.name: [cover.name for cover in to_reach(part)] for part in Part.objects.filter(build=heron)}
    assert chains["left piston"] == ["tank", "rocker cover", "cylinder head", "cylinder block"]
    assert all(name not in chain for name, chain in chains.items())


def test_readings_and_photos_were_taken_in_their_stint(heron: Build) -> None:
    for record in (*Reading.objects.filter(build=heron), *Photo.objects.filter(build=heron)):
        assert record.stint.started <= record.taken_at <= record.stint.ended, record


def test_photos_are_safe_pictures_two_of_them_held_upright(heron: Build) -> None:
    from PIL import Image

    turned = 0
    for photo in Photo.objects.filter(build=heron):
        path = photo_files.path_of(photo.sha256, photo.kind)
        assert 40_000 < path.stat().st_size < 160_000, photo
        with Image.open(path) as image:
            turned += image.getexif().get(0x0112) == 6
        assert photo.width > photo.height
        for balloon in photo.balloons.all():
            assert balloon.target or balloon.remark
    assert turned == 2
    assert Photo.objects.filter(build=heron).values("sha256").distinct().count() == 30


def test_drawing_twice_gives_the_same_file() -> None:
    from tickover.records.demo.draw_photos import draw

    first = demo.data("photos")["photo"][0]
    assert draw(first)[0] == draw(first)[0]


def test_every_balloon_sits_on_what_its_scene_draws_there(heron: Build) -> None:
    photo = Photo.objects.get(build=heron, shows="Both bores, block from above")
    left, right = photo.balloons.order_by("number")
    assert left.x < 0.5 < right.x
    assert left.y == right.y


def test_wires_are_drawn_in_the_colours_on_record(heron: Build) -> None:
    on_record = dict(WireTag.objects.filter(build=heron).values_list("mark", "colours"))
    drawn = [item["with"] for item in demo.data("photos")["photo"] if "codes" in item.get("with", {})]
    assert len(drawn) >= 4
    for page in drawn:
        assert [on_record[mark] for mark in page["marks"]] == page["codes"]


def test_stints_do_not_overlap_and_one_gap_is_fourteen_months(heron: Build) -> None:
    stints = list(Stint.objects.filter(build=heron).order_by("started"))
    gaps = [later.started - earlier.ended for earlier, later in pairwise(stints)]
    assert min(gaps) > timedelta(0)
    assert sorted(gaps)[-2] < timedelta(days=200)
    assert timedelta(days=14 * 30) < max(gaps) < timedelta(days=15 * 31)
    assert all(stint.stopped_at and stint.next_up for stint in stints)


def test_verdicts_are_of_all_four_kinds(heron: Build) -> None:
    verdicts = [row.verdict.verdict for row in standing(Limit.objects.filter(build=heron).select_related("build"))]
    assert set(verdicts) == {"inside", "outside", "too close to call", "not measured"}
    assert verdicts.count("not measured") >= 5


def test_every_reading_is_the_figure_that_was_typed(heron: Build) -> None:
    for reading in Reading.objects.filter(build=heron):
        assert reading.value == pytest.approx(parse(reading.typed, reading.dimension).value)
        assert reading.plus_minus > 0
        assert reading.limit is None or reading.limit.dimension == reading.dimension


def test_signed_off_cards_are_done_and_their_readings_taken(heron: Build) -> None:
    signed = JobCard.objects.filter(build=heron, signed_off_at__isnull=False)
    assert signed.count() >= 5
    for card in signed:
        assert not card.steps.filter(done_at=None).exists(), card
        assert not card.needed_readings.filter(reading=None).exists(), card
        assert not card.comes_after.filter(first__signed_off_at=None).exists(), card
    assert all(card.steps.exists() for card in JobCard.objects.filter(build=heron))


def test_where_work_can_hurt_the_card_says_so(heron: Build) -> None:
    hurts = re.compile(r"\b(brake|steering|weld|lift|fuel|carburett|crank|timing|start|tank|fork|swing-arm)", re.I)
    for card in JobCard.objects.filter(build=heron):
        steps = " ".join(card.steps.values_list("says", flat=True))
        if hurts.search(card.title) and card.title not in ("Put the top end together",):
            assert card.caution, card
        if re.search(r"acid|bleed|hoist|sling|petrol", steps, re.I):
            assert card.caution, card


def test_structure_brakes_and_steering_are_left_to_the_qualified(heron: Build) -> None:
    for card in JobCard.objects.filter(build=heron):
        if card.chapter == "brakes" or re.search(r"rear loop|steering|fork|swing-arm", card.title, re.I):
            for guard in ("licensed engineer", "qualified inspection", "local vehicle rules"):
                assert guard in card.caution, card


# -- the way to the first start ------------------------------------------------------------------------------


def test_the_way_to_the_first_start_is_short_and_begins_with_the_fault(heron: Build) -> None:
    plan = plan_of(heron, Milestone.FIRST_START)
    assert 5 <= len(plan.needed) <= 8
    assert plan.needed[0].ready
    assert plan.needed[0].job.title == "Find out why it does not fire"
    assert plan.needed[-1].job.title == "First start"


@pytest.mark.parametrize("milestone", Milestone.values)
def test_no_plan_goes_in_a_circle(heron: Build, milestone: str) -> None:
    plan = plan_of(heron, milestone)
    assert not plan.circles
    assert len(plan.needed) == {"first start": 6, "rolling chassis": 13, "road-ready": 16}[milestone]


def test_the_carburettor_card_waits_for_the_level_of_both_bowls(heron: Build) -> None:
    needed = NeededReading.objects.filter(build=heron, card__title__startswith="Read the fuel level")
    assert {row.name for row in needed} == {"fuel level, left bowl", "fuel level, right bowl"}
    assert all(row.limit and row.reading is None for row in needed)


def test_lash_ups_are_on_record_and_none_is_counted_for_the_road(heron: Build) -> None:
    lash_ups = Part.objects.filter(build=heron, lash_up=True)
    assert {"fuel bottle", "in-line fuel filter", "battery board"} <= {part.name for part in lash_ups}
    assert all(part.needed_for in ("", "first start") for part in lash_ups)
    assert WireTag.objects.filter(build=heron, lash_up=True).exists()


def searched(record: FaultSearch, bike: Answering) -> tuple[Found, int]:
    """Take each reading that the search on record asks for first, until it has found something."""
    while (found := search_of(record).found) is None:
        test = search_of(record).next[0].test
        FaultReading(build=record.build, search=record, test=test, value=bike.value(test)).save()
        assert record.readings.count() < 20
    return found, record.readings.count()


def test_the_search_on_record_finds_first_the_one_planted_fault_and_then_the_other(heron: Build) -> None:
    planted, loom = demo.data("planted"), document.read(demo.loom())
    first = FaultSearch(build=heron, complaint=planted["complaint"])
    first.save()
    found, readings = searched(first, Answering(loom, [planted["first"], planted["behind"]]))
    assert planted["first"] in found.faults
    assert readings <= 7
    behind = FaultSearch(build=heron, complaint=planted["complaint"], mended_before=list(found.faults))
    behind.save()
    found, _ = searched(behind, Answering(loom, [planted["behind"]]))
    assert planted["behind"] in found.faults


def test_no_page_reads_what_is_planted() -> None:
    source = Path(demo.__file__).parents[2]
    reads = [path for path in source.rglob("*.py") if re.search(r"planted", path.read_text(encoding="utf-8"))]
    assert not [path for path in reads if "shed" in path.parts]


# -- what a newcomer asks ------------------------------------------------------------------------------------


def test_where_is_the_left_side_cover(heron: Build) -> None:
    place = Part.objects.get(build=heron, name="left side cover").place
    assert [step.mark for step in place.path()] == ["loft", "box 8"]


def test_which_bolts_hold_the_starter_and_to_what_torque(heron: Build) -> None:
    (bolts,) = Part.objects.get(build=heron, name="starter motor").fasteners.all()
    assert (bolts.count, bolts.thread, bolts.length) == (2, "M6 x 1.0", pytest.approx(0.030))
    assert bolts.torque == pytest.approx(10.0)
    assert bolts.torque_from.startswith("workshop book p.")


def test_what_was_the_last_thing_done(heron: Build) -> None:
    last = Stint.objects.filter(build=heron).first()
    assert last.ended.date().isoformat() == "2026-10-17"
    assert "cranks" in last.stopped_at
    assert "does not fire" in last.stopped_at
    assert not re.search(r"earth|ground|filter|ring terminal", last.stopped_at + last.next_up + last.not_safe)


def test_what_must_be_ordered(heron: Build) -> None:
    by_state = {
        state: Purchase.objects.filter(build=heron, state=state) for state in ("to order", "on order", "arrived")
    }
    assert by_state["to order"].count() >= 3
    assert by_state["on order"].count() >= 2
    assert by_state["arrived"].exists()
    assert all(row.ordered_on and row.expected_on > row.ordered_on for row in by_state["on order"])
    assert all(row.card or row.part for rows in by_state.values() for row in rows)


def test_what_is_only_finger_tight(heron: Build) -> None:
    loose = set(FastenerSet.objects.filter(build=heron, joint="finger-tight").values_list("name", flat=True))
    assert {"header clamp nuts", "intake clamps", "engine mounting bolt, rear lower"} <= loose


def test_what_does_wire_tag_17_join(heron: Build) -> None:
    ends = WireEnd.objects.filter(build=heron, tag__mark="17").select_related("component")
    assert {f"{end.component.ident}.{end.pin}" for end in ends} == {"IGN.31", "SP3.b"}


def test_some_tags_have_one_end_and_some_no_known_function(heron: Build) -> None:
    tags = WireTag.objects.filter(build=heron)
    assert sum(tag.ends.count() == 1 for tag in tags) >= 5
    loose = [tag for tag in tags if not any(end.is_known for end in tag.ends.all())]
    assert sum(not tag.function for tag in loose) >= 3


def test_an_inspection_and_a_kit_are_there_to_look_at(heron: Build) -> None:
    inspection = heron.inspections.get()
    assert inspection.lines.count() == 9
    for line in inspection.lines.select_related("reading"):
        assert (line.name, line.limit_id, line.part_id) == (
            line.reading.name,
            line.reading.limit_id,
            line.reading.part_id,
        )
    seat = next(row for row in compared(heron.kits.get()) if row.item.name == "needle seat")
    [effect] = seat.effects
    # areas are as the squares of the diameters: 180 against 150 is 1.44
    assert next(figure for figure in effect.figures if figure.name == "flow").share == "+44.0 %"


# -- history -------------------------------------------------------------------------------------------------


def test_the_last_stints_left_their_history_at_their_dates(heron: Build) -> None:
    changes = list(Change.objects.filter(build=heron))
    assert len(changes) >= 8
    assert {change.who for change in changes} == {"Wen"}
    assert max(change.when for change in changes) < timezone.now()
    assert {change.when.date().isoformat() for change in changes} == {
        "2026-04-18",
        "2026-09-05",
        "2026-10-17",
    }
    assert all(change.lines.exists() for change in changes)
    starter = changes[[change.says.startswith("Starter motor on") for change in changes].index(True)]
    assert {(line.kind, line.name) for line in starter.lines.all()} == {
        ("part", "starter motor"), ("fastenerset", "starter to crankcase"),
    }  # fmt: skip


def test_the_last_change_is_the_handover_and_can_be_taken_back(heron: Build) -> None:
    last = history.last_change(heron.pk)
    assert last is not None
    assert last.says == "Stint ended, handover written"
    history.take_back(last, "somebody")
    stint = Stint.objects.filter(build=heron).first()
    assert stint.ended is None
    assert stint.stopped_at == ""


def test_taking_everything_back_leads_to_the_state_before_the_last_stints(heron: Build) -> None:
    while (last := history.last_change(heron.pk)) is not None:
        history.take_back(last)
    starter = Part.objects.get(build=heron, name="starter motor")
    assert starter.now == "in stores"
    assert starter.place.mark == "bag 3"
    assert not Reading.objects.filter(build=heron, name__startswith="compression").exists()


# -- nothing real --------------------------------------------------------------------------------------------


def test_every_name_in_it_is_one_that_was_made_up() -> None:
    """A capital inside a sentence is a name; those here are made up, or are days and months."""
    made_up = {"Penhallow", "Heron", "Pasco", "Wen"}
    common = {
        "January",
        "April",
        "September",
        "Sep",
        "October",
        "Oct",
        "November",
        "Saturday",
        "I",
        "M",
        "Ask",
        "V",
        "A",
    }
    folder = Path(demo.__file__).parent
    names: set[str] = set()
    for path in (*folder.glob("data/*.toml"), folder / "loom.json"):
        text = "\n".join(line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
        names |= set(re.findall(r"(?<=[a-z,] )[A-Z][a-z]+\b", text))
    assert names - common <= made_up
