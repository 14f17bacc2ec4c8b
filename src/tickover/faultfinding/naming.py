"""Tests and readings as they are written: `volts:IGN.15@KEY=on`, `volts:IGN.15@KEY=on=12.4`, `seen:spark=no`.

A test is a kind, what it is taken on, and where the switches stand. A reading is a test and its value; the
value follows the last `=`. Everything is checked against the loom, and every error is one sentence.
"""

import difflib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tickover.chapters import causes
from tickover.chapters.electrics.loom.document import Component, Loom
from tickover.units import BadInput, parse

KINDS = ("volts", "ohms", "lamp", "seen")
LAMP_ANSWERS = ("bright", "dim", "out")
YES_NO = ("yes", "no")
UNSURE, OUT_OF_REACH = "unsure", "out_of_reach"
NO_ANSWER = (UNSURE, OUT_OF_REACH)
OPEN_LINE = math.inf
"""The value of an ohms reading that shows no path."""

_OPEN_WORDS = ("ol", "o.l", "o.l.", "0l", "open", "inf", "infinite", "∞", "no path")
_HIGHEST_VOLTS = 1000.0
_SEEN_KINDS = {"spark": "ignition_coil", "lit": "bulb"}


@dataclass(frozen=True, order=True)
class Test:
    """One thing to look at or measure. `settings` names only switches that do not stand where their `at` says."""

    kind: str
    what: tuple[str, ...]
    settings: tuple[tuple[str, str], ...] = ()

    __test__ = False  # not a test case of pytest

    def __str__(self) -> str:
        at = "@" + ",".join(f"{switch}={position}" for switch, position in self.settings) if self.settings else ""
        return f"{self.kind}:{','.join(self.what)}{at}"

    @property
    def is_observation(self) -> bool:
        """True for what another chapter than the loom asks."""
        return self.kind == "seen" and self.what[0] in causes.OBSERVATIONS

    @property
    def answers(self) -> tuple[str, ...]:
        """The words this test is answered with; empty where the answer is a figure."""
        if self.kind == "lamp":
            return LAMP_ANSWERS
        if self.kind == "seen":
            return causes.OBSERVATIONS[self.what[0]].answers if self.is_observation else YES_NO
        return ()


@dataclass(frozen=True)
class Reading:
    """A test and what it showed: volts, ohms (`OPEN_LINE` for no path) or one of the test's words."""

    test: Test
    value: float | str

    def __str__(self) -> str:
        if self.value == OPEN_LINE:
            return f"{self.test}=OL"
        return f"{self.test}={self.value if isinstance(self.value, str) else format(self.value, '.6g')}"

    @property
    def tells(self) -> bool:
        """False for `unsure` and `out_of_reach`."""
        return self.value not in NO_ANSWER


