"""Quantities and their units: what a person types becomes SI, what is SI becomes what a person reads.

Everything inside tickover is in SI units (metres, kilograms, pascals, radians, volts). This module alone
reads trade units and prints them. The table of units below is small and meant to be read; every factor
follows from a handful of exact definitions, and the tests compare each of them with an independent library.

>>> parse("1-1/8 in", "length").value
0.028575
>>> parse("61.24 ± 0.02 mm", "length")
Measure(value=0.06124, plus_minus=2e-05, dimension='length')
>>> show(0.0937354, "length", 0.0006)
'93.7 ± 0.6 mm'
>>> show(47.45, "torque", system="inch-pound")
'34.997 ft·lb'

Sources: NIST Special Publication 811 (2008), appendix B; ISO 80000; JCGM 100:2008 (GUM) for the ± notation.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

System = Literal["metric", "inch-pound"]
SYSTEMS: tuple[System, ...] = ("metric", "inch-pound")

# The exact definitions all factors follow from (NIST SP 811, appendix B, unless said otherwise).
INCH = 0.0254  # m, international inch of 1959
FOOT = 12 * INCH
MILE = 5280 * FOOT
POUND = 0.453_592_37  # kg, international avoirdupois pound of 1959
STANDARD_GRAVITY = 9.806_65  # m/s², 3rd CGPM 1901
POUND_FORCE = POUND * STANDARD_GRAVITY
GALLON_UK = 4.546_09e-3  # m³, Units of Measurement Regulations 1995 (UK)
GALLON_US = 231 * INCH**3
MERCURY = 13_595.1 * STANDARD_GRAVITY  # Pa per metre of column, conventional
WATER = 1000.0 * STANDARD_GRAVITY  # Pa per metre of column, conventional
ZERO_CELSIUS = 273.15  # K
DEGREE = math.pi / 180
LITRE = 1e-3

HUGE = 1e15
"""No figure on a motorcycle is as large as this in SI units; what is, is a slip of the keyboard."""

COMPOUND = ("length", "angle", "mass", "time")
"""Dimensions written with a second, smaller unit behind the first: 5 ft 3 in, 27° 30′, 1 h 20 min."""

LONGEST = 80
"""No quantity takes more characters than this to write."""


class BadInput(ValueError):
    """What was given cannot be used. The text is one clear sentence: what, where, what would be right."""


@dataclass(frozen=True, slots=True)
class Measure:
    """An SI value with one standard uncertainty (0.0 where none is known) and its dimension's name."""

    value: float
    plus_minus: float
    dimension: str


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of a dimension: ``SI = figure × factor + offset``.

    A ``reciprocal`` unit runs the other way (miles a gallon against litres for a distance):
    ``SI = factor / figure``. A ``gauge`` unit is the American wire gauge.
    """

    symbol: str
    factor: float = 1.0
    also: tuple[str, ...] = ()
    offset: float = 0.0
    kind: Literal["linear", "reciprocal", "gauge"] = "linear"

    def to_si(self, figure: float) -> float:
        """The SI value of a figure in this unit."""
        if self.kind == "reciprocal":
            if figure <= 0:
                raise BadInput(f"a figure in {self.symbol} must be more than nought")
            return self.factor / figure
        if self.kind == "gauge":
            return awg_area(figure)
        return figure * self.factor + self.offset

    def from_si(self, value: float) -> float:
        """The figure in this unit of an SI value."""
        if self.kind == "reciprocal":
            return self.factor / value if value else math.inf
        if self.kind == "gauge":
            return awg_number(value)
        return (value - self.offset) / self.factor

    def slope(self, value: float) -> float:
        """How far the figure in this unit moves for a small step of the SI value (its size, no sign)."""
        if self.kind == "reciprocal":
            return self.factor / value**2
        if self.kind == "gauge":
            return 39 / (2 * math.log(92) * value)
        return 1 / self.factor


def awg_area(number: float) -> float:
    """Cross-section in m² of an American wire gauge number (2/0 is −1).

    d = 0.005 in × 92^((36 − n)/39), ASTM B258-18, table 1: 10 AWG is 5.261 mm².

    >>> round(awg_area(10) * 1e6, 3)
    5.261
    """
    diameter: float = 0.005 * INCH * 92 ** ((36 - number) / 39)
    return math.pi / 4 * diameter**2


def awg_number(area: float) -> float:
    """American wire gauge number (not rounded) of a cross-section in m²; the inverse of `awg_area`.

    >>> round(awg_number(awg_area(14)), 9)
    14.0
    """
    diameter = math.sqrt(4 * area / math.pi)
    return 36 - 39 * math.log(diameter / (0.005 * INCH)) / math.log(92)


_SEPARATORS = re.compile(r"[\s·⋅.\-*^_]+")


def _key(spelling: str) -> str:
    """A unit's spelling without what people vary in it: spaces, dots, hyphens, raised figures."""
    return _SEPARATORS.sub("", unicodedata.normalize("NFKC", spelling))


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity: its SI unit, the unit shown in each system, and every unit it may be typed in."""

    name: str
    si: str
    metric: str
    inch_pound: str
    units: tuple[Unit, ...]
    steps: tuple[str, ...] = ()

    @cached_property
    def spellings(self) -> dict[str, Unit]:
        """Every accepted spelling, reduced by `_key`, with its unit."""
        return {_key(s): unit for unit in self.units for s in (unit.symbol, *unit.also)}

    def find(self, spelling: str) -> Unit | None:
        """The unit of this spelling, or None. Capitals matter only where they must (mΩ, MΩ)."""
        key = _key(spelling)
        if key in self.spellings:
            return self.spellings[key]
        alike = {id(u): u for k, u in self.spellings.items() if k.casefold() == key.casefold()}
        return next(iter(alike.values())) if len(alike) == 1 else None

    def unit(self, symbol: str) -> Unit:
        """The unit of this symbol; for names in the source, so an unknown one is a `KeyError`."""
        return self.spellings[_key(symbol)]

    def default(self, system: System = "metric") -> Unit:
        """The unit shown, and taken for a bare number, in a system."""
        return self.unit(self.metric if system == "metric" else self.inch_pound)

    @property
    def examples(self) -> str:
        """Two or three units to try, for the sentence about a wrong one."""
        symbols = [s for s in dict.fromkeys((self.metric, self.inch_pound, *(u.symbol for u in self.units))) if s]
        return _or(symbols[:3])


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " or " + words[-1] if words else ""


def _table() -> Iterator[Dimension]:
    """The table of dimensions and their units."""
    u = Unit
    yield Dimension("length", "m", "mm", "in", (
        u("mm", 1e-3, ("millimetre", "millimetres", "millimeter", "millimeters")),
        u("in", INCH, ('"', "inch", "inches", "''")),
        u("thou", 1e-3 * INCH, ("mil", "mils")),
        u("m", 1.0, ("metre", "metres", "meter", "meters")),
        u("cm", 1e-2),
        u("µm", 1e-6, ("um", "micron", "microns")),
        u("km", 1e3),
        u("ft", FOOT, ("'", "foot", "feet")),
        u("yd", 3 * FOOT, ("yard", "yards")),
        u("mi", MILE, ("mile", "miles")),
    ))  # fmt: skip
    yield Dimension("angle", "rad", "°", "°", (
        u("°", DEGREE, ("deg", "degs", "degree", "degrees")),
        u("rad", 1.0, ("radian", "radians")),
        u("′", DEGREE / 60, ("'", "min", "arcmin")),
        u("″", DEGREE / 3600, ('"', "sec", "arcsec", "''")),
        u("mrad", 1e-3),
        u("turn", 2 * math.pi, ("turns", "rev")),
    ))  # fmt: skip
    yield Dimension("mass", "kg", "kg", "lb", (
        u("kg", 1.0, ("kilo", "kilos")),
        u("lb", POUND, ("lbs", "pound", "pounds", "lbm")),
        u("g", 1e-3, ("gram", "grams", "gramme", "grammes")),
        u("oz", POUND / 16, ("ounce", "ounces")),
        u("st", 14 * POUND, ("stone",)),
        u("t", 1e3, ("tonne",)),
    ))  # fmt: skip
    yield Dimension("force", "N", "N", "lbf", (
        u("N", 1.0, ("newton", "newtons")),
        u("lbf", POUND_FORCE),
        u("kgf", STANDARD_GRAVITY, ("kp",)),
        u("kN", 1e3),
        u("ozf", POUND_FORCE / 16),
    ))  # fmt: skip
    yield Dimension("torque", "N·m", "N·m", "ft·lb", (
        u("N·m", 1.0, ("newton metre", "newton metres")),
        u("ft·lb", FOOT * POUND_FORCE, ("lb·ft", "lbf·ft", "ft·lbf", "ft·lbs", "lbs·ft", "foot pounds")),
        u("in·lb", INCH * POUND_FORCE, ("lb·in", "lbf·in", "in·lbf", "in·lbs", "lbs·in", "inch pounds")),
        u("kgf·m", STANDARD_GRAVITY, ("kg·m", "m·kgf", "m·kg", "kp·m")),
        u("kgf·cm", 1e-2 * STANDARD_GRAVITY, ("kg·cm", "cm·kgf", "kp·cm")),
        u("N·cm", 1e-2),
    ))  # fmt: skip
    yield Dimension("pressure", "Pa", "kPa", "psi", (
        u("kPa", 1e3),
        u("psi", POUND_FORCE / INCH**2, ("lbf/in²", "lb/in²", "lbs/in²")),
        u("bar", 1e5),
        u("Pa", 1.0, ("N/m²",)),
        u("MPa", 1e6, ("N/mm²",)),
        u("GPa", 1e9),
        u("hPa", 1e2),
        u("mbar", 1e2),
        u("kgf/cm²", 1e4 * STANDARD_GRAVITY, ("kg/cm²", "kp/cm²", "at")),
        u("atm", 101_325.0),
        u("inHg", INCH * MERCURY, ("in Hg", '"Hg')),
        u("mmHg", 1e-3 * MERCURY, ("mm Hg",)),
        u("cmHg", 1e-2 * MERCURY, ("cm Hg",)),
        u("mmH₂O", 1e-3 * WATER, ("mm H2O",)),
        u("inH₂O", INCH * WATER, ("in H2O",)),
    ))  # fmt: skip
    yield Dimension("volume", "m³", "cm³", "in³", (
        u("cm³", 1e-6, ("cc", "ccm", "cm3")),
        u("in³", INCH**3, ("cu in", "cuin", "in3", "cu inch", "cubic inch", "cubic inches")),
        u("L", LITRE, ("litre", "litres", "liter", "liters", "dm³")),
        u("mL", 1e-6),
        u("m³", 1.0),
        u("mm³", 1e-9),
        u("gal (UK)", GALLON_UK, ("UK gal", "gal UK", "imp gal", "gal(UK)")),
        u("gal (US)", GALLON_US, ("US gal", "gal US", "gal(US)")),
        u("pt (UK)", GALLON_UK / 8, ("UK pt", "pt UK", "imp pt")),
        u("pt (US)", GALLON_US / 8, ("US pt", "pt US")),
        u("qt (US)", GALLON_US / 4, ("US qt", "qt US")),
        u("fl oz (UK)", GALLON_UK / 160, ("UK fl oz", "fl oz UK")),
        u("fl oz (US)", GALLON_US / 128, ("US fl oz", "fl oz US")),
    ))  # fmt: skip
    yield Dimension("area", "m²", "mm²", "in²", (
        u("mm²", 1e-6, ("sq mm", "sqmm")),
        u("in²", INCH**2, ("sq in", "sqin")),
        u("AWG", kind="gauge"),
        u("cm²", 1e-4, ("sq cm",)),
        u("m²", 1.0),
    ))  # fmt: skip
    yield Dimension("temperature", "K", "°C", "°F", (
        u("°C", 1.0, ("C", "degC", "deg C", "celsius"), offset=ZERO_CELSIUS),
        u("°F", 5 / 9, ("F", "degF", "deg F", "fahrenheit"), offset=ZERO_CELSIUS - 32 * 5 / 9),
        u("K", 1.0, ("kelvin",)),
    ))  # fmt: skip
    yield Dimension("temperature_difference", "K", "K", "°F", (
        u("K", 1.0, ("°C", "C", "degC", "deg C", "kelvin")),
        u("°F", 5 / 9, ("F", "degF", "deg F", "°R")),
    ))  # fmt: skip
    yield Dimension("resistance", "Ω", "Ω", "Ω", (
        u("Ω", 1.0, ("ohm", "ohms", "R")),
        u("kΩ", 1e3, ("kohm", "kohms", "k")),
        u("MΩ", 1e6, ("Mohm", "Mohms", "megohm", "megohms", "M")),
        u("mΩ", 1e-3, ("mohm", "mohms", "milliohm", "milliohms")),
    ), steps=("mΩ", "Ω", "kΩ", "MΩ"))  # fmt: skip
    yield Dimension("voltage", "V", "V", "V", (
        u("V", 1.0, ("volt", "volts")), u("mV", 1e-3), u("kV", 1e3),
    ))  # fmt: skip
    yield Dimension("current", "A", "A", "A", (
        u("A", 1.0, ("amp", "amps", "ampere", "amperes")), u("mA", 1e-3), u("µA", 1e-6, ("uA",)),
    ))  # fmt: skip
    yield Dimension("charge", "C", "A·h", "A·h", (
        u("A·h", 3600.0), u("C", 1.0, ("A·s",)), u("mA·h", 3.6),
    ))  # fmt: skip
    yield Dimension("capacitance", "F", "µF", "µF", (
        u("µF", 1e-6, ("uF", "mfd")), u("nF", 1e-9), u("F", 1.0), u("pF", 1e-12),
    ))  # fmt: skip
    yield Dimension("power", "W", "W", "hp", (
        u("W", 1.0, ("watt", "watts")),
        u("kW", 1e3),
        u("hp", 550 * FOOT * POUND_FORCE, ("bhp", "horsepower")),
        u("PS", 75 * STANDARD_GRAVITY, ("metric hp", "cv")),
    ))  # fmt: skip
    yield Dimension("energy", "J", "J", "ft·lb", (
        u("J", 1.0, ("joule", "joules", "N·m")),
        u("ft·lb", FOOT * POUND_FORCE, ("ft·lbf", "lbf·ft", "lb·ft")),
        u("kJ", 1e3),
        u("mJ", 1e-3),
        u("W·h", 3600.0),
    ))  # fmt: skip
    yield Dimension("speed", "m/s", "km/h", "mph", (
        u("km/h", 1 / 3.6, ("kph", "kmh", "km/hr")),
        u("mph", MILE / 3600, ("mi/h", "mile/h", "miles/h")),
        u("m/s", 1.0),
        u("ft/s", FOOT, ("fps",)),
        u("ft/min", FOOT / 60),
    ))  # fmt: skip
    yield Dimension("rotation", "rad/s", "rpm", "rpm", (
        u("rpm", 2 * math.pi / 60, ("r/min", "1/min", "rev/min", "revs", "min⁻¹", "min-1")),
        u("rad/s", 1.0),
        u("rev/s", 2 * math.pi, ("r/s", "rps")),
    ))  # fmt: skip
    yield Dimension("acceleration", "m/s²", "m/s²", "ft/s²", (u("m/s²"), u("ft/s²", FOOT), u("g", STANDARD_GRAVITY)))
    yield Dimension("frequency", "Hz", "Hz", "Hz", (u("Hz", 1.0, ("1/s",)), u("kHz", 1e3)))
    yield Dimension("consumption", "m³/m", "L/100 km", "mpg (US)", (
        u("L/100 km", LITRE / 1e5, ("litre/100 km", "litres/100 km", "litres per 100 km")),
        u("mpg (US)", GALLON_US / MILE, ("US mpg", "mpg US"), kind="reciprocal"),
        u("mpg (UK)", GALLON_UK / MILE, ("UK mpg", "mpg UK", "imp mpg", "mpg imp"), kind="reciprocal"),
        u("km/L", LITRE / 1e3, ("kpl",), kind="reciprocal"),
        u("m³/m", 1.0),
    ))  # fmt: skip
    yield Dimension("flow", "m³/s", "mL/min", "gal (US)/h", (
        u("mL/min", 1e-6 / 60, ("cc/min", "cm³/min", "ccm/min")),
        u("gal (US)/h", GALLON_US / 3600, ("US gal/h", "gph (US)")),
        u("L/h", LITRE / 3600),
        u("L/min", LITRE / 60),
        u("gal (UK)/h", GALLON_UK / 3600, ("UK gal/h", "gph (UK)")),
        u("m³/s", 1.0),
        u("cfm", FOOT**3 / 60, ("ft³/min",)),
    ))  # fmt: skip
    yield Dimension("density", "kg/m³", "kg/m³", "lb/ft³", (
        u("kg/m³"), u("lb/ft³", POUND / FOOT**3), u("g/cm³", 1e3, ("kg/L", "g/mL", "g/cc")), u("g/L"),
    ))  # fmt: skip
    yield Dimension("spring_rate", "N/m", "N/mm", "lbf/in", (
        u("N/mm", 1e3, ("kN/m",)),
        u("lbf/in", POUND_FORCE / INCH, ("lb/in", "lbs/in")),
        u("kgf/mm", 1e3 * STANDARD_GRAVITY, ("kg/mm",)),
        u("N/m"),
    ))  # fmt: skip
    yield Dimension("time", "s", "min", "min", (
        u("min", 60.0, ("minute", "minutes")),
        u("h", 3600.0, ("hour", "hours", "hr", "hrs")),
        u("s", 1.0, ("sec", "secs", "second", "seconds")),
        u("ms", 1e-3),
        u("day", 86_400.0, ("days", "d")),
    ))  # fmt: skip
    yield Dimension("ratio", "1", "", "", (u("", 1.0, ("1",)), u("%", 1e-2, ("per cent", "percent"))))
    yield Dimension("count", "1", "", "", (u("", 1.0, ("off", "pcs", "pieces", "teeth", "T")),))


DIMENSIONS: dict[str, Dimension] = {dimension.name: dimension for dimension in _table()}

_SAME = str.maketrans({
    **dict.fromkeys("−–—‒﹣－", "-"), **dict.fromkeys("\u00a0\u2009\u202f\u2007\u200a\t\n\r", " "),
    **dict.fromkeys("′’‘´`", "'"), **dict.fromkeys("″”“", '"'), **dict.fromkeys("º˚", "°"), "⁄": "/",
})  # fmt: skip
_VULGAR = re.compile(r"(?<=\d)?\s*([¼-¾⅐-⅞])")

_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\s*
    (?: (?P<whole>\d+)(?:\s+|-)(?P<over>\d+)\s*/\s*(?P<under>\d+)
      | (?P<top>\d+)\s*/\s*(?P<bottom>\d+)
      | (?P<decimal>\d{1,3}(?:[ ]\d{3})+(?![\d])(?:[.,]\d+)? | \d[\d.,]*(?<![.,]) | [.,]\d+ | \d+[.,])
        (?:\((?P<last>\d+(?:[.,]\d+)?)\))?
        (?P<exponent>[eE][+-]?\d+)?
    )""",
    re.VERBOSE,
)
_PLUS_MINUS = re.compile(r"±|\+\s*/\s*-|\+-")
_BRACKETED = re.compile(r"\(([^()]*±[^()]*)\)(.*)")
_GAUGE = re.compile(r"(?:AWG\s*)?(?:(\d)/0|(-?\d+(?:\.\d+)?))(?:\s*AWG)?", re.IGNORECASE)


