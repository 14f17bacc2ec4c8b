"""The usual caution of a card that has none of its own, and of a plan."""

from __future__ import annotations

from tickover.chapters.cautions import (
    BATTERY,
    BRAKES,
    CRANKING,
    HIGH_TENSION,
    PETROL_VAPOUR,
    RUNNING_INDOORS,
    STEERING,
    STRUCTURE,
    TURNING_PARTS,
)
from tickover.records.models import JobCard
from tickover.records.models.words import Chapter, Milestone

USUAL = {
    Chapter.ENGINE: CRANKING,
    Chapter.FUEL: PETROL_VAPOUR,
    Chapter.IGNITION: HIGH_TENSION,
    Chapter.ELECTRICS: BATTERY,
    Chapter.CHASSIS: STEERING,
    Chapter.BRAKES: BRAKES,
    Chapter.FINAL_DRIVE: TURNING_PARTS,
    Chapter.EXHAUST: RUNNING_INDOORS,
    Chapter.FABRICATION: STRUCTURE,
}

ON_RECORD_ONLY = (
    "This plan knows only what is on record. It does not replace a licensed engineer, a qualified inspection "
    "of brakes, steering and welded structure, or the vehicle rules of your country."
)


def of_card(card: JobCard) -> str:
    """What is written on the card itself, or the usual caution of its chapter."""
    return card.caution or USUAL.get(Chapter(card.chapter), "")


def of_plan(milestone: str) -> str:
    return f"{RUNNING_INDOORS} {PETROL_VAPOUR}" if milestone == Milestone.FIRST_START else ON_RECORD_ONLY