def settings_key(loom: Loom, settings: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Settings in one form: in the loom's order, without what stands at its `at` anyway."""
    stands = loom.positions(settings)
    return tuple((part, at) for part, at in stands.items() if at != loom.component(part).at)


def parse_test(text: str, loom: Loom) -> Test:
    """The test this text names, checked against the loom. Raises BadInput."""
    head, at, tail = text.strip().partition("@")
    kind, colon, what = head.partition(":")
    if not colon or kind not in KINDS:
        raise BadInput(
            f"'{_short(text)}' is no test; a test starts with volts:, ohms:, lamp: or seen:, "
            "such as volts:IGN.15@KEY=on"
        )
    settings = _settings(tail, text, loom) if at else {}
    if kind == "seen":
        subject = _seen(what, text, loom)
        if subject in causes.OBSERVATIONS:
            settings = {}
        return Test("seen", (subject,), settings_key(loom, settings))
    pins = tuple(_pin(pin.strip(), text, loom) for pin in what.split(","))
    if kind == "ohms" and len(pins) == 1:
        raise BadInput(f"'{_short(text)}' names one pin; ohms are read between two, such as ohms:F1.a,F1.b")
    if kind == "ohms" and (len(pins) > 2 or pins[0] == pins[1]):
        raise BadInput(f"'{_short(text)}': ohms are read between two different pins, such as ohms:F1.a,F1.b")
    if kind != "ohms" and len(pins) > 1:
        raise BadInput(f"'{_short(text)}' names {len(pins)} pins; {kind} is taken on one pin, against earth")
    return Test(kind, pins, settings_key(loom, settings))


def parse_reading(text: str, loom: Loom) -> Reading:
    """The reading this text is: TEST=VALUE. Raises BadInput."""
    test_text, equals, value = text.strip().rpartition("=")
    if not equals or not test_text.strip():
        raise BadInput(
            f"'{_short(text)}' is no reading; write TEST=VALUE, such as volts:IGN.15@KEY=on=12.4 or seen:spark=no"
        )
    settings = test_text.partition("@")[2]
    if settings and "=" not in settings.rpartition(",")[2]:
        raise BadInput(
            f"'{_short(text)}' has no value: what follows the last '=' is taken for it; write {_short(text)}=VALUE"
        )
    return with_value(parse_test(test_text, loom), value)


def parse_complaint(text: str, loom: Loom) -> Reading:
    """A complaint: a reading of the `seen` kind with an answer. Raises BadInput."""
    reading = parse_reading(text, loom)
    if reading.test.kind != "seen":
        raise BadInput(
            f"'{_short(text)}' is no complaint; a complaint is what can be seen without a meter, "
            "such as seen:spark@KEY=on=no"
        )
    if not reading.tells:
        raise BadInput(f"'{_short(text)}' does not say what was seen; a complaint needs an answer, such as no")
    return reading


def with_value(test: Test, value: str) -> Reading:
    """A reading of this test, its value read from text. Raises BadInput."""
    plain = value.strip()
    word = plain.casefold().replace(" ", "_")
    if word in NO_ANSWER:
        return Reading(test, word)
    for answer in test.answers:
        if word == answer.replace(" ", "_"):
            return Reading(test, answer)
    if test.answers:
        raise BadInput(
            f"'{_short(plain)}' is no answer to {test}; it is answered {_either(test.answers)}, or "
            f"{UNSURE} or {OUT_OF_REACH}"
        )
    if not plain:
        raise BadInput(f"{test} has no value behind the '='; write a figure, {UNSURE} or {OUT_OF_REACH}")
    if test.kind == "ohms" and plain.casefold() in _OPEN_WORDS:
        return Reading(test, OPEN_LINE)
    try:
        figure = parse(plain, "voltage" if test.kind == "volts" else "resistance").value
    except BadInput as error:
        instead = ", OL for no path" if test.kind == "ohms" else ""
        raise BadInput(f"{test}: {error} (or{instead} {UNSURE} or {OUT_OF_REACH})".replace("(or,", "(or")) from None
    if test.kind == "ohms" and figure < 0.0:
        raise BadInput(f"{test}: {_short(plain)} is below zero; write ohms from 0 up, or OL for no path")
    if test.kind == "volts" and abs(figure) > _HIGHEST_VOLTS:
        raise BadInput(f"{test}: {_short(plain)} is more than a loom has; write volts up to {_HIGHEST_VOLTS:g}")
    return Reading(test, figure)


def _settings(text: str, whole: str, loom: Loom) -> dict[str, str]:
    settings: dict[str, str] = {}
    switches = [part.id for part in loom.components if part.kind == "switch"]
    for piece in text.split(","):
        switch, equals, position = (s.strip() for s in piece.partition("="))
        if not equals or not position:
            raise BadInput(f"'{_short(whole)}': '{piece}' is no setting; write SWITCH=POSITION, such as KEY=on")
        if switch not in switches:
            raise BadInput(f"'{_short(whole)}': the loom has no switch '{switch}'{_nearest(switch, switches)}")
        positions = loom.component(switch).positions
        if position not in positions:
            raise BadInput(
                f"'{_short(whole)}': switch {switch} has no position '{position}'; it has {_either(positions)}"
            )
        if settings.setdefault(switch, position) != position:
            raise BadInput(f"'{_short(whole)}' sets {switch} twice; give it one position")
    return settings


def _pin(pin: str, whole: str, loom: Loom) -> str:
    every = [p for pins in loom.pins.values() for p in pins]
    if pin in every:
        return pin
    own = loom.pins.get(pin.partition(".")[0])
    if own:
        raise BadInput(f"'{_short(whole)}': the loom has no pin '{pin}'; {pin.partition('.')[0]} has {_either(own)}")
    raise BadInput(f"'{_short(whole)}': the loom has no pin '{pin}'{_nearest(pin, every)}")


def _seen(what: str, whole: str, loom: Loom) -> str:
    subject, dot, part = what.partition(".")
    if what in ("cranks", "spark", "fires"):
        needed = {"cranks": "starter", "spark": "ignition_coil", "fires": "ignition_coil"}[what]
        if not any(component.kind == needed for component in loom.components):
            raise BadInput(f"'{_short(whole)}': the loom has no {needed.replace('_', ' ')}, so {what} cannot be seen")
        return what
    if what in causes.OBSERVATIONS:
        return what
    if dot and subject in ("spark", "lit", "sounds"):
        fit = [c.id for c in loom.components if can_be_seen(c, subject)]
        if part in fit:
            return what
        name = {"spark": "an ignition coil", "lit": "a bulb", "sounds": "a relay or a resistor"}[subject]
        raise BadInput(f"'{_short(whole)}': '{part}' is not {name} of the loom{_nearest(part, fit)}")
    known = ["cranks", "spark", "spark.COIL", "lit.BULB", "sounds.RELAY", "fires", *causes.OBSERVATIONS]
    raise BadInput(f"'{_short(whole)}': nothing is known to be seen as '{what}'{_nearest(what, known)}")


def can_be_seen(part: Component, subject: str) -> bool:
    """Whether `seen:subject.ID` makes sense for this component; a resistor may stand for a horn."""
    if subject == "sounds":
        return part.kind in ("relay", "resistor")
    return part.kind == _SEEN_KINDS.get(subject)


def _nearest(word: str, known: Iterable[str]) -> str:
    names = list(known)
    if not names:
        return "; it has none"
    close = difflib.get_close_matches(word, names, 1, 0.5)
    return f"; did you mean {close[0]}?" if close else f"; it has {_either(names)}"


def _either(words: Iterable[str]) -> str:
    names = list(words)
    if len(names) > 8:
        return ", ".join(names[:8]) + " and others"
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " or " + names[-1] if names else "none"


def _short(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= 80 else text[:80] + "…"