def parse(text: str, dimension: str, *, unit: str | None = None) -> Measure:
    """What a person typed, as an SI value with one standard uncertainty.

    A bare number is in ``unit``, or in the dimension's metric unit. A ± counts as one standard uncertainty;
    so does the bracket in "61.24(2) mm", in units of the last place. Raises `BadInput`, one clear sentence.

    >>> round(parse("27° 30'", "angle").value / DEGREE, 6)
    27.5
    >>> parse("50", "speed", unit="mph").value
    22.352
    >>> parse("3 bananas", "length")
    Traceback (most recent call last):
    ...
    tickover.units.BadInput: '3 bananas' for length: 'bananas' is no unit of length; try mm, in or thou
    """
    kind = DIMENSIONS[dimension]
    plain = _VULGAR.sub(lambda m: " " + _as_fraction(m[1]), text).translate(_SAME).strip()
    plain = _PLUS_MINUS.sub("±", plain)
    shown = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    shown = shown if len(shown) <= LONGEST else shown[:LONGEST] + "…"
    try:
        if len(plain) > LONGEST:
            raise BadInput(f"it is too long; write a number and a unit, such as {kind.examples}")
        return _parse(plain, kind, kind.default() if unit is None else kind.unit(unit))
    except BadInput as error:
        raise BadInput(f"'{shown}' for {_spoken(kind)}: {error}") from None


