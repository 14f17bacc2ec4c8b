"""Answers as a bike with certain faults would give them: for tests, benchmarks and practice."""

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tickover.chapters import causes
from tickover.chapters.electrics.loom import faults
from tickover.chapters.electrics.loom.document import Loom
from tickover.faultfinding.bike import Bike
from tickover.faultfinding.evidence import meter_volts
from tickover.faultfinding.naming import OPEN_LINE, Test, parse_test
from tickover.faultfinding.search import Search
from tickover.faultfinding.table import Document, garage
from tickover.units import BadInput


class Answering:
    """A bike that answers tests. `broken` names faults of the loom and causes outside it, any number of each.

    With `noise` (a seed) volts carry the meter's spread; without it they are exact.
    """

    def __init__(self, loom: Loom, broken: Sequence[str], noise: int | None = None) -> None:
        self.loom = loom
        outside = [name for name in broken if name in causes.CAUSES]
        if len(outside) > 1:
            raise BadInput(f"{' and '.join(outside)} are both outside the wiring; give one of them at a time")
        inside = tuple(faults.parse(name, loom) for name in broken if name not in causes.CAUSES)
        self.bike = Bike(loom, inside, outside[0] if outside else None)
        self._starting = garage(Document.of(loom)).starting or ()
        self._random = random.Random(noise) if noise is not None else None

    def value(self, test: Test | str) -> str:
        """What this bike shows, as the value of a reading."""
        if isinstance(test, str):
            test = parse_test(test, self.loom)
        if test.answers:
            shows = self.bike.answer(test, self._starting)
            return max(shows, key=lambda answer: shows[answer])
        if test.kind == "ohms":
            ohms = self.bike.ohms(test.what[0], test.what[1], test.settings)
            return "OL" if ohms == OPEN_LINE else f"{ohms:.4g}"
        centre, _ = self.bike.volts(test.settings)
        volts = float(centre[self.bike.pins.index(test.what[0])])
        if self._random is not None:
            volts += self._random.gauss(0.0, float(meter_volts(np.array([volts]))[0]))
        return f"{volts:.3f}"


@dataclass(frozen=True)
class Walk:
    """A search taken to its end: the readings on the way and where it stopped."""

    search: Search
    readings: tuple[str, ...]
    minutes: float

    @property
    def faults(self) -> tuple[str, ...]:
        return self.search.found.faults if self.search.found is not None else ()


def walk(
    loom: Loom,
    complaint: str,
    bike: Answering,
    *,
    readings: Sequence[str] = (),
    most: int = 30,
    mended: Sequence[str] = (),
    searches: dict[tuple[str, ...], Search] | None = None,
) -> Walk:
    """Take the first test offered, answer it as this bike would, and go on until the search stops.

    `searches` keeps searches by their readings, for walks of one complaint that share their first steps.
    """
    kept: dict[tuple[str, ...], Search] = {} if searches is None else searches
    taken = tuple(readings)
    minutes = 0.0

    def so_far() -> Search:
        if taken not in kept:
            kept[taken] = Search(loom, complaint, taken, mended=mended)
        return kept[taken]

    while (step := so_far().best) is not None and len(taken) - len(readings) < most:
        minutes += step[1]
        taken = (*taken, f"{step[0]}={bike.value(step[0])}")
    return Walk(so_far(), taken[len(readings) :], minutes)
