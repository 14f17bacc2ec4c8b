"""The kinds of component a loom may hold: their pins, and the values each must carry.

This one table is what the document is checked against, what the solver takes its pins from, and what the
manual lists. Terminal numbers follow DIN 72552.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from tickover.standards import wire


@dataclass(frozen=True)
class Value:
    """One number that a component or wire carries, with the range in which it can be used."""

    key: str
    unit: str
    low: float
    high: float
    default: float | None = None
    """What stands when the document gives nothing; ``None``: the document must give it."""


@dataclass(frozen=True)
class Kind:
    """What a kind of component is made of."""

    pins: tuple[str, ...] = ()
    """Pins that every one of this kind has."""
    more_pins: str = ""
    """A pattern for further pins that exist when a wire or a contact uses them; empty: none."""
    values: tuple[Value, ...] = ()
    words: tuple[tuple[str, tuple[str, ...], str | None], ...] = ()
    """Keys that take one of a few words: key, words, and the default (``None``: must be given)."""
    through: tuple[str, str] | None = None
    """The two ends, for a component that is one path from one pin to another."""
    must_be_wired: tuple[str, ...] = ()
    """Pins without which it can do nothing."""

    def has_pin(self, pin: str) -> bool:
        return pin in self.pins or bool(self.more_pins and re.fullmatch(self.more_pins, pin))


_ANY_PIN = r"[A-Za-z0-9_+-]+"


def _ohms(key: str = "ohms", default: float | None = None) -> Value:
    return Value(key, "ohm", 1e-6, 1e9, default)


def _two_ends(first: str, second: str, *values: Value) -> Kind:
    ends = (first, second)
    return Kind(pins=ends, values=values, through=ends, must_be_wired=ends)


KINDS: dict[str, Kind] = {
    "battery": _two_ends("+", "-", Value("volts", "V", 0.0, 1000.0), _ohms()),
    "fuse": _two_ends("a", "b", Value("amps", "A", 0.01, 1000.0), _ohms()),
    "switch": Kind(more_pins=_ANY_PIN, values=(_ohms("contact_ohms", 0.005),)),
    "relay": Kind(
        pins=("85", "86", "30", "87", "87a"),
        values=(
            _ohms("coil_ohms"),
            Value("pull_in_volts", "V", 1e-3, 1000.0),
            Value("drop_out_volts", "V", 0.0, 1000.0),
            _ohms("contact_ohms", 0.01),
        ),
        words=(("contact", ("make", "break", "changeover"), None),),
        must_be_wired=("85", "86", "30"),
    ),
    "diode": _two_ends("a", "k", Value("saturation_amps", "A", 1e-20, 1e-2), Value("ideality", "", 0.5, 10.0)),
    "bulb": _two_ends("a", "b", Value("watts", "W", 1e-3, 10000.0), Value("volts", "V", 0.1, 1000.0)),
    "resistor": _two_ends("a", "b", _ohms()),
    "ignition_coil": Kind(
        pins=("15", "1"),
        more_pins="4|4a|4b",
        values=(_ohms("primary_ohms"), _ohms("secondary_ohms")),
        through=("15", "1"),
        must_be_wired=("15", "1"),
    ),
    "igniter": Kind(
        pins=("15", "31", "trigger", "inhibit"),
        more_pins="1[a-z]",
        values=(_ohms("draw_ohms"), _ohms("on_ohms"), Value("min_volts", "V", 0.0, 1000.0)),
        words=(("inhibit", ("grounded", "live", "none"), "none"),),
        must_be_wired=("15", "31", "trigger"),
    ),
    "starter": _two_ends("+", "-", _ohms()),
    "pickup": _two_ends("a", "b", _ohms()),
    "splice": Kind(more_pins=_ANY_PIN),
    "ground": Kind(more_pins=_ANY_PIN),
}

WIRE_VALUES: tuple[Value, ...] = (
    Value("mm2", "mm²", 0.01, 500.0),
    Value("length_mm", "mm", 0.1, 1e6),
    Value("contact_ohms", "ohm", 0.0, 1e9, 0.0),
)

#: Temperature of the loom.
CELSIUS = Value("celsius", "°C", -60.0, 250.0, 20.0)

#: Contacts of a relay: (pins, closed while pulled in).
RELAY_CONTACTS: dict[str, tuple[tuple[str, str, bool], ...]] = {
    "make": (("30", "87", True),),
    "break": (("30", "87a", False),),
    "changeover": (("30", "87", True), ("30", "87a", False)),
}

CONDITIONS = ("good", "worn", "damaged", "missing", "unknown")

#: Colour codes of IEC 60757 with their words; two codes, main colour first, make a striped wire: GN/YE.
COLOURS: dict[str, str] = {code: word for code, (word, _) in wire.COLOURS.items()}