def _parse(text: str, kind: Dimension, bare: Unit) -> Measure:
    bracketed = _BRACKETED.fullmatch(text)
    if bracketed:
        text = bracketed[1] + bracketed[2]
    middle, *spreads = [part.strip() for part in text.split("±")]
    if len(spreads) > 1:
        raise BadInput("it has more than one ±; write it once, as in '61.24 ± 0.02 mm'")
    spread = spreads[0] if spreads else None
    gauge = _gauge(middle, kind, bare)
    if gauge is not None:
        value, plus_minus, last = awg_area(gauge), 0.0, kind.unit("AWG")
    else:
        if spread and (match := _NUMBER.match(middle)) and match.end() == len(middle):
            tail = _NUMBER.match(spread)
            own = kind.find(spread[tail.end() :]) if tail and spread[tail.end() :].strip() else None
            bare = own if own is not None and own.symbol != "%" else bare
        value, plus_minus, last = _sum(middle, kind, bare)
    if spread is not None:
        if plus_minus:
            raise BadInput("it carries its uncertainty twice; use either ± or the bracket")
        plus_minus = _spread(spread, value, kind, last)
    if not abs(value) < HUGE or not plus_minus < HUGE:
        raise BadInput("the figure is too large to be meant; check the digits and the unit")
    if kind.name == "temperature" and value < 0:
        raise BadInput("nothing is colder than −273.15 °C; check the figure and the unit")
    return Measure(_tidy(value), _tidy(plus_minus), kind.name)


