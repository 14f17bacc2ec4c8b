"""The table of predictions: for one loom and one complaint, what every test would show under every
hypothesis.

Only hypotheses that explain the complaint are in it. The table is made once and kept, by the loom document's
content; after that a step of the search is arithmetic on arrays.
"""

import json
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import combinations, islice, product

import numpy as np
import numpy.typing as npt

from tickover.chapters import causes
from tickover.chapters.electrics.loom.document import Loom, as_json
from tickover.chapters.electrics.loom.faults import Fault
from tickover.faultfinding.bike import Bike, Settings, has_engine, of_kind, wired_pins
from tickover.faultfinding.evidence import MISFIT, ohms_agree, volts_agree, volts_spread
from tickover.faultfinding.hypotheses import Hypothesis, hypotheses
from tickover.faultfinding.naming import Reading, Test, settings_key
from tickover.faultfinding.repairs import Repair, repairs

Array = npt.NDArray[np.float64]
Rows = npt.NDArray[np.intp]

EXPLAINS = 1e-3
"""A hypothesis explains a complaint that it makes at least this likely."""
USUAL = 0.5
"""What a sound bike does this often is no complaint."""
SHOWS_VOLTS = 0.4
"""Two hypotheses differ in a setting when some pin differs by more than this."""
MOST_TRIED = 1500
"""So many settings of the switches are tried to find one in which the sound bike starts: about a second's work."""
TABLES_KEPT = 8
"""So many complaints of one loom keep their table; each takes some tens of megabytes."""
FEW = 40
"""With no more suspects than this, settings further from the complaint are looked at too."""


@dataclass(frozen=True)
class Document:
    """A loom, known by the content of its document."""

    text: str
    loom: Loom = field(compare=False)

    @classmethod
    def of(cls, loom: Loom) -> "Document":
        return cls(json.dumps(as_json(loom), sort_keys=True), loom)


class Garage:
    """Every bike of one loom: sound, and with each hypothesis true. Each is solved when it is first asked."""

    def __init__(self, loom: Loom) -> None:
        self.loom = loom
        self.sound = Bike(loom)
        self.tables: dict[Reading, Table] = {}
        self.hypotheses = hypotheses(loom)
        self.bikes = [
            Bike(loom, (h.fault,)) if h.fault is not None else self.sound.with_cause(h.cause or "")
            for h in self.hypotheses
        ]

    @cached_property
    def starting(self) -> Settings | None:
        """The fewest switches moved for which the sound bike cranks and sparks; None where none of those tried does."""
        tried = islice(self._settings_by_moves(), MOST_TRIED if of_kind(self.loom, "ignition_coil") else 0)
        return next((where for where in tried if self.sound.any_spark(where)), None)

    def _settings_by_moves(self) -> Iterator[Settings]:
        """Every setting of the switches, those with the fewest switches moved first."""
        switches = [part for part in of_kind(self.loom, "switch") if len(part.positions) > 1]
        for moved in range(len(switches) + 1):
            for chosen in combinations(switches, moved):
                for at in product(*([p for p in part.positions if p != part.at] for part in chosen)):
                    yield settings_key(self.loom, dict(zip((p.id for p in chosen), at, strict=True)))


@lru_cache(maxsize=2)
def garage(document: Document) -> Garage:
    """The garage of a loom document, made once."""
    return Garage(document.loom)


@dataclass(frozen=True)
class Figures:
    """Predicted figures of one setting: hypotheses in rows, pins in columns."""

    centre: Array
    spread: Array


