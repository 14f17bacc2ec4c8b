"""Which pin of a relay is which, from ohm readings between them, at rest and with 12 V across two pins.

Every relay with these pins is held against the readings: which two pins are the coil, which contact form, which is the
common, and whether something about it is broken. What all that are left agree on is certain; the rest is likely, and
the reading that would tell most comes next. Terminal numbers are those of DIN 72552: coil 85 and 86, common 30, make
contact 87, break contact 87a, second make contact 87b.

>>> from tickover.chapters.electrics.ohm_readings import read_ohms
>>> at_rest = {("1", "2"): "85", ("3", "4"): "0.2", ("3", "5"): "OL", ("4", "5"): "OL"}
>>> pulled = {("3", "5"): "0.2", ("3", "4"): "OL"}
>>> readings = [PinReading(pins, read_ohms(typed)) for pins, typed in at_rest.items()]
>>> readings += [PinReading(pins, read_ohms(typed), live=("1", "2")) for pins, typed in pulled.items()]
>>> found = find_relay(("1", "2", "3", "4", "5"), readings)
>>> found.certain, found.form, found.terminals["30"], found.terminals["87a"]
(True, 'changeover', '3', '4')
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from itertools import combinations

import numpy as np
import numpy.typing as npt

from tickover.chapters.electrics.ohm_readings import JOINED, USUAL_COIL, Ohms, kinds_between
from tickover.units import BadInput, show

DIN_72552 = "DIN 72552: terminal numbers 30, 85, 86, 87, 87a, 87b"

FORMS = {
    "make": "make",
    "break": "break",
    "changeover": "changeover",
    "twin": "make, two outputs that are joined",
    "double": "make, two outputs apart at rest",
}
"""The contact forms of relays with four or five pins, in words."""

_PRIOR = {"make": 0.85, "break": 0.15, "changeover": 0.75, "twin": 0.15, "double": 0.10}
_CONTACTS = {"sound": 0.92, "does not pull in": 0.03, "stays pulled in": 0.01, "make dead": 0.02, "break dead": 0.02}
_COIL = {"reads": 0.95, "diode forward": 0.01, "diode backward": 0.01, "open": 0.03}
_KINDS = ("joined", "coil", "open")

#: The numbers that pins carry themselves where they have plain figures (ISO 7588).
_ISO_7588 = {"1": "86", "2": "85", "3": "30", "4": "87a", "5": "87"}

Pair = tuple[str, str]
_Int8s = npt.NDArray[np.int8]
_Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class PinReading:
    """One reading between two pins, the meter's red lead on the first; ``live``: 12 V across these, plus first."""

    pins: Pair
    ohms: Ohms
    live: Pair | None = None

    def __str__(self) -> str:
        at = f" with 12 V on {self.live[0]} and {self.live[1]}" if self.live else " at rest"
        return f"{self.pins[0]} to {self.pins[1]}{at}: {self.ohms}"


@dataclass(frozen=True)
class Arrangement:
    """One way the pins can be a relay. Pins that nothing tells apart stand in the order they were given."""

    form: str
    coil: Pair
    contact: tuple[str, ...]
    """30, 87; for a break 30, 87a; for a changeover 30, 87, 87a; for two outputs 30, 87, 87 or 87b."""

    @property
    def numbers(self) -> tuple[tuple[str, str], ...]:
        """Terminal number and pin."""
        outputs = {
            "make": ("87",),
            "break": ("87a",),
            "changeover": ("87", "87a"),
            "twin": ("87", "87"),
            "double": ("87", "87b"),
        }[self.form]
        return tuple(zip(("85", "86", "30", *outputs), self.coil + self.contact, strict=True))

    def roles(self) -> dict[str, str]:
        """What each pin is, as far as ohms can tell: coil, contact (either end), 30, 87, 87a."""
        alike = {"make": "30 or 87", "break": "30 or 87a", "double": "30, 87 or 87b"}.get(self.form)
        told = dict.fromkeys(self.coil, "coil")
        return told | {pin: alike or number for number, pin in self.numbers[2:]}


@dataclass(frozen=True)
class PinFound:
    """One pin: the number proposed for it, and how sure that is (1.0: nothing else explains the readings)."""

    pin: str
    number: str
    is_: str
    probability: float
    certain: bool