def _tidy(value: float) -> float:
    """The value to 15 digits: 3/8 in is then 0.009525 m, without what the factor's rounding left behind."""
    return float(f"{value:.15g}")


def _spread(text: str, value: float, kind: Dimension, unit: Unit) -> float:
    """The SI size of what stands behind a ±: a figure in the unit before it, in its own unit, or per cent."""
    match = _NUMBER.match(text)
    if match is None:
        raise BadInput("there is no number behind the ±")
    figure, _ = _number(match)
    rest = text[match.end() :].strip()
    if figure < 0:
        raise BadInput("the figure behind the ± must not be negative")
    if rest in ("%", "per cent", "percent"):
        return abs(value) * figure / 100
    own = kind.find(rest) if rest else unit
    if own is None:
        raise BadInput(_no_unit(rest, kind))
    return figure / own.slope(value) if figure else 0.0


def _gauge(text: str, kind: Dimension, bare: Unit) -> float | None:
    if kind.name != "area" or not ("awg" in text.lower() or bare.kind == "gauge"):
        return None
    match = _GAUGE.fullmatch(text)
    if match is None:
        return None
    number = 1.0 - float(match[1]) if match[1] else float(match[2])
    if not -3 <= number <= 40:
        raise BadInput("wire gauges run from 4/0 to 40 AWG")
    return number


