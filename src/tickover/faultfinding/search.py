"""A search: from a complaint and the readings so far to what is suspected, and which test to take next.

    search = Search(loom, "seen:fires@KEY=on,KILL=run,START=in=no",
    ["seen:spark@KEY=on,KILL=run,START=in=no"]) search.next[0].test, search.suspects[0].fault, search.found

Bayes' rule over the table of predictions; the next test is the one that is expected to tell most, in bits,
for each minute it takes at the bike.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
import numpy.typing as npt

from tickover.chapters.electrics.loom.document import Loom
from tickover.faultfinding import cautions, effort, repairs, wording
from tickover.faultfinding.candidates import Candidate, Candidates
from tickover.faultfinding.evidence import (
    CHARGE_SPREAD,
    CHARGE_WEIGHTS,
    CHARGES,
    COMPLAINT_WRONG_SHARE,
    clusters,
    ohms_fit,
    volts_fit,
    words_fit,
)
from tickover.faultfinding.hypotheses import hypotheses
from tickover.faultfinding.naming import (
    OPEN_LINE,
    OUT_OF_REACH,
    Reading,
    Test,
    parse_complaint,
    parse_reading,
)
from tickover.faultfinding.table import table

Array = npt.NDArray[np.float64]

ENOUGH = 0.95
"""A search may stop when the suspects of one repair hold this much."""
WRONG_REPAIR_MINUTES = 60.0
"""What a repair that was not needed costs. Past `ENOUGH`, a test that takes less than this times the share in
doubt is taken before the search stops."""
WORTH_BITS = 0.03
"""A test that is expected to tell less than this is not worth taking."""
WORTH_NAMING = 1e-3
"""Suspects below this are not named."""
APART = 2.5
"""Two predictions can be told apart when they lie this many standard spreads from each other."""
GONE_SHARE = 0.1
"""A suspect is ruled out when a reading leaves less than this of its probability."""
ALIKE_SHARE = 0.2
"""Hypotheses that cannot be told apart are only worth naming together when they hold this much."""
LEFT_SHARE = 0.1
"""An answer leaves a suspect that makes it at least this likely, against the one that makes it likeliest."""
NAMED = 12
"""So many of the suspects that an answer leaves are named."""
OFFERED = 5
"""So many tests are offered, the best first."""


@dataclass(frozen=True)
class Suspect:
    """One hypothesis with its probability now."""

    fault: str
    probability: float
    why: str
    name: str
    repair: str


@dataclass(frozen=True)
class Answer:
    """One answer that a test may give: what is tapped, what is recorded, and whom it leaves under suspicion."""

    label: str
    value: str
    probability: float
    leaves: tuple[str, ...]
    suspects: int


@dataclass(frozen=True)
class Proposed:
    """A test worth taking."""

    test: str
    minutes: float
    bits: float
    why: str
    asks: str
    how: str
    expect: str
    answers: tuple[Answer, ...]
    caution: str | None
    takes_off: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """Where the search may stop: the faults that one repair mends or that cannot be told apart here."""

    faults: tuple[str, ...]
    probability: float
    repair: str
    names: tuple[str, ...]
    why: str
    caution: str | None


@dataclass(frozen=True)
class Contradiction:
    """Readings that cannot be true together with one single fault."""

    readings: tuple[str, ...]
    why: str


class Search:
    """One complaint, the readings so far, and what follows from them. Everything is worked out when it is
    asked for.

    `conditions` is the condition on record behind causes outside the loom; `taken_off` names what is off the
    bike now; `mended` names faults that have been repaired and are out of suspicion. Raises BadInput.
    """

    def __init__(
        self,
        loom: Loom,
        complaint: str,
        readings: Iterable[str] = (),
        *,
        conditions: Mapping[str, str] | None = None,
        taken_off: Collection[str] = (),
        mended: Collection[str] = (),
    ) -> None:
        self.loom = loom
        self.complaint = parse_complaint(complaint, loom)
        self.readings: list[Reading] = list(dict.fromkeys(parse_reading(text, loom) for text in readings))
        self.table = table(loom, self.complaint)
        every = hypotheses(loom, conditions) if conditions else self.table.garage.hypotheses
        prior = {h.name: h.prior for h in every}
        self.hypotheses = self.table.hypotheses
        mended_weight = np.array([COMPLAINT_WRONG_SHARE if h.name in mended else 1.0 for h in self.hypotheses])
        self._prior = np.array([prior[h.name] for h in self.hypotheses]) * self.table.shares * mended_weight
        off, reached = effort.opened_by(loom, (r.test for r in self.readings if r.value != OUT_OF_REACH))
        self._off, self._reached = off | set(taken_off), reached

    # Evidence ------------------------------------------------------------------------------------------

    @cached_property
    def _weights(self) -> Array:
        """Joint probability of hypothesis (rows) and state of charge (columns)."""
        start = words_fit(np.column_stack([self.table.complaint_fits, 1.0 - self.table.complaint_fits]),
                          COMPLAINT_WRONG_SHARE)[:, 0]  # fmt: skip
        weights: Array = (self._prior * start)[:, None] * CHARGE_WEIGHTS[None, :]
        weights /= weights.sum()
        for reading in self.readings:
            if reading.tells:
                weights = weights * self._fit(reading)
                weights /= weights.sum()
        return weights

    def _fit(self, reading: Reading) -> Array:
        """Likelihood of a reading: hypotheses in rows, state of charge in columns (one where it does not matter)."""
        if reading.test.answers:
            at = reading.test.answers.index(str(reading.value))
            return words_fit(self.table.words(reading.test))[:, at : at + 1]
        value = float(reading.value)
        if reading.test.kind == "ohms":
            return ohms_fit(value, self.table.ohms(reading.test))[:, None]
        figures, pin = self.table.figures(reading.test.settings), self.table.pin_at[reading.test.what[0]]
        return volts_fit(value, figures.centre[:, pin], figures.spread[:, pin])

    @cached_property
    def probabilities(self) -> Array:
        """Probability of each hypothesis of the table now."""
        total: Array = self._weights.sum(axis=1)
        return total

    @cached_property
    def _charge(self) -> tuple[float, float]:
        """The battery's volts against what is written: mean and standard deviation of their ratio now."""
        share = self._weights.sum(axis=0)
        steps = 1.0 + CHARGE_SPREAD * CHARGES
        mean = float(share @ steps)
        return mean, float(np.sqrt(share @ (steps - mean) ** 2))

    @cached_property
    def _order(self) -> list[int]:
        """Rows of the table, the likeliest first."""
        return [int(k) for k in np.argsort(-self.probabilities, kind="stable")]

    # What is suspected ---------------------------------------------------------------------------------

    @cached_property
    def by_name(self) -> dict[str, float]:
        """Probability now of every hypothesis that explains the complaint, the likeliest first."""
        total: dict[str, float] = {}
        for hypothesis, p in zip(self.hypotheses, self.probabilities, strict=True):
            total[hypothesis.name] = total.get(hypothesis.name, 0.0) + float(p)
        return dict(sorted(total.items(), key=lambda item: -item[1]))

    @cached_property
    def _said(self) -> dict[str, str]:
        """Every hypothesis in words."""
        return {h.name: wording.hypothesis_name(self.loom, h) for h in self.hypotheses}

    @cached_property
    def suspects(self) -> list[Suspect]:
        """What is suspected now, the likeliest first; what is below a thousandth is left out."""
        telling = [r for r in self.readings if r.tells]
        agrees = np.array([self.table.agrees(r) for r in telling]).reshape(len(telling), len(self.hypotheses))
        fits: dict[str, int] = {}
        for k, hypothesis in enumerate(self.hypotheses):
            fits[hypothesis.name] = max(fits.get(hypothesis.name, 0), int(agrees[:, k].sum()))
        first_repair: dict[str, str] = {}
        for repair in self.table.repairs:
            for name in repair.mends:
                first_repair.setdefault(name, repair.says)
        listed: list[Suspect] = []
        for fault, probability in self.by_name.items():
            if probability < WORTH_NAMING and listed:
                break
            name = self._said[fault]
            why = f"{_capital(name)}: it explains the complaint"
            if telling:
                all_or_some = "all" if fits[fault] == len(telling) else fits[fault]
                why += f" and agrees with {all_or_some} of {len(telling)} readings"
            listed.append(Suspect(fault, probability, why + ".", name, first_repair.get(fault, "")))
        return listed

    @cached_property
    def contradictions(self) -> list[Contradiction]:
        """Readings that no single fault allows together; the smallest such set."""
        if self.table.sound_agrees:
            why = "A sound bike does the same with its switches so; say what it does that it should not."
            return [Contradiction((str(self.complaint),), why)]
        if not self.table.explained:
            why = "No single fault of this loom, and no cause outside it, explains the complaint."
            return [Contradiction((str(self.complaint),), why)]
        telling = [r for r in self.readings if r.tells]
        agrees = [self.table.agrees(r) for r in telling]
        if not telling or bool(np.logical_and.reduce(agrees).any()):
            return []
        for size in (1, 2, 3):
            for chosen in combinations(range(len(telling)), size):
                if not bool(np.logical_and.reduce([agrees[k] for k in chosen]).any()):
                    return [self._clash([telling[k] for k in chosen])]
        return [self._clash(telling)]

    def _clash(self, readings: Sequence[Reading]) -> Contradiction:
        if len(readings) == 1:
            why = f"{readings[0]} does not go with the complaint under any single fault: take it again."
        else:
            why = (
                f"No single fault shows {wording.listed(str(r) for r in readings)} together: take them again, "
                "or there is more than one fault."
            )
        return Contradiction((str(self.complaint), *(str(r) for r in readings)), why)

    # What to do next -----------------------------------------------------------------------------------

    @cached_property
    def candidates(self) -> Candidates:
        """Every test at hand with what it would tell now."""
        return Candidates(self.table, self.probabilities, self._charge, self.readings)

    @cached_property
    def _ranked(self) -> list[tuple[float, float, effort.Reach, Candidate]]:
        """Tests worth taking: (bits per minute, minutes, what comes off, candidate), the best first."""
        ranked = []
        for candidate in self.candidates.worth(WORTH_BITS):
            reach = effort.reach(self.loom, candidate.test, self._off, self._reached)
            minutes = effort.minutes(candidate.test, reach.minutes, cranking=self.table.cranking(candidate.test))
            ranked.append((candidate.bits / minutes, minutes, reach, candidate))
        return sorted(ranked, key=lambda r: (-r[0], r[1], str(r[3].test)))

    @property
    def best(self) -> tuple[str, float] | None:
        """The first test to take, and its minutes, without the words about it; None once found."""
        if self.found is not None or not self._ranked:
            return None
        return str(self._ranked[0][3].test), self._ranked[0][1]

    @cached_property
    def next(self) -> list[Proposed]:
        """The tests to take next, the best first; none once the cause is found."""
        if self.found is not None:
            return []
        chosen: list[tuple[float, float, effort.Reach, Candidate]] = []
        for ranked in self._ranked:
            if len(chosen) < OFFERED and not any(ranked[3].key == other[3].key for other in chosen):
                chosen.append(ranked)
        return [self._proposed(minutes, reach, candidate) for _, minutes, reach, candidate in chosen]

    def _proposed(self, minutes: float, reach: effort.Reach, candidate: Candidate) -> Proposed:
        test, cranking = candidate.test, self.table.cranking(candidate.test)
        answers = self._answers(test)
        return Proposed(
            test=str(test),
            minutes=round(minutes, 2),
            bits=round(candidate.bits, 4),
            why=_why(answers),
            asks=wording.asks(self.loom, test),
            how=wording.how(self.loom, test, cranking=cranking),
            expect=self._expect(test),
            answers=tuple(answers),
            caution=cautions.caution(self.loom, test, cranking=cranking),
            takes_off=reach.takes_off,
        )

    def _expect(self, test: Test) -> str:
        """What a sound bike shows."""
        sound = self.table.garage.sound
        if test.answers:
            shows = sound.answer(test, self.table.when)
            return max(shows, key=lambda a: shows[a])
        if test.kind == "ohms":
            return wording.figure(sound.ohms(test.what[0], test.what[1], test.settings), "ohms")
        return wording.figure(float(sound.volts(test.settings)[0][self.table.pin_at[test.what[0]]]), "volts")

    def _answers(self, test: Test) -> list[Answer]:
        """Each answer, its probability, and whom it would leave."""
        act = np.array([k for k in self._order if self.probabilities[k] >= WORTH_NAMING] or self._order[:1])
        p = self.probabilities[act]
        if test.answers:
            table = words_fit(self.table.words(test, act))
            columns = [(answer, answer, table[:, k]) for k, answer in enumerate(test.answers)]
        else:
            columns = []
            centre, spread = self.candidates.prediction(test, act)
            for group in clusters(centre, spread):
                middle = float(np.average(centre[group], weights=p[group]))
                member = np.zeros(len(act))
                member[group] = 1.0
                value = "OL" if middle == OPEN_LINE else f"{middle:.2f}" if test.kind == "volts" else f"{middle:.4g}"
                columns.append((wording.figure(middle, test.kind), value, member))
        found = []
        for label, value, likelihood in columns:
            joint = p * likelihood
            left = [k for k in range(len(act)) if likelihood[k] >= LEFT_SHARE * likelihood.max()]
            left.sort(key=lambda k: -joint[k])
            names = list(dict.fromkeys(self._said[self.hypotheses[act[k]].name] for k in left))
            share = round(float(joint.sum() / p.sum()), 4)
            found.append(Answer(label, value, share, tuple(names[:NAMED]), len(names)))
        return found

    # When to stop --------------------------------------------------------------------------------------

    @cached_property
    def found(self) -> Found | None:
        """The cause, once one repair covers it or no test at hand can tell what is left apart; None before."""
        if not self.table.explained or self.table.sound_agrees:
            return None
        repair = repairs.best(self.table.repairs, self.by_name, ENOUGH)
        if repair is not None and self._sure_enough(repair.mends):
            return self._stop(repair, repair.mends, "One repair mends what is left under suspicion.")
        if not self._may_stop():
            return None
        alike = {self.hypotheses[k].name for k in self.candidates.alike(self._order[0], APART, ALIKE_SHARE)}
        inside = [r for r in self.table.repairs if r.mends & alike]
        first = repairs.likeliest(inside, {n: p for n, p in self.by_name.items() if n in alike})
        if first is None:
            return None
        together = alike | {n for n in first.mends if self.by_name[n] >= WORTH_NAMING}
        if sum(self.by_name[n] for n in together) >= ENOUGH and self._sure_enough(together):
            return self._stop(first, together, "No test at hand tells these apart: try the likeliest repair first.")
        if self._ranked:
            return None
        rest, total = set[str](), 0.0
        for name, probability in self.by_name.items():
            if total < ENOUGH:
                rest.add(name)
                total += probability
        why = "No test that is left tells these apart: try the likeliest repair first."
        return self._stop(first, rest | together, why)

    def _sure_enough(self, names: Collection[str]) -> bool:
        """Whether the best test left takes longer than the doubt about these is worth."""
        doubt = 1.0 - sum(self.by_name[name] for name in names)
        return not self._ranked or self._ranked[0][1] >= doubt * WRONG_REPAIR_MINUTES

    def _may_stop(self) -> bool:
        """Cheap first look: while the likeliest hypothesis is one of many equals, tests are bound to be left."""
        return float(self.probabilities[self._order[0]]) >= 0.05 or not self._ranked

    def _stop(self, repair: repairs.Repair, names: Collection[str], why: str) -> Found:
        kept = [name for name, p in self.by_name.items() if name in names and p >= 1e-4]
        probability = min(1.0, sum(self.by_name[name] for name in kept))
        names = tuple(self._said[name] for name in kept)
        return Found(tuple(kept), probability, repair.says, names, why, cautions.repair_caution(kept))

    # Out -----------------------------------------------------------------------------------------------

    def as_json(self) -> dict[str, object]:
        """The object of `tickover fault next --json`."""
        return {
            "suspects": [asdict(s) for s in self.suspects],
            "next": [_plain(asdict(p)) for p in self.next],
            "found": None if self.found is None else _plain(asdict(self.found)),
            "contradictions": [_plain(asdict(c)) for c in self.contradictions],
        }

    def as_text(self) -> str:
        """The same in words, for a terminal."""
        lines = [f"{c.why}" for c in self.contradictions]
        if self.found is not None:
            lines += [f"Found ({self.found.probability:.0%}): {wording.listed(self.found.names)}."]
            lines += [f"Repair: {self.found.repair}.", self.found.why]
            lines += [f"Caution: {self.found.caution}"] if self.found.caution else []
        else:
            lines.append("Suspected:")
            lines += [f"  {s.probability:6.1%}  {s.name}  [{s.fault}]" for s in self.suspects[:10]]
            if len(self.suspects) > 10:
                lines.append(f"          and {len(self.suspects) - 10} more")
            for k, step in enumerate(self.next):
                if k == 0:
                    lines += [
                        "Next:",
                        f"  {step.asks}  ({step.minutes:g} min, {step.bits:.2f} bits)  [{step.test}]",
                    ]
                    lines += [f"  {step.how}", f"  A sound bike shows: {step.expect}.", f"  {step.why}"]
                    if step.takes_off:
                        lines.append(f"  First take off: {wording.listed(step.takes_off)}.")
                    if step.caution:
                        lines.append(f"  Caution: {step.caution}")
                else:
                    lines.append(f"  or: {step.asks}  ({step.minutes:g} min, {step.bits:.2f} bits)  [{step.test}]")
        return "\n".join(lines)


