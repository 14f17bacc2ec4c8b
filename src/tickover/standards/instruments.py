"""What the workshop measures with, and how far each reading may be off.

An instrument's greatest permissible error comes from its standard where there is one; where there is none, the
entry says that it is assumed. A reading's standard uncertainty takes the permissible error and the reading
step as rectangular (JCGM 100:2008, GUM, 4.3.7): half-width over √3, added in quadrature.

>>> round(uncertainty("digital_calliper", 0.06124) * 1e6, 1)  # micrometres
11.9
"""

# ruff: noqa: E501 (the table is there to be read as a table)

from __future__ import annotations

import math
from dataclasses import dataclass

from tickover.units import BadInput


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument: what it measures, its range, step and greatest permissible error, all in SI units.

    The permissible error is ``error + relative × |value|``. ``step`` is the smallest difference a person reads.
    """

    id: str
    name: str
    dimension: str
    low: float
    high: float
    step: float
    error: float
    relative: float
    source: str

    def permissible(self, value: float) -> float:
        """Greatest permissible error in SI units at this value."""
        return self.error + self.relative * abs(value)

    def uncertainty(self, value: float) -> float:
        """Standard uncertainty in SI units of one reading of this value."""
        return math.hypot(self.permissible(value), self.step / 2) / math.sqrt(3)


_DIN_862 = "DIN 862 error limits, for callipers to ISO 13385-1"
_ASSUMED = "assumed: no standard sets it"
_METER = "usual for a 2000-count hand meter (the meter's own leaflet goes first)"
_MID = "Directive 2014/32/EU, annex X, class II"
_DEGREE = math.pi / 180

# fmt: off
_ALL = (
    #          id                  name                                dimension     low     high    step     error    relative  source
    Instrument("steel_rule",       "steel rule",                       "length",     0.0,    1.0,    0.5e-3,  0.3e-3,  0.2e-3,   _MID),
    Instrument("tape_measure",     "tape measure",                     "length",     0.0,    5.0,    1e-3,    0.3e-3,  0.2e-3,   _MID),
    Instrument("vernier_calliper", "vernier calliper, 0.05 mm",        "length",     0.0,    0.2,    0.05e-3, 0.05e-3, 0.0,      _DIN_862),
    Instrument("digital_calliper", "digital calliper, 0.01 mm",        "length",     0.0,    0.2,    0.01e-3, 0.02e-3, 0.0,      _DIN_862),
    Instrument("micrometer",       "outside micrometer, 0.01 mm",      "length",     0.0,    0.1,    0.01e-3, 5e-6,    0.0,      "DIN 863-1 error limits, for micrometers to ISO 3611"),
    Instrument("inside_micrometer","inside micrometer",                "length",     0.005,  0.15,   0.01e-3, 8e-6,    0.0,      "DIN 863-4 error limits, rounded up"),
    Instrument("telescopic_gauge", "telescopic gauge and micrometer",  "length",     0.008,  0.15,   0.01e-3, 0.02e-3, 0.0,      _ASSUMED + "; the feel of two transfers"),
    Instrument("bore_gauge",       "dial bore gauge set by micrometer","length",     0.018,  0.15,   0.01e-3, 0.01e-3, 0.0,      _ASSUMED + "; micrometer and dial together"),
    Instrument("dial_gauge",       "dial gauge, 0.01 mm",              "length",     0.0,    0.01,   0.01e-3, 17e-6,   0.0,      "DIN 878 total error, for dial gauges to ISO 463"),
    Instrument("feeler_gauge",     "feeler gauge",                     "length",     0.03e-3,1e-3,   0.02e-3, 3e-6,    1 / 80,   "DIN 2275 blade tolerance; leaves combine in steps of 0.02 mm"),
    Instrument("depth_calliper",   "depth rod of a calliper",          "length",     0.0,    0.2,    0.01e-3, 0.05e-3, 0.0,      _DIN_862 + "; rod rocking, assumed"),
    Instrument("fuel_level_tube",  "clear tube against the joint face","length",     -0.05,  0.05,   0.5e-3,  0.5e-3,  0.0,      _ASSUMED + "; the curve of the surface in the tube"),
    Instrument("angle_finder",     "digital angle finder, 0.1°",       "angle",      -math.pi, math.pi, 0.1 * _DEGREE, 0.2 * _DEGREE, 0.0, _ASSUMED + "; usual for the trade"),
    Instrument("bevel_protractor", "bevel protractor, 5′",             "angle",      -math.pi, math.pi, _DEGREE / 12, _DEGREE / 12, 0.0, _ASSUMED + "; one reading step"),
    Instrument("timing_disc",      "degree disc on the crankshaft",    "angle",      -4 * math.pi, 4 * math.pi, _DEGREE, 0.5 * _DEGREE, 0.0, _ASSUMED),
    Instrument("multimeter_millivolts", "multimeter, 200 mV range",    "voltage",    -0.2,   0.2,    1e-4,    2e-4,    0.005,    _METER),
    Instrument("multimeter_volts", "multimeter, 20 V range",           "voltage",    -20.0,  20.0,   0.01,    0.02,    0.005,    _METER),
    Instrument("multimeter_ohms",  "multimeter, 200 Ω range",          "resistance", 0.0,    200.0,  0.1,     0.5,     0.008,    _METER + "; 0.2 Ω of test leads"),
    Instrument("multimeter_kilohms", "multimeter, 20 kΩ range",        "resistance", 200.0,  20e3,   10.0,    20.0,    0.008,    _METER),
    Instrument("multimeter_amps",  "multimeter, 10 A range",           "current",    -10.0,  10.0,   0.01,    0.03,    0.02,     _METER),
    Instrument("clamp_meter",      "clamp meter, 200 A range",         "current",    -200.0, 200.0,  0.1,     0.5,     0.025,    _METER),
    Instrument("compression_gauge","compression gauge, 20 bar",        "pressure",   0.0,    2e6,    0.25e5,  0.5e5,   0.0,      "EN 837-1, class 2.5: 2.5 % of full scale"),
    Instrument("tyre_gauge",       "tyre pressure gauge",              "pressure",   0.0,    4e5,    0.1e5,   0.08e5,  0.0,      "EN 12645, up to 4 bar"),
    Instrument("spring_scale",     "spring scale, 500 N",              "force",      0.0,    500.0,  5.0,     5.0,     0.0,      _ASSUMED + "; 1 % of full scale"),
    Instrument("torque_wrench",    "torque wrench",                    "torque",     10.0,   210.0,  0.5,     0.0,     0.04,     "ISO 6789-1:2017, 4 % above 10 N·m"),
    Instrument("balance",          "kitchen balance, 1 g",             "mass",       0.0,    5.0,    1e-3,    2e-3,    0.0,      _ASSUMED),
    Instrument("bathroom_scale",   "bathroom scale",                   "mass",       5.0,    150.0,  0.1,     0.3,     0.002,    _ASSUMED),
    Instrument("measuring_cylinder","measuring cylinder, 100 mL",      "volume",     0.0,    100e-6, 1e-6,    1e-6,    0.0,      "ISO 4788, class B"),
    Instrument("thermometer",      "workshop thermometer",             "temperature",253.0,  373.0,  1.0,     1.0,     0.0,      _ASSUMED),
    Instrument("stopwatch",        "stopwatch",                        "time",       0.0,    7200.0, 0.01,    0.3,     0.0,      _ASSUMED + "; the thumb"),
)
# fmt: on

INSTRUMENTS: dict[str, Instrument] = {instrument.id: instrument for instrument in _ALL}


def uncertainty(instrument_id: str, value: float) -> float:
    """Standard uncertainty in SI units of one reading; `BadInput` for an unknown one.

    >>> round(uncertainty("multimeter_volts", 12.6), 3)
    0.048
    """
    instrument = INSTRUMENTS.get(instrument_id)
    if instrument is None:
        raise BadInput(f"instrument '{instrument_id}' is not known; known are {', '.join(INSTRUMENTS)}")
    return instrument.uncertainty(value)


ONE_JOB = frozenset(
    [
        "depth_calliper",
        "inside_micrometer",
        "telescopic_gauge",
        "bore_gauge",
        "dial_gauge",
        "feeler_gauge",
        "fuel_level_tube",
        "timing_disc",
    ]
)
"""Instruments that read one kind of thing only; they are proposed where a sheet names them."""


def good_enough(dimension: str, value: float, needed: float, among: tuple[str, ...] = ()) -> list[Instrument]:
    """The instruments whose reading of this value has at most the ``needed`` standard uncertainty (SI).

    The plainest stands first. They come from ``among`` or, where that is empty, from all that are not for one
    job only.

    >>> [i.name for i in good_enough("length", 0.0612, 15e-6)][0]
    'digital calliper, 0.01 mm'
    """
    choice = [INSTRUMENTS[i] for i in among] or [i for i in _ALL if i.id not in ONE_JOB]
    fit = [
        i for i in choice if i.dimension == dimension and i.low <= value <= i.high and i.uncertainty(value) <= needed
    ]
    return sorted(fit, key=lambda i: -i.uncertainty(value))