class Table:
    """Predictions for the hypotheses that explain one complaint."""

    def __init__(self, document: Document, complaint: Reading) -> None:
        self.loom = document.loom
        self.garage = garage(document)
        self.complaint = complaint
        self.sound_agrees = self._fits_complaint(self.garage.sound) >= USUAL
        fits = np.array([self._fits_complaint(bike) for bike in self.garage.bikes])
        explain = np.flatnonzero(fits >= EXPLAINS)
        self.explained = bool(len(explain))
        rows = explain if len(explain) else np.arange(len(fits))
        suspected = [(self.garage.hypotheses[k], self.garage.bikes[k], float(fits[k])) for k in rows]
        every = [row for h, bike, fit in suspected for row in self._with_fuses(h, bike, fit)]
        self.hypotheses: list[Hypothesis] = [row[0] for row in every]
        self.bikes: list[Bike] = [row[1] for row in every]
        self.complaint_fits: Array = np.array([row[2] for row in every]) if self.explained else np.ones(len(every))
        self.shares: Array = np.array([row[3] for row in every])
        """What part of its hypothesis each row is: a blown fuse makes two of one."""
        names = [h.name for h in self.hypotheses]
        first = {name: k for k, name in reversed(list(enumerate(names)))}
        self.same_as: Rows = np.array([first[name] for name in names], dtype=np.intp)
        """The first row of the same hypothesis, for every row."""
        self.pins = self.garage.sound.pins
        self.pin_at = {pin: k for k, pin in enumerate(self.pins)}
        self.wired = np.array([self.pin_at[pin] for pin in wired_pins(self.loom)], dtype=np.intp)
        self._everyone: Rows = np.arange(len(self.bikes))
        self._figures: dict[Settings, Figures] = {}
        self._words: dict[Test, Array] = {}
        self._ohms: dict[Test, Array] = {}

    @cached_property
    def when(self) -> Settings:
        """Where the switches stand for what other chapters ask: as in the complaint, if a sound bike starts so."""
        at = self.complaint.test.settings
        if self.complaint.test.is_observation or not self.garage.sound.any_spark(at):
            return self.garage.starting or at
        return at

    def _with_fuses(
        self, hypothesis: Hypothesis, bike: Bike, fit: float
    ) -> list[tuple[Hypothesis, Bike, float, float]]:
        """A hypothesis as it stands in the table: its bike, how it fits the complaint, and its share.

        A short that blows a fuse as the complaint is tried leaves it blown, or the builder has put a new one in for
        each try. Which of the two is not known, so both are looked at, a half each.
        """
        at = self.when if self.complaint.test.is_observation else self.complaint.test.settings
        standing = bike.standing(at)
        blown = dict.fromkeys(standing.still.blown)
        if standing.cranks and standing.turning is not None:
            blown |= dict.fromkeys(standing.turning.blown)
        if hypothesis.fault is None or not blown:
            return [(hypothesis, bike, fit, 1.0)]
        left = Bike(self.loom, (*bike.faults, *(Fault("open", fuse) for fuse in blown)))
        return [(hypothesis, bike, fit, 0.5), (hypothesis, left, self._fits_complaint(left), 0.5)]

    def _fits_complaint(self, bike: Bike) -> float:
        return bike.answer(self.complaint.test, self.when)[str(self.complaint.value)]

    # What each test shows -----------------------------------------------------------------------------

    def figures(self, settings: Settings, rows: Rows | None = None) -> Figures:
        """Volts on every pin in one setting, with their spread: of all hypotheses, or of these rows."""
        if rows is not None:
            return figures_of([self.bikes[k] for k in rows], settings)
        if settings not in self._figures:
            self._figures[settings] = figures_of(self.bikes, settings)
        return self._figures[settings]

    def words(self, test: Test, rows: Rows | None = None) -> Array:
        """Likelihood (hypotheses, answers) of a test that is answered in words: of all, or of these rows."""
        known = self._words.setdefault(test, np.full((len(self.bikes), len(test.answers)), math.nan))
        asked = self._everyone if rows is None else rows
        for k in asked:
            if math.isnan(known[k, 0]):
                likelihoods = self.bikes[k].answer(test, self.when)
                known[k] = [likelihoods[answer] for answer in test.answers]
        return known[asked]

    def ohms(self, test: Test, rows: Rows | None = None) -> Array:
        """Ohms under each hypothesis, infinity for no path: of all, or of these rows."""
        known = self._ohms.setdefault(test, np.full(len(self.bikes), math.nan))
        asked = self._everyone if rows is None else rows
        for k in asked:
            if math.isnan(known[k]):
                known[k] = self.bikes[k].ohms(test.what[0], test.what[1], test.settings)
        return known[asked]

    def agrees(self, reading: Reading) -> npt.NDArray[np.bool_]:
        """Which hypotheses a reading that tells something does not contradict."""
        if reading.test.answers:
            words = self.words(reading.test)
            agree: npt.NDArray[np.bool_] = words[:, _column(reading)] >= MISFIT * words.max(axis=1)
            return agree
        if reading.test.kind == "ohms":
            return ohms_agree(float(reading.value), self.ohms(reading.test))
        return self._volts_agree(reading, self.figures(reading.test.settings))

    def sound_shows(self, reading: Reading) -> bool:
        """Whether the sound bike does not contradict a reading."""
        sound, test = self.garage.sound, reading.test
        if test.answers:
            shows = sound.answer(test, self.when)
            return shows[str(reading.value)] >= MISFIT * max(shows.values())
        if test.kind == "ohms":
            ohms = np.array([sound.ohms(test.what[0], test.what[1], test.settings)])
            return bool(ohms_agree(float(reading.value), ohms)[0])
        return bool(self._volts_agree(reading, figures_of([sound], test.settings))[0])

    def _volts_agree(self, reading: Reading, figures: Figures) -> npt.NDArray[np.bool_]:
        pin = self.pin_at[reading.test.what[0]]
        return volts_agree(float(reading.value), figures.centre[:, pin], figures.spread[:, pin])

    # Which tests there are ----------------------------------------------------------------------------

    @cached_property
    def near(self) -> list[Settings]:
        """The settings to measure in first: the complaint's, all at rest, and the complaint's with one switch let
        go."""
        base = dict(self.complaint.test.settings)
        let_go = [settings_key(self.loom, {k: v for k, v in base.items() if k != switch}) for switch in base]
        return list(dict.fromkeys([self.complaint.test.settings, *let_go, (), self.when]))

    @cached_property
    def _far(self) -> list[Settings]:
        """Every other setting that is one switch away from the complaint's or from all at rest."""
        moved = (
            settings_key(self.loom, dict(base) | {part.id: position})
            for base in (self.complaint.test.settings, ())
            for part in of_kind(self.loom, "switch")
            for position in part.positions
        )
        return [settings for settings in dict.fromkeys(moved) if settings not in self.near]

    def settings(self, rows: Rows) -> list[Settings]:
        """Settings that matter for these hypotheses.

        A far one must tell apart what no setting before it does and no single repair mends; it is looked at
        once few are left.
        """
        if len(rows) > FEW:
            return self.near
        kept, alike = list(self.near), [list(range(len(rows)))]
        for settings in self.near:
            alike = self._split(settings, rows, alike)
        for settings in self._far:
            alike = [group for group in alike if not self._one_repair(rows, group)]
            if not alike:
                break
            split = self._split(settings, rows, alike)
            if split != alike:
                kept.append(settings)
                alike = split
        return kept

    @cached_property
    def repairs(self) -> list[Repair]:
        """Every repair that mends some of these hypotheses."""
        return repairs(self.loom, self.hypotheses)

    def _one_repair(self, rows: Rows, group: list[int]) -> bool:
        names = {self.hypotheses[rows[k]].name for k in group}
        return any(names <= repair.mends for repair in self.repairs)

    def _split(self, settings: Settings, rows: Rows, groups: list[list[int]]) -> list[list[int]]:
        """These groups of alike hypotheses, split by what shows in one setting; whoever stands alone is left out."""
        members = sorted({k for group in groups for k in group})
        if not members:
            return []
        centre = dict(zip(members, self.figures(settings, rows[members]).centre, strict=True))
        split: list[list[int]] = []
        for group in groups:
            apart: list[list[int]] = []
            for k in group:
                for other in apart:
                    if np.abs(centre[k] - centre[other[0]]).max(initial=0.0) <= SHOWS_VOLTS:
                        other.append(k)
                        break
                else:
                    apart.append([k])
            split.extend(other for other in apart if len(other) > 1)
        return split

    def looks(self, rows: Rows, where: Iterable[Settings]) -> list[Test]:
        """Every `seen` test in these settings that could tell these hypotheses apart; not the complaint."""
        tests: list[Test] = [Test("seen", (o,)) for o in causes.OBSERVATIONS] if has_engine(self.loom) else []
        tests += [test for settings in where for test in self._looks_in(settings)]
        differ = (t for t in dict.fromkeys(tests) if t != self.complaint.test)
        return [t for t in differ if np.ptp(self.words(t, rows), axis=0).max(initial=0.0) > 0.0]

    def _looks_in(self, settings: Settings) -> Iterable[Test]:
        coils = of_kind(self.loom, "ignition_coil")
        if of_kind(self.loom, "starter"):
            yield Test("seen", ("cranks",), settings)
        if coils and self.garage.sound.any_spark(settings):
            yield Test("seen", ("spark",), settings)
            if len(coils) > 1:
                yield from (Test("seen", (f"spark.{coil.id}",), settings) for coil in coils)
        yield from (Test("seen", (f"lit.{bulb.id}",), settings) for bulb in of_kind(self.loom, "bulb"))
        yield from (Test("seen", (f"sounds.{relay.id}",), settings) for relay in of_kind(self.loom, "relay"))

    def cranking(self, test: Test) -> bool:
        """Whether the engine is cranked for this test, as a sound bike would."""
        if test.is_observation:
            return causes.OBSERVATIONS[test.what[0]].needs != ""
        return test.kind != "ohms" and self.garage.sound.cranks(test.settings)


def figures_of(bikes: Sequence[Bike], settings: Settings) -> Figures:
    """Volts on every pin of these bikes in one setting, with their spread."""
    pairs = [bike.volts(settings) for bike in bikes]
    centre = np.array([pair[0] for pair in pairs])
    cranking = np.array([bike.cranks(settings) for bike in bikes])[:, None]
    return Figures(centre, volts_spread(centre, np.array([pair[1] for pair in pairs]), cranking))


def _column(reading: Reading) -> int:
    return reading.test.answers.index(str(reading.value))


def table(loom: Loom, complaint: Reading) -> Table:
    """The table for this loom and complaint, kept with the loom's garage for the next step."""
    document = Document.of(loom)
    kept = garage(document).tables
    if complaint not in kept:
        while len(kept) >= TABLES_KEPT:
            kept.pop(next(iter(kept)), None)
        kept[complaint] = Table(document, complaint)
    return kept[complaint]