def _sum(text: str, kind: Dimension, bare: Unit) -> tuple[float, float, Unit]:
    """The SI value and uncertainty of one quantity, or of a compound such as 5 ft 3 in, and its last unit."""
    if kind.name == "ratio" and text.count(":") == 1:
        top, bottom = (_only_number(part.strip()) for part in text.split(":"))
        if bottom == 0:
            raise BadInput("a ratio to nought means nothing")
        return top / bottom, 0.0, bare
    total, spread, sign, units = 0.0, 0.0, 1.0, list[Unit]()
    several = f"it has more than one figure; write a number and a unit, such as {kind.examples}"
    rest = text
    while rest:
        match = _NUMBER.match(rest)
        if match is None:
            raise BadInput(f"it does not start with a number; write a number and a unit, such as {kind.examples}")
        figure, last_place = _number(match)
        rest = rest[match.end() :].strip()
        unit: Unit | None = bare
        if rest:
            unit = kind.find(rest)
            if unit is not None:
                rest = ""
            else:
                spelling = re.split(r"(?=[\d.,]*\d)", rest, maxsplit=1)[0].strip() or rest
                if not _key(spelling) or spelling[0].isdigit():
                    raise BadInput(several)
                unit = kind.find(spelling)
                if unit is None or spelling == rest:
                    raise BadInput(_no_unit(rest if _foreign(rest, kind) else spelling, kind))
                rest = rest[len(spelling) :].strip()
        elif units:
            raise BadInput(f"'{match[0].strip()}' at its end has no unit; write a unit behind each figure")
        assert unit is not None
        whole = units[-1].factor if units else math.inf
        if units and (kind.name not in COMPOUND or unit.factor >= whole or match["sign"]):
            raise BadInput(several)
        if not units:
            sign = -1.0 if match["sign"] == "-" else 1.0
            total = unit.to_si(figure)
            spread = last_place / unit.slope(total) if last_place else 0.0
        else:
            total += sign * unit.to_si(figure)
            spread = math.hypot(spread, last_place / unit.slope(total))
        units.append(unit)
    if not units:
        raise BadInput(f"it is empty; write a number and a unit, such as {kind.examples}")
    return total, spread, units[-1]


