"""The usual caution for the chapters in which a wrong part or a loose bolt hurts somebody."""

from __future__ import annotations

_INSPECTION = " These pages do not replace a licensed engineer, a qualified inspection and local vehicle rules."
_CAUTIONS = {
    "brakes": (
        "A brake put together wrongly fails when it is needed. Follow the maker's figures and order, "
        "fit new sealing washers and split pins, and have the brakes checked before the first ride."
    ),
    "chassis": (
        "Frame, steering, suspension and wheels carry the rider. Stand the bike so that it cannot fall, "
        "use the maker's figures, and have the work checked before the first ride."
    ),
    "fabrication": (
        "A weld or a bracket that carries load can crack without warning. Have such work designed and "
        "checked by somebody qualified."
    ),
    "fuel": (
        "Petrol vapour catches fire from a spark a room away. Keep the door open, flames and sparks out, "
        "the battery off and a fire extinguisher at hand, and catch every drop in a closed can."
    ),
    "ignition": (
        "The high-tension side can knock a person over. Switch off before touching it, and earth the plugs "
        "whenever the engine is turned."
    ),
    "electrics": (
        "A battery drives hundreds of amperes through a dropped spanner. Take its negative lead off first "
        "and put it on last."
    ),
}
_STRUCTURAL = ("brakes", "chassis", "fabrication")


def inspection(chapter: str) -> str:
    """What a result about brakes, chassis or welded work does not replace; empty for the other chapters."""
    return _INSPECTION.strip() if chapter in _STRUCTURAL else ""


def caution_for(chapter: str) -> str:
    """The caution of a chapter; empty where there is none."""
    return _CAUTIONS.get(chapter, "") + (_INSPECTION if chapter in _STRUCTURAL else "")
