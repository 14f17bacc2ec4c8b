"""Job card templates: every one is whole, careful, and written once for each thing it is done to."""

from __future__ import annotations

import pytest

from tickover.chapters import cautions
from tickover.planning import card_templates
from tickover.planning.card_templates import CardTemplate, all_templates, baths, names_of
from tickover.records.models.words import Chapter, Milestone
from tickover.units import DIMENSIONS, BadInput

TEMPLATES = list(all_templates().values())

THE_USUAL_JOBS = {
    "carburettor", "ultrasonic_bath", "blasting", "plug_leads", "first_start", "fork", "wheel_bearings",
    "steering_head", "brake_rebuild", "valve_clearances", "clutch", "wheel_truing", "chain", "painting", "tank",
    "shakedown",
}  # fmt: skip

MUST_WARN = {
    "carburettor": ["PETROL_VAPOUR", "CLEANING_CHEMICALS"],
    "ultrasonic_bath": ["CLEANING_CHEMICALS"],
    "tank": ["PETROL_VAPOUR"],
    "first_start": ["CRANKING", "PETROL_VAPOUR", "HIGH_TENSION", "RUNNING_INDOORS", "BATTERY"],
    "valve_clearances": ["CRANKING"],
    "plug_leads": ["HIGH_TENSION"],
    "blasting": ["BLASTING"],
    "painting": ["PAINT_MIST"],
    "fork": ["SPRING_LOAD", "LIFTING"],
    "steering_head": ["LIFTING"],
    "wheel_bearings": ["LIFTING", "HOT"],
    "clutch": ["FIBRES"],
    "brake_rebuild": ["BRAKE_FLUID", "FIBRES"],
    "drum_brake": ["FIBRES"],
}


@pytest.fixture(params=TEMPLATES, ids=lambda template: template.id)
def template(request: pytest.FixtureRequest) -> CardTemplate:
    return request.param


def test_the_usual_jobs_are_there() -> None:
    assert set(all_templates()) >= THE_USUAL_JOBS


def test_it_is_whole_and_fits_a_card(template: CardTemplate) -> None:
    assert template.chapter in Chapter.values
    assert template.needed_for in ("", *Milestone.values)
    assert 0 < template.hours < 40
    assert 5 <= len(template.steps) <= 15
    assert template.why.endswith(".")
    assert max(len(template.tools), len(template.consumables)) <= 300
    assert min(len(template.tools), len(template.consumables)) > 5
    for reading in template.readings:
        assert reading.dimension in DIMENSIONS
        assert len(reading.name) <= 160
    for part in template.parts:
        assert part.role in ("fits", "needs")


def test_it_carries_its_cautions_once(template: CardTemplate) -> None:
    for name in MUST_WARN.get(template.id, ()):
        assert getattr(cautions, name) in template.caution, name
    assert template.caution
    sentences = [sentence for sentence in template.caution.split(". ") if len(sentence) > 20]
    assert len(sentences) == len(set(sentences))


def test_steering_brakes_and_structure_replace_no_inspection(template: CardTemplate) -> None:
    if template.chapter in ("chassis", "brakes", "fabrication", "final_drive"):
        assert template.caution.count("does not replace a licensed engineer, a qualified inspection") == 1
        assert "vehicle rules of your country" in template.caution


def test_each_is_written_once_for_every_one(template: CardTemplate) -> None:
    for each in ([""], ["left", "right"], ["no. 1", "no. 2", "no. 3"]):
        steps, readings = template.steps_for(each), template.readings_for(each)
        assert not any("{" in line for line in [*steps, *(reading.name for reading in readings)])
        spread = sum("{each}" in step for step in template.steps)
        assert len(steps) == len(template.steps) + spread * (len(each) - 1)
        assert len({reading.name for reading in readings}) == len(readings)
        assert bool(template.each) == bool(spread or any("{each}" in one.name for one in template.readings))


def test_a_carburettor_card_asks_for_the_level_of_each_bowl() -> None:
    readings = [one.name for one in card_templates.get("carburettor").readings_for(["left", "right"])]
    assert {"fuel level, left bowl", "fuel level, right bowl"} <= set(readings)


def test_the_bath_stands_in_its_step() -> None:
    steps = "\n".join(card_templates.get("ultrasonic_bath").steps)
    for bath in baths():
        assert str(bath) in steps
        assert "assumed" in bath.source or ":" in bath.source


@pytest.mark.parametrize("typed", ["", " , ", "0", "13", "left, left", "x" * 41, ",".join("abcdefghijklm")])
def test_which_ones_must_be_told_apart(typed: str) -> None:
    with pytest.raises(BadInput):
        names_of(typed, "bowl")


def test_an_unknown_template_is_one_sentence() -> None:
    with pytest.raises(BadInput, match="no template “rocket”"):
        card_templates.get("rocket")