def _only_number(text: str) -> float:
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise BadInput("write it as a number or as two numbers, such as 42:17")
    return _number(match)[0]


def _number(match: re.Match[str]) -> tuple[float, float]:
    """The figure a `_NUMBER` match stands for, and the uncertainty its bracket gives (0.0 without one)."""
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["decimal"] is None:
        whole, over, under = (
            match["whole"] or "0",
            match["over"] or match["top"],
            match["under"] or match["bottom"],
        )
        if int(under) == 0:
            raise BadInput("a fraction over nought means nothing")
        if match["whole"] and int(over) >= int(under):
            raise BadInput(f"'{over}/{under}' behind a whole number is more than one; check the fraction")
        return sign * (int(whole) + int(over) / int(under)), 0.0
    digits = _point(match["decimal"])
    power = match["exponent"] or ""
    last = 0.0
    if match["last"]:
        places = 0 if "." in match["last"] or "," in match["last"] else len(digits.partition(".")[2])
        last = float(match["last"].replace(",", ".") + power) / 10**places
    return sign * float(digits + power), last


def _point(digits: str) -> str:
    """Digits as Python reads them: groups closed up, a decimal comma turned into a point."""
    digits = digits.replace(" ", "")
    commas, points = digits.count(","), digits.count(".")
    if commas and points:
        mark, group = (",", ".") if digits.rfind(",") > digits.rfind(".") else (".", ",")
        whole, _, part = digits.rpartition(mark)
        if not re.fullmatch(rf"\d{{1,3}}(\{group}\d{{3}})+", whole) or not part.isdigit():
            raise BadInput("its points and commas do not fit together; write it with one decimal point")
        return whole.replace(group, "") + "." + part
    if commas > 1 or points > 1:
        mark = "," if commas else "."
        if not re.fullmatch(rf"\d{{1,3}}(\{mark}\d{{3}})+", digits):
            raise BadInput("its points and commas do not fit together; write it with one decimal point")
        return digits.replace(mark, "")
    if commas and re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
        plain, point = digits.replace(",", ""), digits.replace(",", ".")
        raise BadInput(f"'{digits}' can be read as {plain} or as {point}; write the one that is meant")
    return digits.replace(",", ".")


