"""The tests at hand, and how much each is expected to tell now."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from tickover.chapters.electrics.loom.document import Component, Wire
from tickover.chapters.electrics.loom.kinds import KINDS
from tickover.faultfinding.bike import Settings, of_kind
from tickover.faultfinding.evidence import clusters, ohms_spread, outcome_likelihoods, words_fit
from tickover.faultfinding.information import expected_information
from tickover.faultfinding.naming import OUT_OF_REACH, Reading, Test
from tickover.faultfinding.table import Rows, Table

Array = npt.NDArray[np.float64]

COUNTS = 3e-4
"""Hypotheses below this play no part in choosing a test."""
OHMS_SUSPECTS = 12
"""Resistance is looked at in the parts of so many of the likeliest suspects."""


@dataclass(frozen=True)
class Candidate:
    """A test with the bits it is expected to give. Tests with the same key tell the same."""

    test: Test
    bits: float
    key: tuple[object, ...]


class Candidates:
    """Every test that can be taken now, for one state of a search."""

    def __init__(
        self, table: Table, probabilities: Array, charge: tuple[float, float], readings: Sequence[Reading]
    ) -> None:
        self.table = table
        self._charge = charge
        self._asked = {reading.test for reading in readings}
        shut = [r.test for r in readings if r.value == OUT_OF_REACH]
        self._shut_pins = {pin for test in shut if test.kind != "seen" for pin in test.what}
        self._shut_looks = {test.what for test in shut if test.kind == "seen"}
        self.rows: Rows = np.flatnonzero(probabilities >= min(COUNTS, float(probabilities.max())))
        share = probabilities[self.rows]
        self._p: Array = share / share.sum()
        self._names, self._name_of = np.unique(table.same_as[self.rows], return_inverse=True)
        order = np.argsort(-probabilities, kind="stable")
        self._likeliest = [int(k) for k in order[:OHMS_SUSPECTS] if probabilities[k] >= COUNTS]

    def at_hand(self, test: Test) -> bool:
        """Whether this test may still be taken: not asked yet, and within reach."""
        if test in self._asked:
            return False
        if test.kind == "seen":
            return test.what not in self._shut_looks
        return not any(pin in self._shut_pins for pin in test.what)

    def prediction(self, test: Test, rows: Rows) -> tuple[Array, Array]:
        """Predicted figure and its whole spread for these hypotheses, the state of charge included."""
        if test.kind == "ohms":
            ohms = self.table.ohms(test, rows)
            return ohms, ohms_spread(ohms)
        figures, pin = self.table.figures(test.settings, rows), self.table.pin_at[test.what[0]]
        mean, spread = self._charge
        centre = figures.centre[:, pin] * mean
        return centre, np.hypot(figures.spread[:, pin], spread * centre)

    def worth(self, least: float) -> Iterator[Candidate]:
        """Every test at hand that is expected to tell at least so many bits."""
        for candidate in self._all:
            if candidate.bits >= least:
                yield candidate

    @cached_property
    def _all(self) -> list[Candidate]:
        found = [c for settings in self._settings for c in self._volts(settings)]
        for test in self._looks:
            likelihoods = words_fit(self.table.words(test, self.rows))
            key = (test.what, np.round(likelihoods, 6).tobytes())
            found.append(Candidate(test, self._bits(likelihoods), key))
        for test in self._ohms_tests():
            centre, spread = self.prediction(test, self.rows)
            found.append(Candidate(test, self._figure_bits(centre, spread), (str(test),)))
        return found

    @cached_property
    def _settings(self) -> list[Settings]:
        return self.table.settings(self.rows)

    @cached_property
    def _looks(self) -> list[Test]:
        return [test for test in self.table.looks(self.rows, self._settings) if self.at_hand(test)]

    def _figure_bits(self, centre: Array, spread: Array) -> float:
        groups = clusters(centre, spread)
        if len(groups) < 2:
            return 0.0
        return self._bits(outcome_likelihoods(centre, spread, groups))

    def _bits(self, likelihoods: Array) -> float:
        """Expected information about which hypothesis it is; not about whether a fuse was renewed."""
        if len(self._names) == len(self.rows):
            return expected_information(self._p, likelihoods)
        p = np.bincount(self._name_of, self._p)
        joint = np.zeros((len(self._names), likelihoods.shape[1]))
        np.add.at(joint, self._name_of, self._p[:, None] * likelihoods)
        return expected_information(p, joint / p[:, None])

    def _volts(self, settings: Settings) -> Iterator[Candidate]:
        """Volts on every wired pin in one setting; pins that show the same under every suspect are worked once."""
        figures = self.table.figures(settings, self.rows)
        mean, deviation = self._charge
        pins = self._pins_at_hand(settings)
        centre = figures.centre[:, pins] * mean
        spread = np.hypot(figures.spread[:, pins], deviation * centre)
        telling = np.flatnonzero(np.ptp(centre, axis=0) > 2.0 * spread.min(axis=0))
        known: dict[bytes, float] = {}
        for k in telling:
            test = Test("volts", (self.table.pins[pins[k]],), settings)
            column = np.round(centre[:, k], 1) + 0.0
            key = column.tobytes()
            if key not in known:
                known[key] = self._figure_bits(centre[:, k], spread[:, k])
            yield Candidate(test, known[key], (settings, key))

    def _ohms_tests(self) -> list[Test]:
        """Resistance across the likeliest suspects' own parts, every switch at rest or as in the complaint."""
        loom = self.table.loom
        earth = next((pin for part in of_kind(loom, "ground") for pin in loom.pins[part.id]), None)
        tests: dict[Test, None] = {}
        for k in self._likeliest:
            fault = self.table.hypotheses[k].fault
            if fault is None:
                continue
            for place in fault.on.split(","):
                for first, second in self._across(place, earth):
                    tests[Test("ohms", (first, second))] = None
                    item = loom.by_id[place.partition(".")[0]]
                    if isinstance(item, Component) and item.kind == "switch":
                        tests[Test("ohms", (first, second), self.table.complaint.test.settings)] = None
        return [test for test in tests if self.at_hand(test)]

    def _across(self, place: str, earth: str | None) -> Iterable[tuple[str, str]]:
        loom = self.table.loom
        name, dot, _ = place.partition(".")
        item = loom.by_id[name]
        if isinstance(item, Wire):
            return [(item.start, item.end)]
        if dot:
            far = [(place, w.end if w.start == place else w.start) for w in loom.wires_at.get(place, ())]
            return far + ([(place, earth)] if earth and earth != place else [])
        if item.kind == "switch":
            return [(f"{name}.{a}", f"{name}.{b}") for a, b in item.contacts]
        if item.kind == "relay":
            return [(f"{name}.85", f"{name}.86")]
        through = KINDS[item.kind].through
        return [(f"{name}.{through[0]}", f"{name}.{through[1]}")] if through else []

    def _pins_at_hand(self, settings: Settings) -> Rows:
        """Wired pins whose volts may still be taken in this setting."""
        gone = {t.what[0] for t in self._asked if t.kind == "volts" and t.settings == settings} | self._shut_pins
        at = [self.table.pin_at[pin] for pin in gone]
        return self.table.wired[~np.isin(self.table.wired, at)]

    def alike(self, row: int, apart: float, least: float) -> list[int]:
        """Hypotheses that no test at hand tells apart from this one, itself included.

        Stops looking once those still alike hold less than `least` of the probability.
        """
        same = np.ones(len(self.rows), dtype=np.bool_)
        at = int(np.flatnonzero(self.rows == row)[0])
        itself = self._name_of == self._name_of[at]
        for unlike in self._unlike(at, apart):
            same &= ~unlike | itself
            if self._p[same].sum() < least:
                break
        return [int(k) for k in self.rows[same]]

    def _unlike(self, at: int, apart: float) -> Iterator[npt.NDArray[np.bool_]]:
        """Test by test, which hypotheses it tells apart from the one at this place among the rows."""
        for test in self._looks:
            words = self.table.words(test, self.rows)
            yield np.abs(words - words[at]).max(axis=1) >= 0.3
        for settings in self._settings:
            figures, pins = self.table.figures(settings, self.rows), self._pins_at_hand(settings)
            centre, spread = figures.centre[:, pins], figures.spread[:, pins]
            gap = np.abs(centre - centre[at]) / np.hypot(spread, spread[at])
            yield gap.max(axis=1, initial=0.0) >= apart
        for test in self._ohms_tests():
            ohms = self.table.ohms(test, self.rows)
            spread_ohms = ohms_spread(ohms)
            open_line = ~np.isfinite(ohms)
            finite = np.where(open_line, 0.0, ohms)
            gap = np.abs(finite - finite[at]) / np.hypot(spread_ohms, spread_ohms[at])
            yield (open_line != open_line[at]) | (gap >= apart)