@dataclass(frozen=True)
class Next:
    """A reading still to take, and how many bits it is expected to tell."""

    pins: Pair
    live: Pair | None
    bits: float

    def __str__(self) -> str:
        at = f" with 12 V on {self.live[0]} and {self.live[1]}" if self.live else " at rest"
        return f"{self.pins[0]} to {self.pins[1]}{at}"


@dataclass(frozen=True)
class _Table:
    """All relays of so many pins, pins by index, and what each shows between each pair."""

    arrangements: list[tuple[str, tuple[int, int], tuple[int, ...]]]
    of: npt.NDArray[np.int64]
    """Each row's arrangement."""
    sound: npt.NDArray[np.bool_]
    prior: _Floats
    rest: _Int8s
    """Row, red pin, black pin: index into ``_KINDS``."""
    live: dict[tuple[int, int], _Int8s]
    """The same with 12 V across two pins, plus first."""


def _joins(form: str, contact: tuple[int, ...], pulled: bool, state: str) -> list[tuple[int, int]]:
    """Pairs that the contact joins."""
    pulled = (pulled and state != "does not pull in") or state == "stays pulled in"
    make, rest = state != "make dead", state != "break dead"
    common, *outputs = contact
    if form == "make":
        return [(common, outputs[0])] if pulled and make else []
    if form == "break":
        return [(common, outputs[0])] if not pulled and rest else []
    if form == "changeover":
        return ([(common, outputs[0])] if make else []) if pulled else ([(common, outputs[1])] if rest else [])
    every = [(common, output) for output in outputs] if pulled and make else []
    both = [(outputs[0], outputs[1])]
    return every + both if form == "twin" or every else []


def _ways(form: str, pins: tuple[int, ...]) -> list[tuple[int, ...]]:
    """The ways to set contact pins that ohms can tell apart."""
    if form == "changeover":
        return [(a, b, c) for a in pins for b in pins for c in pins if len({a, b, c}) == 3]
    if form == "twin":
        return [(a, *(pin for pin in pins if pin != a)) for a in pins]
    return [pins]


def _states(form: str) -> dict[str, float]:
    """What may be wrong with the contacts of this form, with its prior: only contacts that it has can be dead."""
    lacks = {"make dead": form == "break", "break dead": form not in ("break", "changeover")}
    return {state: likely for state, likely in _CONTACTS.items() if not lacks.get(state)}


@cache
def _table(count: int) -> _Table:
    pins = range(count)
    arrangements: list[tuple[str, tuple[int, int], tuple[int, ...]]] = []
    rows: list[tuple[int, str, str, float]] = []
    for form in ("make", "break") if count == 4 else ("changeover", "twin", "double"):
        for coil in combinations(pins, 2):
            ways = _ways(form, tuple(pin for pin in pins if pin not in coil))
            for contact in ways:
                for state, likely in _states(form).items():
                    for shows, usual in _COIL.items():
                        prior = _PRIOR[form] / len(ways) * likely * usual
                        rows.append((len(arrangements), state, shows, prior))
                arrangements.append((form, coil, contact))
    coil_at, open_at, joined_at = _KINDS.index("coil"), _KINDS.index("open"), _KINDS.index("joined")
    rest = np.full((len(rows), count, count), open_at, dtype=np.int8)
    live = {(plus, minus): rest.copy() for plus in pins for minus in pins if plus != minus}
    for row, (number, state, shows, _) in enumerate(rows):
        form, coil, contact = arrangements[number]
        for (plus, minus), shown in [((-1, -1), rest), *live.items()]:
            if shows in ("reads", "diode forward"):
                shown[row, coil[0], coil[1]] = coil_at
            if shows in ("reads", "diode backward"):
                shown[row, coil[1], coil[0]] = coil_at
            fed = {plus, minus} == set(coil)
            held_back = (shows == "diode forward" and plus != coil[0]) or (
                shows == "diode backward" and plus != coil[1]
            )
            for a, b in _joins(form, contact, fed and not held_back, state):
                shown[row, a, b] = shown[row, b, a] = joined_at
    priors = np.array([row[3] for row in rows])
    return _Table(
        arrangements=arrangements,
        of=np.array([row[0] for row in rows]),
        sound=np.array([row[1] == "sound" and row[2] == "reads" for row in rows]),
        prior=priors / priors.sum(),
        rest=rest,
        live=live,
    )


