"""Minutes that a test takes at the bike: what must come off first, the probe, the switches, the note."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from tickover.chapters import causes
from tickover.chapters.electrics.loom.document import Loom
from tickover.faultfinding.naming import Test

NOTE_MINUTES = 0.5
"""Setting the switches, reading the step, writing the answer down: every test."""
KIND_MINUTES = {"volts": 1.0, "lamp": 1.0, "ohms": 2.0, "seen": 0.5}
"""Probe in and read; the same with a lamp; battery lead off, both probes, lead on again; a look."""
SPARK_MINUTES = 1.0
"""A plug cap off, a known good plug in it, held to the engine."""
CRANKING_MINUTES = 0.5
"""A second pair of hands or a long lead, and the battery's rest afterwards."""


@dataclass(frozen=True)
class Reach:
    """What it takes to get at a test's pins: minutes, and the names of what comes off."""

    minutes: float
    takes_off: tuple[str, ...]


def reach(loom: Loom, test: Test, off: Collection[str], reached: Collection[str]) -> Reach:
    """What must still come off for this test. `off` names what is off already, `reached` components already got at."""
    minutes, takes = 0.0, dict[str, None]()
    if test.kind == "seen":
        return Reach(0.0, ())
    for part_id in dict.fromkeys(pin.partition(".")[0] for pin in test.what):
        part = loom.component(part_id)
        if part_id in reached:
            continue
        still = [name for name in part.behind if name not in off and name not in takes]
        if part.behind:
            minutes += (part.reach_minutes or 0.0) * len(still) / len(part.behind)
            takes.update(dict.fromkeys(still))
        else:
            minutes += part.reach_minutes or 0.0
    return Reach(minutes, tuple(takes))


def opened_by(loom: Loom, tests: Iterable[Test]) -> tuple[set[str], set[str]]:
    """What earlier readings have taken off, and which components they reached."""
    off: set[str] = set()
    reached: set[str] = set()
    for test in tests:
        if test.kind == "seen":
            continue
        for pin in test.what:
            part = loom.component(pin.partition(".")[0])
            reached.add(part.id)
            off.update(part.behind)
    return off, reached


def minutes(test: Test, reach_minutes: float, *, cranking: bool) -> float:
    """Minutes of one test, what comes off included."""
    if test.is_observation:
        return NOTE_MINUTES + causes.OBSERVATIONS[test.what[0]].minutes
    work = KIND_MINUTES[test.kind]
    if test.kind == "seen" and test.what[0].startswith("spark"):
        work = SPARK_MINUTES
    return NOTE_MINUTES + work + (CRANKING_MINUTES if cranking else 0.0) + reach_minutes