def _why(answers: Sequence[Answer]) -> str:
    """What a test splits, in one sentence."""
    likely = sorted((a for a in answers if a.suspects), key=lambda a: -a.probability)[:3]
    parts = []
    for k, answer in enumerate(likely):
        many = f"{answer.suspects} {'suspects' if answer.suspects != 1 else 'suspect'}"
        such = f", such as {answer.leaves[0]}" if answer.suspects > 1 else f": {answer.leaves[0]}"
        parts.append(f"'{answer.label}' {'points' if k == 0 else 'leaves'} {'to ' if k == 0 else ''}{many}{such}")
    return _capital("; ".join(parts)) + "." if parts else "Tells what is left apart."


def _plain(value: object) -> object:
    """Tuples as lists, for JSON."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    return [_plain(v) for v in value] if isinstance(value, tuple | list) else value


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def ruled_out(before: Search, after: Search) -> str:
    """What the readings of `after` rule out that `before` still suspected, in one sentence."""
    gone = [s for s in before.suspects if after.by_name.get(s.fault, 0.0) < GONE_SHARE * s.probability]
    if not gone:
        return "Rules nothing out."
    names = [s.name for s in gone[:2]]
    if len(gone) <= 2:
        return f"Rules out {wording.listed(names)}."
    return f"Rules out {len(gone)} suspects, among them {wording.listed(names)}."


def kept_after(search: Search, mended: Collection[str]) -> list[str]:
    """The readings that still hold once these faults are mended: those that a sound bike shows too.

    A reading that only the fault explains went with it; it must not speak against what is behind.
    """
    rows = [k for k, h in enumerate(search.hypotheses) if h.name in mended]
    return [
        str(reading)
        for reading in search.readings
        if reading.tells and search.table.sound_shows(reading) and search.table.agrees(reading)[rows].any()
    ]


def fault_list(loom: Loom) -> list[dict[str, object]]:
    """The array of `tickover fault list --json`: every single fault and cause with its prior, the likeliest first."""
    every = sorted(hypotheses(loom), key=lambda h: -h.prior)
    return [{"fault": h.name, "prior": h.prior, "name": wording.hypothesis_name(loom, h)} for h in every]


def fault_next(loom: Loom, complaint: str, readings: Iterable[str] = ()) -> Search:
    """What `tickover fault next` works out. Raises BadInput."""
    return Search(loom, complaint, readings)
