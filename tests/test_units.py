"""Units: every factor against pint, what the trade writes, refusals that say what would be right."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.units import (
    DIMENSIONS,
    BadInput,
    Dimension,
    Unit,
    _key,
    awg_area,
    awg_number,
    parse,
    show,
    split,
)

PINT = pint.UnitRegistry()

# How pint writes the units that it does not read as we show them.
IN_PINT = {
    "°": "degree",
    "′": "arcminute",
    "″": "arcsecond",
    "kgf": "kilogram_force",
    "lbf": "pound_force",
    "ozf": "ounce_force",
    "N·m": "newton*meter",
    "N·cm": "newton*centimeter",
    "ft·lb": "foot*pound_force",
    "in·lb": "inch*pound_force",
    "kgf·m": "kilogram_force*meter",
    "kgf·cm": "kilogram_force*centimeter",
    "kgf/cm²": "kilogram_force/centimeter**2",
    "inHg": "inch_Hg",
    "mmHg": "mmHg",
    "cmHg": "cmHg",
    "mmH₂O": "kilogram_force/meter**2",
    "inH₂O": "kilogram_force/meter**2*25.4",
    "in": "inch",
    "mi": "mile",
    "st": "stone",
    "t": "metric_ton",
    "thou": "thou",
    "cm³": "centimeter**3",
    "in³": "inch**3",
    "m³": "meter**3",
    "mm³": "millimeter**3",
    "mm²": "millimeter**2",
    "cm²": "centimeter**2",
    "m²": "meter**2",
    "in²": "inch**2",
    "gal (UK)": "imperial_gallon",
    "gal (US)": "gallon",
    "pt (UK)": "imperial_pint",
    "pt (US)": "pint",
    "qt (US)": "quart",
    "fl oz (UK)": "imperial_fluid_ounce",
    "fl oz (US)": "fluid_ounce",
    "A·h": "ampere*hour",
    "mA·h": "milliampere*hour",
    "W·h": "watt*hour",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "km/h": "kilometer/hour",
    "mph": "mile/hour",
    "ft/s": "foot/second",
    "ft/min": "foot/minute",
    "rpm": "revolution/minute",
    "rev/s": "revolution/second",
    "g": "gram",
    "L/100 km": "liter/(100*kilometer)",
    "mpg (US)": "gallon/mile",
    "mpg (UK)": "imperial_gallon/mile",
    "km/L": "liter/kilometer",
    "m³/m": "meter**3/meter",
    "mL/min": "milliliter/minute",
    "L/h": "liter/hour",
    "L/min": "liter/minute",
    "gal (US)/h": "gallon/hour",
    "gal (UK)/h": "imperial_gallon/hour",
    "m³/s": "meter**3/second",
    "cfm": "foot**3/minute",
    "kg/m³": "kilogram/meter**3",
    "lb/ft³": "pound/foot**3",
    "g/cm³": "gram/centimeter**3",
    "g/L": "gram/liter",
    "N/mm": "newton/millimeter",
    "N/m": "newton/meter",
    "lbf/in": "pound_force/inch",
    "kgf/mm": "kilogram_force/millimeter",
    "m/s²": "meter/second**2",
    "ft/s²": "foot/second**2",
    "°C": "delta_degC",
    "°F": "delta_degF",
    "Ω": "ohm",
    "kΩ": "kiloohm",
    "MΩ": "megaohm",
    "mΩ": "milliohm",
    "%": "0.01*dimensionless",
    "": "dimensionless",
    "min": "minute",
    "h": "hour",
}
SI_IN_PINT = {
    "rad": "radian",
    "N·m": "newton*meter",
    "m³": "meter**3",
    "m²": "meter**2",
    "K": "kelvin",
    "Ω": "ohm",
    "m³/m": "meter**3/meter",
    "m³/s": "meter**3/second",
    "kg/m³": "kilogram/meter**3",
    "m/s²": "meter/second**2",
    "1": "dimensionless",
    "C": "coulomb",
    "F": "farad",
}
ALL_UNITS = [(d, u) for d in DIMENSIONS.values() for u in d.units if u.kind != "gauge"]


def in_pint(dimension: Dimension, unit: Unit) -> str:
    if dimension.name == "acceleration" and unit.symbol == "g":
        return "standard_gravity"
    return IN_PINT.get(unit.symbol, unit.symbol)


@pytest.mark.parametrize(("dimension", "unit"), ALL_UNITS, ids=lambda x: x.name if hasattr(x, "name") else x.symbol)
def test_every_factor_agrees_with_pint(dimension: Dimension, unit: Unit) -> None:
    theirs = PINT.Quantity(1.0, PINT.parse_expression(in_pint(dimension, unit)).units)
    scale = PINT.parse_expression(in_pint(dimension, unit)).magnitude
    si = (scale * theirs).to(SI_IN_PINT.get(dimension.si, dimension.si)).magnitude
    assert unit.factor == pytest.approx(si, rel=2e-6 if unit.symbol.endswith("Hg") else 1e-12)


def test_temperatures_agree_with_pint() -> None:
    for figure in (-40.0, 0.0, 98.6, 212.0):
        ours = parse(f"{figure} °F", "temperature").value
        assert ours == pytest.approx(PINT.Quantity(figure, "degF").to("kelvin").magnitude, abs=1e-9)


def test_no_spelling_stands_for_two_units() -> None:
    for dimension in DIMENSIONS.values():
        seen: dict[str, Unit] = {}
        for unit in dimension.units:
            for spelling in (unit.symbol, *unit.also):
                assert seen.setdefault(_key(spelling), unit) is unit, (dimension.name, spelling)


# Published conversions: NIST SP 811 (2008) appendix B.8, and ASTM B258-18 table 1 for the wire gauge.
@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("1 in", "length", 2.54e-2),
        ("1 mil", "length", 2.54e-5),
        ("1 lbf", "force", 4.448222),
        ("1 kgf", "force", 9.80665),
        ("1 lbf·ft", "torque", 1.355818),
        ("1 lbf·in", "torque", 1.129848e-1),
        ("1 psi", "pressure", 6.894757e3),
        ("1 kgf/cm²", "pressure", 9.80665e4),
        ("1 in³", "volume", 1.638706e-5),
        ("1 gal (UK)", "volume", 4.54609e-3),
        ("1 gal (US)", "volume", 3.785412e-3),
        ("1 mph", "speed", 4.4704e-1),
        ("1 rpm", "rotation", 1.047198e-1),
        ("1 hp", "power", 7.456999e2),
        ("1 inHg", "pressure", 3.386389e3),
        ("10 AWG", "area", 5.261e-6),
        ("14 AWG", "area", 2.081e-6),
        ("20 AWG", "area", 0.518e-6),
        ("2/0 AWG", "area", 67.43e-6),
    ],
)
def test_published_conversions(text: str, dimension: str, si: float) -> None:
    assert parse(text, dimension).value == pytest.approx(si, rel=1e-3 if "AWG" in text else 5e-7)


@pytest.mark.parametrize(
    ("text", "dimension", "si", "plus_minus"),
    [
        ("3/8 in", "length", 0.009525, 0.0),
        ('3/8"', "length", 0.009525, 0.0),
        ("1-1/8 in", "length", 0.028575, 0.0),
        ("1 1/8 in", "length", 0.028575, 0.0),
        ("1⅛″", "length", 0.028575, 0.0),
        ("½ in", "length", 0.0127, 0.0),
        ("12 thou", "length", 0.0003048, 0.0),
        ("0.012in", "length", 0.0003048, 0.0),
        ("5' 3\"", "length", 1.6002, 0.0),
        ("-5 ft 3 in", "length", -1.6002, 0.0),
        ("61.24", "length", 0.06124, 0.0),
        ("61,24 mm", "length", 0.06124, 0.0),
        ("0,125 in", "length", 0.003175, 0.0),
        ("1.234,5 mm", "length", 1.2345, 0.0),
        ("1,234.5 mm", "length", 1.2345, 0.0),
        ("12 345 mm", "length", 12.345, 0.0),
        ("12\u2009345.6\u202fmm", "length", 12.3456, 0.0),
        ("\u22120.5 mm", "length", -0.0005, 0.0),
        ("6.5e-3 m", "length", 0.0065, 0.0),
        ("61.24 ± 0.02 mm", "length", 0.06124, 2e-5),
        ("61.24 +/- 0.02 mm", "length", 0.06124, 2e-5),
        ("61.24mm±0.02mm", "length", 0.06124, 2e-5),
        ("(61.24 ± 0.02) mm", "length", 0.06124, 2e-5),
        ("61.24(2) mm", "length", 0.06124, 2e-5),
        ("61.24(0.02) mm", "length", 0.06124, 2e-5),
        ("61.24 mm ± 1 thou", "length", 0.06124, 2.54e-5),
        ("2.5 ± 0.001 in", "length", 0.0635, 2.54e-5),
        ("12.6 V ± 0.5 %", "voltage", 12.6, 0.063),
        ("27°", "angle", math.radians(27), 0.0),
        ("27 deg", "angle", math.radians(27), 0.0),
        ("27° 30'", "angle", math.radians(27.5), 0.0),
        ("27°30′ 36″", "angle", math.radians(27.51), 0.0),
        ("35 ft·lb", "torque", 47.453628, 0.0),
        ("35 ft-lb", "torque", 47.453628, 0.0),
        ("35 lb ft", "torque", 47.453628, 0.0),
        ("47.5 Nm", "torque", 47.5, 0.0),
        ("4.8 kg-m", "torque", 47.07192, 0.0),
        ("449 cc", "volume", 449e-6, 0.0),
        ("27.4 cu in", "volume", 449.005554e-6, 0.0),
        ("5.2 L/100 km", "consumption", 5.2e-8, 0.0),
        ("5.2 l/100km", "consumption", 5.2e-8, 0.0),
        ("2.5 mm²", "area", 2.5e-6, 0.0),
        ("2.5mm2", "area", 2.5e-6, 0.0),
        ("4.7 kΩ", "resistance", 4700.0, 0.0),
        ("4.7 kohm", "resistance", 4700.0, 0.0),
        ("10 MΩ", "resistance", 1e7, 0.0),
        ("10 mΩ", "resistance", 0.01, 0.0),
        ("12,6V", "voltage", 12.6, 0.0),
        ("250 mA", "current", 0.25, 0.0),
        ("20 ± 2 °C", "temperature", 293.15, 2.0),
        ("68 ± 9 °F", "temperature", 293.15, 5.0),
        ("150 KPA", "pressure", 150e3, 0.0),
        ("42:17", "ratio", 42 / 17, 0.0),
        ("12 %", "ratio", 0.12, 0.0),
        ("1 h 20 min", "time", 4800.0, 0.0),
        ("16 teeth", "count", 16.0, 0.0),
    ],
)
def test_what_the_trade_writes(text: str, dimension: str, si: float, plus_minus: float) -> None:
    measure = parse(text, dimension)
    assert measure.value == pytest.approx(si, rel=1e-7)
    assert measure.plus_minus == pytest.approx(plus_minus, rel=1e-7)
    assert measure.dimension == dimension


def test_miles_a_gallon_run_the_other_way_and_tell_gallons_apart() -> None:
    # 100 km / (0.001 m³ a litre): 282.481 / mpg (UK) and 235.215 / mpg (US) are the published constants.
    assert parse("50 mpg (UK)", "consumption").value == pytest.approx(282.481 / 50 * 1e-8, rel=1e-5)
    assert parse("50 US mpg", "consumption").value == pytest.approx(235.215 / 50 * 1e-8, rel=1e-5)
    assert show(5e-8, "consumption", unit="mpg (UK)") == "56.496 mpg (UK)"


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("3 bananas", "length", "'bananas' is no unit of length; try mm, in or thou"),
        ("12 V", "length", "'V' is a unit of voltage"),
        ("", "length", "it is empty"),
        ("mm", "length", "does not start with a number"),
        ("nan", "length", "does not start with a number"),
        ("inf mm", "length", "does not start with a number"),
        ("1e400 mm", "length", "too large"),
        ("1e30", "length", "too large"),
        ("9" * 200, "length", "too long"),
        ("1,234 mm", "length", "can be read as 1234 or as 1.234"),
        ("1.2.3 mm", "length", "points and commas"),
        ("1,23,4 mm", "length", "points and commas"),
        ("1/0 in", "length", "a fraction over nought"),
        ("1 9/8 in", "length", "more than one"),
        ("3 4 mm", "length", "more than one figure"),
        ("3-4 mm", "length", "more than one figure"),
        ("12 mm 13 mm", "length", "more than one figure"),
        ("5' 3", "length", "no unit"),
        ("1 ± 2 ± 3 mm", "length", "more than one ±"),
        ("1 ± -2 mm", "length", "negative"),
        ("1 ± mm", "length", "no number behind the ±"),
        ("1 ± 2 V", "length", "unit of voltage"),
        ("61.24(2) ± 0.02 mm", "length", "twice"),
        ("-300 °C", "temperature", "nothing is colder"),
        ("54 mpg", "consumption", "mpg (UK) or mpg (US)"),
        ("0 mpg (UK)", "consumption", "more than nought"),
        ("3 gal", "volume", "gal (UK) or gal (US)"),
        ("1 MOHM", "resistance", "capitals matter"),
        ("99 AWG", "area", "4/0 to 40"),
        ("42:0", "ratio", "nought"),
        ("3 kg", "count", "unit of mass"),
    ],
)
def test_bad_input_is_one_clear_sentence(text: str, dimension: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse(text, dimension)
    sentence = str(caught.value)
    assert says in sentence
    assert "\n" not in sentence
    assert len(sentence) < 250


@given(st.text(max_size=120), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_read_or_refused(text: str, dimension: str) -> None:
    try:
        measure = parse(text, dimension)
    except BadInput as refused:
        error = str(refused)
    else:
        error = ""
        assert math.isfinite(measure.value)
        assert 0 <= measure.plus_minus < math.inf
    assert len(error.splitlines()) <= 1


TYPED = st.text(alphabet="0123456789 .,/-±()e'\"°%:mincftVkAWG", max_size=24)


@given(TYPED, st.sampled_from(["length", "angle", "area", "ratio", "resistance", "temperature"]))
def test_any_figures_are_read_or_refused(text: str, dimension: str) -> None:
    try:
        measure = parse(text, dimension)
    except BadInput:
        return
    assert math.isfinite(measure.value)
    assert 0 <= measure.plus_minus < math.inf


SHOWN = [
    (d, unit, system)
    for d in DIMENSIONS.values()
    for system in ("metric", "inch-pound")
    for unit in (None, *(u.symbol for u in d.units))
]


@given(st.sampled_from(SHOWN), st.floats(1e-4, 1e4), st.booleans())
def test_what_is_shown_can_be_typed_again(shown: tuple[Dimension, str | None, str], figure: float, minus: bool) -> None:
    dimension, symbol, system = shown
    unit = dimension.default(system) if symbol is None else dimension.unit(symbol)  # type: ignore[arg-type]
    if unit.kind == "gauge":
        figure = 40 * figure / 1e4
    value = unit.to_si(-figure if minus and unit.kind == "linear" and dimension.name != "temperature" else figure)
    text = show(value, dimension.name, 0.0, system, unit=symbol, digits=9)  # type: ignore[arg-type]
    assert parse(text, dimension.name).value == pytest.approx(value, rel=1e-6)


@given(st.sampled_from([(d, u) for d, u in ALL_UNITS if u.offset == 0]), st.floats(1e-3, 1e3))
def test_there_and_back(pair: tuple[Dimension, Unit], figure: float) -> None:
    _, unit = pair
    assert unit.from_si(unit.to_si(figure)) == pytest.approx(figure, rel=1e-12)


@given(st.floats(-3, 40))
def test_wire_gauge_there_and_back(number: float) -> None:
    assert awg_number(awg_area(number)) == pytest.approx(number, abs=1e-9)


@given(st.floats(1e-3, 10), st.floats(1e-7, 1e-1))
def test_digits_follow_the_uncertainty(value: float, plus_minus: float) -> None:
    again = parse(show(value, "length", plus_minus), "length")
    # Neither loses more than half a step of a digit that is a fifth to a twentieth of the uncertainty.
    assert again.value == pytest.approx(value, abs=0.26 * plus_minus)
    assert again.plus_minus == pytest.approx(plus_minus, rel=0.26)


@pytest.mark.parametrize(
    ("value", "plus_minus", "text"),
    [
        (0.06124, 2e-5, "61.24 ± 0.02 mm"),
        (0.0612437, 1.24e-5, "61.244 ± 0.012 mm"),
        (0.0612437, 0.0, "61.244 mm"),
        (12.347, 0.12, "12350 ± 120 mm"),
        (-0.0005, 0.0, "−0.5 mm"),
        (0.0, 0.0, "0 mm"),
        (-1e-12, 1e-4, "0.00 ± 0.10 mm"),
    ],
)
def test_shown_as_a_person_reads_it(value: float, plus_minus: float, text: str) -> None:
    assert show(value, "length", plus_minus) == text


def test_split_for_a_table() -> None:
    assert split(47.45, "torque", 0.5, "inch-pound") == ("35.0 ± 0.4", "ft·lb")
    assert split(12000.0, "resistance") == ("12", "kΩ")
    assert split(awg_area(-1), "area", unit="AWG") == ("2/0", "AWG")
    assert show(293.15, "temperature", 1.0, "inch-pound") == "68.0 ± 1.8 °F"