@dataclass(frozen=True)
class RelayFinding:
    """What the readings say of a relay. ``probability`` is that of the likeliest arrangement."""

    pins: tuple[str, ...]
    readings: tuple[PinReading, ...]
    contradiction: str = ""
    """Set where no relay explains the readings; then nothing else stands here."""
    _weights: _Floats = field(default_factory=lambda: np.zeros(0), repr=False, compare=False)

    @cached_property
    def _by_arrangement(self) -> _Floats:
        table = _table(len(self.pins))
        return _added_up(table, self._weights)

    @cached_property
    def best(self) -> Arrangement:
        return self._arrangement(int(np.argmax(self._by_arrangement)))

    def _arrangement(self, number: int) -> Arrangement:
        form, coil, contact = _table(len(self.pins)).arrangements[number]
        first, second = (self.pins[pin] for pin in coil)
        return _as_marked(Arrangement(form, (first, second), tuple(self.pins[pin] for pin in contact)))

    @property
    def probability(self) -> float:
        return float(self._by_arrangement.max())

    @cached_property
    def certain(self) -> bool:
        """Nothing but this arrangement explains the readings."""
        return not self.contradiction and int(np.count_nonzero(self._by_arrangement)) == 1

    @property
    def form(self) -> str:
        return self.best.form

    @cached_property
    def terminals(self) -> dict[str, str]:
        """Pin by terminal number; of two outputs that are both 87 the first."""
        plus = self.plus
        arrangement = self.best
        if plus:
            coil = tuple(sorted(arrangement.coil, key=lambda pin: pin == plus))
            arrangement = Arrangement(arrangement.form, (coil[0], coil[1]), arrangement.contact)
        return dict(reversed(arrangement.numbers))

    @cached_property
    def found(self) -> tuple[PinFound, ...]:
        """Every pin with its proposed number."""
        numbers = {pin: number for number, pin in self.best.numbers} | {p: n for n, p in self.terminals.items()}
        shares: dict[str, dict[str, float]] = {pin: defaultdict(float) for pin in self.pins}
        for number in np.flatnonzero(self._by_arrangement):
            for pin, role in self._arrangement(int(number)).roles().items():
                shares[pin][role] += float(self._by_arrangement[number])
        told = self.best.roles()
        return tuple(
            PinFound(pin, numbers[pin], told[pin], shares[pin][told[pin]], len(shares[pin]) == 1) for pin in self.pins
        )

    @property
    def coil_is_certain(self) -> bool:
        coils = {self._arrangement(int(n)).coil for n in np.flatnonzero(self._by_arrangement)}
        return len({frozenset(coil) for coil in coils}) == 1

    @cached_property
    def coil_ohms(self) -> Ohms | None:
        """The reading over the coil, the higher one where both ways were read; None where there is none."""
        over = [
            r.ohms
            for r in self.readings
            if r.live is None and set(r.pins) == set(self.best.coil) and math.isfinite(r.ohms.ohms)
        ]
        return max(over, key=lambda ohms: ohms.ohms, default=None)

    @cached_property
    def contact_ohms(self) -> Ohms | None:
        """The worst reading over the closed contact."""
        closed = [r.ohms for r in self.readings if set(r.pins) <= set(self.best.contact) and r.ohms.ohms < 20.0]
        return max(closed, key=lambda ohms: ohms.ohms, default=None)

    @cached_property
    def _both_ways(self) -> dict[Pair, Ohms]:
        return {r.pins: r.ohms for r in self.readings if r.live is None and set(r.pins) == set(self.best.coil)}

    @cached_property
    def diode(self) -> str:
        """``in series`` or ``across`` where the two ways over the coil say so, else empty."""
        ways = list(self._both_ways.values())
        if len(ways) < 2:
            return ""
        finite = [way for way in ways if math.isfinite(way.ohms)]
        if len(finite) == 1:
            return "in series"
        if len(finite) == 2 and abs(ways[0].ohms - ways[1].ohms) > 2 * math.hypot(*(way.plus_minus for way in ways)):
            return "across"
        return ""

    @cached_property
    def plus(self) -> str:
        """The coil pin that must have the plus, where a diode says so: terminal 86."""
        if not self.diode:
            return ""
        easier = min(self._both_ways, key=lambda pins: self._both_ways[pins].ohms)
        return easier[0] if self.diode == "in series" else easier[1]

    @cached_property
    def sound(self) -> float:
        """Probability that coil and contacts do what they should."""
        return float(self._weights[_table(len(self.pins)).sound].sum())

    @cached_property
    def next(self) -> tuple[Next, ...]:
        """Readings not taken yet that tell something about which pin is which, the most first.

        12 V are proposed only across pins that are certainly the coil, and have been read.
        """
        if self.contradiction or self.certain:
            return ()
        found = [one for pins in combinations(self.pins, 2) if (one := self._proposed(pins, None)) is not None]
        if self.coil_is_certain:
            live = (self.terminals["86"], self.terminals["85"])
            others = [pin for pin in self.pins if pin not in live]
            pulled = [one for pins in combinations(others, 2) if (one := self._proposed(pins, live)) is not None]
            if self._both_ways:
                found += pulled
            elif pulled:  # before 12 V go across the coil, it is read
                found.append(Next(self.best.coil, None, max(one.bits for one in pulled)))
        return tuple(sorted(found, key=lambda one: (-round(one.bits, 6), one.live is not None, one.pins)))

    def _proposed(self, pins: Pair, live: Pair | None) -> Next | None:
        """The reading, where it is not taken yet and tells something."""
        taken = {(frozenset(r.pins), r.live and frozenset(r.live)) for r in self.readings}
        if (frozenset(pins), live and frozenset(live)) in taken:
            return None
        bits = self._bits(_shown(self.pins, pins, live))
        return Next(pins, live, bits) if bits > 1e-9 else None

    def _bits(self, shown: _Int8s) -> float:
        """Expected information about the arrangement."""
        table, after = _table(len(self.pins)), 0.0
        for kind in range(len(_KINDS)):
            weights = np.where(shown == kind, self._weights, 0.0)
            share = weights.sum()
            if share > 0:
                after += share * _entropy(_added_up(table, weights / share))
        return _entropy(self._by_arrangement) - float(after)

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """What else the readings say, in sentences."""
        return tuple(_notes(self))


