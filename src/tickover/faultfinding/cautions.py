"""What to take care of with a test at the bike."""

from collections.abc import Iterable

from tickover.chapters import causes
from tickover.chapters.cautions import BATTERY, PETROL_VAPOUR
from tickover.chapters.electrics.loom.document import Loom
from tickover.faultfinding.naming import Test

UNFUSED = ("battery", "starter")
"""Kinds of component whose pins have the battery's full current behind them."""

ENGINE_TURNS = (
    "The engine cranks and may start: neutral, bike firm on its stand, hands and sleeves clear of chain and sprockets, "
    "doors open. Crank for five seconds at most, then let the starter cool."
)
SPARK = (
    "The coils give tens of thousands of volts: insulated pliers, not fingers, and not at all with a pacemaker. "
    "A spark lights petrol vapour: plug holes closed, no open fuel near."
)


def caution(loom: Loom, test: Test, *, cranking: bool) -> str | None:
    """The usual caution of this test, or None where there is nothing beyond a switched-on lamp."""
    if test.is_observation:
        return causes.OBSERVATIONS[test.what[0]].caution
    said = []
    if test.kind == "seen" and test.what[0].startswith("spark"):
        said.append(SPARK)
    unfused = any(loom.component(p.partition(".")[0]).kind in UNFUSED for p in test.what if test.kind != "seen")
    if test.kind == "ohms" or unfused:
        said.append(BATTERY)
    if cranking:
        said.append(ENGINE_TURNS)
    return " ".join(said) or None


def repair_caution(faults: Iterable[str]) -> str | None:
    """The usual caution of mending these: fuel vapour, an engine that turns, the battery for all wiring."""
    said: dict[str, None] = {}
    for fault in faults:
        cause = causes.CAUSES.get(fault)
        if cause is None:
            said[BATTERY] = None
        elif cause.chapter == "fuel":
            said[PETROL_VAPOUR] = None
        elif cause.id == "ignition:timing_off":
            said[causes.TURNING] = None
    return " ".join(said) or None
