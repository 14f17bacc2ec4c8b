"""Every single fault of the demo's loom, and every cause outside it, searched for from its own complaint.

Each fault is planted, complained of by the first thing it makes the bike do wrong, and every test the search
asks for is answered as that bike would. What changes nothing to see, hear or start by has no complaint.
"""

from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest

from tickover.chapters.electrics.loom.document import Loom, load
from tickover.faultfinding.bike import Bike, Settings, of_kind
from tickover.faultfinding.hypotheses import Hypothesis
from tickover.faultfinding.naming import Test, settings_key
from tickover.faultfinding.search import Search
from tickover.faultfinding.simulate import Answering, walk
from tickover.faultfinding.table import Document, garage

RIGHT = 0.98
MEAN_READINGS = 8.0
DEMO = Path(__file__).parents[2] / "src" / "tickover" / "records" / "demo" / "loom.json"


def _settings(loom: Loom, starting: Settings) -> list[Settings]:
    """To start by either interlock, all at rest, and each switch moved with the key on or off."""
    bases: list[dict[str, str]] = [dict(starting), {"KEY": "on"}, {}]
    moved = [
        settings_key(loom, base | {part.id: position})
        for base in bases
        for part in of_kind(loom, "switch")
        for position in part.positions
    ]
    interlock = settings_key(loom, dict(starting) | {"CLUTCH": "in", "NEUTRAL": "gear"})
    high = settings_key(loom, {"KEY": "on", "LIGHT": "on", "DIP": "high"})
    return list(dict.fromkeys([starting, interlock, high, *moved]))


def _own_complaint(loom: Loom, bike: Bike, sound: Bike, where: list[Settings]) -> str | None:
    """The first thing this bike does that the sound one does not, or the other way round."""
    engine = ["cranks", "spark", *(f"spark.{c.id}" for c in of_kind(loom, "ignition_coil")), "fires"]
    shown = [f"lit.{b.id}" for b in of_kind(loom, "bulb")] + ["sounds.HORN"]
    for what, settings in [(w, s) for s in where[:3] for w in engine] + [(w, s) for s in where for w in shown]:
        wrong = bike.seen(what, settings)
        if wrong != sound.seen(what, settings):
            return f"{Test('seen', (what,), settings)}={'yes' if wrong else 'no'}"
    return None


@cache
def complaints() -> dict[str, list[Hypothesis]]:
    """Every complaint with the hypotheses that are searched for from it; "" for those that nobody notices."""
    loom = load(DEMO)
    bikes = garage(Document.of(loom))
    assert bikes.starting is not None
    where = _settings(loom, bikes.starting)
    by_complaint: dict[str, list[Hypothesis]] = defaultdict(list)
    for hypothesis, bike in zip(bikes.hypotheses, bikes.bikes, strict=True):
        by_complaint[_own_complaint(loom, bike, bikes.sound, where) or ""].append(hypothesis)
    return by_complaint


@pytest.mark.parametrize("shows_in", ["cranks", "spark or fires", "lights and horn"])
def test_every_fault_that_shows_ends_at_its_repair(
    demo: Loom, shows_in: str, capsys: pytest.CaptureFixture[str]
) -> None:
    trials, readings, minutes, missed = 0, 0, 0.0, []
    for complaint, hypotheses in complaints().items():
        what = complaint.removeprefix("seen:")
        part = "cranks" if what.startswith("cranks") else "spark or fires"
        if not complaint or (part if what[:5] in ("crank", "spark", "fires") else "lights and horn") != shows_in:
            continue
        searches: dict[tuple[str, ...], Search] = {}
        for hypothesis in hypotheses:
            taken = walk(demo, complaint, Answering(demo, [hypothesis.name]), searches=searches)
            trials += 1
            readings += len(taken.readings)
            minutes += taken.minutes
            if hypothesis.name not in taken.faults:
                missed.append(f"{hypothesis.name} from {complaint}")
    right, mean = 1.0 - len(missed) / trials, readings / trials
    with capsys.disabled():
        print(
            f"\n{shows_in}: {trials} faults, {right:.1%} end at the right repair, in {mean:.2f} readings "
            f"and {minutes / trials:.1f} minutes on average; missed: {missed}"
        )
    assert trials > 80
    assert right >= RIGHT
    assert mean <= MEAN_READINGS


def test_what_nobody_notices_does_no_harm_to_starting_or_lights(demo: Loom) -> None:
    """Faults without a complaint have a spare beside them (two brake switches) or are too slight to show."""
    silent = {h.name for h in complaints()[""]}
    assert "open:W1" not in silent
    assert "open:HTL" not in silent
    assert "open:FRAME.coil_bracket" not in silent