def _added_up(table: _Table, weights: _Floats) -> _Floats:
    """The weight of each arrangement, whatever its state."""
    return np.bincount(table.of, weights=weights, minlength=len(table.arrangements)).astype(np.float64)


def _entropy(shares: _Floats) -> float:
    some = shares[shares > 0]
    return float(-(some * np.log2(some)).sum())


def find_relay(pins: Sequence[str], readings: Sequence[PinReading]) -> RelayFinding:
    """Which pin is which. ``pins`` are all pins the relay has, four or five, by the names they go by.

    `BadInput` for another number of pins, a pin twice, or a reading that names no pin or a pin that has 12 V on it.
    """
    pins = tuple(pins)
    if len(pins) not in (4, 5):
        raise BadInput(f"{len(pins)} pins are given; a relay has four or five here, so name all of them")
    if len(set(pins)) < len(pins):
        twice = next(pin for pin in pins if pins.count(pin) > 1)
        raise BadInput(f"pin {twice} is named twice; give every pin a name of its own")
    for reading in readings:
        _check(reading, pins)
    weights = _weigh(pins, readings)
    if weights.sum() == 0:
        return RelayFinding(pins, tuple(readings), contradiction=_contradiction(pins, readings))
    return RelayFinding(pins, tuple(readings), _weights=weights / weights.sum())


def _check(reading: PinReading, pins: tuple[str, ...]) -> None:
    for pin in (*reading.pins, *(reading.live or ())):
        if pin not in pins:
            raise BadInput(f"{reading}: there is no pin {pin}; the pins are {', '.join(pins)}")
    if reading.pins[0] == reading.pins[1] or (reading.live and reading.live[0] == reading.live[1]):
        raise BadInput(f"{reading}: it takes two different pins")
    if reading.live and set(reading.live) & set(reading.pins):
        raise BadInput(f"{reading}: ohms cannot be read on a pin that has 12 V on it; read between the other pins")


