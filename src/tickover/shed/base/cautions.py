"""The usual caution on the page of a record, by its chapter. The words stand once, in ``chapters/cautions.py``."""

from __future__ import annotations

from tickover.chapters.cautions import BATTERY, BRAKES, HIGH_TENSION, NO_APPROVAL, PETROL_VAPOUR, STRUCTURE

_CAUTIONS = {
    "brakes": BRAKES,
    "chassis": STRUCTURE,
    "fabrication": STRUCTURE,
    "fuel": PETROL_VAPOUR,
    "ignition": HIGH_TENSION,
    "electrics": BATTERY,
}


def inspection(chapter: str) -> str:
    """What a result about brakes, chassis or welded work does not replace; empty for the other chapters."""
    return NO_APPROVAL if chapter in ("brakes", "chassis", "fabrication") else ""


def caution_for(chapter: str) -> str:
    """The caution of a chapter; empty where there is none."""
    return _CAUTIONS.get(chapter, "")