def _as_fraction(vulgar: str) -> str:
    return unicodedata.normalize("NFKC", vulgar).replace("⁄", "/")


def _spoken(kind: Dimension) -> str:
    return kind.name.replace("_", " ")


def _foreign(spelling: str, kind: Dimension) -> Dimension | None:
    """Another dimension that has this unit."""
    return next((d for d in DIMENSIONS.values() if d is not kind and _key(spelling) in d.spellings), None)


def _no_unit(spelling: str, kind: Dimension) -> str:
    if kind.name == "consumption" and _key(spelling).lower() == "mpg":
        return "UK and US gallons differ; write mpg (UK) or mpg (US)"
    if kind.name in ("volume", "flow") and _key(spelling).lower().startswith(("gal", "pt", "pint", "floz", "qt")):
        per = "/h" if kind.name == "flow" else ""
        return f"UK and US measures differ; write which, such as gal (UK){per} or gal (US){per}"
    if kind.name == "resistance" and _key(spelling).casefold() in ("mohm", "mohms", "mω"):
        return "capitals matter here; write mΩ for a thousandth or MΩ for a million ohms"
    other = _foreign(spelling, kind)
    try_ = f"; try {kind.examples}" if kind.examples else "; write a plain number"
    if other is not None:
        return f"'{spelling}' is a unit of {_spoken(other)}{try_}"
    return f"'{spelling}' is no unit of {_spoken(kind)}{try_}"