def _weigh(pins: tuple[str, ...], readings: Sequence[PinReading]) -> _Floats:
    """How well each relay of the table explains the readings, times how usual it is."""
    weights = _table(len(pins)).prior.copy()
    for reading in readings:
        fits = kinds_between(reading.ohms)
        explains = np.array([fits.get(kind, 0.0) for kind in _KINDS])
        weights *= explains[_shown(pins, reading.pins, reading.live)]
    return weights


def _shown(pins: tuple[str, ...], pair: Pair, live: Pair | None) -> _Int8s:
    """What every relay of the table shows between two pins."""
    table, (red, black) = _table(len(pins)), (pins.index(pair[0]), pins.index(pair[1]))
    shown = table.rest if live is None else table.live[pins.index(live[0]), pins.index(live[1])]
    column: _Int8s = shown[:, red, black]
    return column


def _contradiction(pins: tuple[str, ...], readings: Sequence[PinReading]) -> str:
    """No relay explains the readings: which one to take again."""
    odd = [
        reading
        for number, reading in enumerate(readings)
        if _weigh(pins, [*readings[:number], *readings[number + 1 :]]).sum() > 0
    ]
    says = f"No relay with {len(pins)} pins of its own shows these readings together."
    if odd:
        named = "; or ".join(str(reading) for reading in odd[:3])
        return f"{says} Take this one again: {named}."
    return f"{says} Look whether all pins are named, and whether something else is built in."


def _as_marked(arrangement: Arrangement) -> Arrangement:
    """Pins that ohms cannot tell apart, set as their own marks say where they carry terminal numbers."""

    def sort(group: tuple[str, ...], numbers: tuple[str, ...]) -> tuple[str, ...]:
        left, placed = list(group), []
        for number in numbers:
            own = next((pin for pin in left if pin.casefold() == number or _ISO_7588.get(pin) == number), None)
            placed.append(own)
            if own is not None:
                left.remove(own)
        return tuple(pin if pin is not None else left.pop(0) for pin in placed)

    coil = sort(arrangement.coil, ("85", "86"))
    contact = arrangement.contact
    if arrangement.form in ("make", "break", "double"):
        contact = sort(contact, tuple(number for number, _ in arrangement.numbers[2:]))
    return Arrangement(arrangement.form, (coil[0], coil[1]), contact)


def _notes(found: RelayFinding) -> list[str]:
    notes: list[str] = []
    coil = found.coil_ohms
    if coil is None:
        if any(set(r.pins) == set(found.best.coil) for r in found.readings):
            notes.append(
                "The coil shows no path this way: read it with the meter's leads changed over, for a diode in series. "
                "Where it shows none either way, the coil is broken."
            )
    elif not USUAL_COIL[0] <= coil.ohms <= USUAL_COIL[1]:
        low, high = (show(ohms, "resistance") for ohms in USUAL_COIL)
        notes.append(f"The coil reads {coil}; the usual 12 V relay has {low} to {high}, a starter relay less.")
    if found.diode == "in series":
        notes.append(f"A diode lies in series with the coil: it pulls in only with the plus on pin {found.plus}.")
    elif found.diode == "across":
        minus = next(pin for pin in found.best.coil if pin != found.plus)
        notes.append(
            f"A diode lies across the coil: the plus belongs on pin {found.plus}, the minus on {minus}; "
            "the other way round it is a short circuit."
        )
    elif coil is not None:
        notes.append(
            "Which end of the coil is 85 and which 86 makes no difference unless a diode is built in; "
            "read the coil both ways on the meter's diode range before putting 12 V on it."
        )
    contact = found.contact_ohms
    if contact is not None and contact.low > JOINED:
        notes.append(f"The closed contact reads {contact}: tarnished or burnt; clean it or renew the relay.")
    if found.form == "double" and found.certain:
        notes.append("All three contact pins are apart at rest and joined when it pulls in: any of them may be 30.")
    for one in found.found:
        marked = one.pin.casefold()
        alike = {"coil": ("85", "86"), "30 or 87": ("30", "87"), "30 or 87a": ("30", "87a")}.get(one.is_, (one.number,))
        if one.certain and marked in ("30", "85", "86", "87", "87a", "87b") and marked not in alike:
            notes.append(f"Pin {one.pin} is marked {one.pin}, but the readings make it {one.number}.")
    return notes