def show(
    value: float,
    dimension: str,
    plus_minus: float = 0.0,
    system: System = "metric",
    *,
    unit: str | None = None,
    digits: int = 5,
) -> str:
    """An SI value as a person reads it; its digits follow its uncertainty, or ``digits`` where it has none.

    >>> show(0.06124, "length", 2e-05)
    '61.24 ± 0.02 mm'
    >>> show(293.15, "temperature", system="inch-pound")
    '68 °F'
    """
    figure, symbol = split(value, dimension, plus_minus, system, unit=unit, digits=digits)
    gap = "" if symbol in ("°", "′", "″", "") else " "
    return f"{figure}{gap}{symbol}"


def split(
    value: float,
    dimension: str,
    plus_minus: float = 0.0,
    system: System = "metric",
    *,
    unit: str | None = None,
    digits: int = 5,
) -> tuple[str, str]:
    """Figure and unit apart, for a table whose unit stands in the column head.

    >>> split(0.06124, "length", 2e-05)
    ('61.24 ± 0.02', 'mm')
    >>> split(4700.0, "resistance")
    ('4.7', 'kΩ')
    """
    kind = DIMENSIONS[dimension]
    chosen = kind.default(system) if unit is None else kind.unit(unit)
    if unit is None and kind.steps:
        fitting = [kind.unit(step) for step in kind.steps if abs(value) >= kind.unit(step).factor]
        chosen = max([kind.default(system), *fitting], key=lambda u: u.factor)
    if chosen.kind != "linear" and value <= 0:
        return "none", chosen.symbol
    figure = chosen.from_si(value)
    spread = plus_minus * chosen.slope(value) if plus_minus else 0.0
    if chosen.kind == "gauge" and not spread:
        nearest = round(figure)
        if abs(figure - nearest) < 5e-3 and nearest < 1:
            return f"{1 - nearest}/0", chosen.symbol
    return _figures(figure, spread, digits), chosen.symbol


def _figures(figure: float, spread: float, digits: int) -> str:
    if not math.isfinite(figure):
        return "none"
    if not spread > 1e-12 * abs(figure) or not math.isfinite(spread):
        return _signed(_plain(figure, digits))
    power = math.floor(math.log10(spread))
    places = -power + (1 if round(spread / 10**power, 1) < 2 else 0)
    if places > 9 or power > 9:
        return _signed(f"{figure:.{digits}g}") + f" ± {spread:.1g}"
    return _signed(f"{round(figure, places):.{max(places, 0)}f}") + f" ± {round(spread, places):.{max(places, 0)}f}"


def _plain(figure: float, digits: int) -> str:
    """A number to so many significant digits, no trailing noughts, seldom an exponent."""
    if figure == 0:
        return "0"
    power = math.floor(math.log10(abs(figure)))
    if not -7 <= power <= 9:
        return f"{figure:.{digits - 1}e}"
    places = digits - 1 - power
    text = f"{round(figure, places):.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _signed(text: str) -> str:
    unsigned = text.lstrip("-")
    return "−" + unsigned if text.startswith("-") and unsigned.strip("0.") else unsigned
