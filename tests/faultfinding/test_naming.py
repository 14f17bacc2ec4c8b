"""Tests and readings as they are written, and what is said about those that cannot be used."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.electrics.loom.document import Loom
from tickover.faultfinding.naming import (
    OPEN_LINE,
    Reading,
    parse_complaint,
    parse_reading,
    parse_test,
)
from tickover.units import BadInput


@pytest.mark.parametrize(
    "text",
    [
        "volts:IGN.15@KEY=on,START=in",
        "ohms:F1.a,F1.b",
        "ohms:KEY.30,KEY.15@KEY=on",
        "lamp:C1.15@KEY=on",
        "seen:cranks@KEY=on,START=in",
        "seen:spark.C1@KEY=on,START=in",
        "seen:lit.HTL@KEY=park",
        "seen:sounds.HORN@KEY=on,HBTN=in",
        "seen:fuel_flow",
    ],
)
def test_a_test_prints_as_it_was_written(demo: Loom, text: str) -> None:
    assert str(parse_test(text, demo)) == text


def test_a_switch_that_stands_where_it_stands_anyway_is_not_named(demo: Loom) -> None:
    assert str(parse_test("volts:IGN.15@START=in,KILL=run,KEY=on", demo)) == "volts:IGN.15@KEY=on,START=in"


def test_the_value_follows_the_last_equals_sign(demo: Loom) -> None:
    reading = parse_reading("volts:IGN.15@KEY=on,START=in=0.4", demo)
    assert reading.value == 0.4
    assert str(reading.test) == "volts:IGN.15@KEY=on,START=in"
    seen = parse_reading("seen:spark@KEY=on,START=in=no", demo)
    assert (seen.value, str(seen.test)) == ("no", "seen:spark@KEY=on,START=in")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("volts:IGN.15=12.4 V", 12.4),
        ("volts:IGN.15=12,4", 12.4),
        ("volts:IGN.15=350 mV", 0.35),
        ("volts:IGN.15=-0.2", -0.2),
        ("ohms:F1.a,F1.b=4.7 kΩ", 4700.0),
        ("ohms:F1.a,F1.b=OL", OPEN_LINE),
        ("ohms:F1.a,F1.b=open", OPEN_LINE),
        ("lamp:C1.15=Dim", "dim"),
        ("seen:fuel_flow=too little", "too little"),
        ("seen:fuel_flow=too_little", "too little"),
        ("volts:IGN.15=unsure", "unsure"),
        ("ohms:F1.a,F1.b=out_of_reach", "out_of_reach"),
    ],
)
def test_values(demo: Loom, text: str, value: float | str) -> None:
    found = parse_reading(text, demo).value
    assert found == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "TEST=VALUE"),
        ("volts:IGN.15", "TEST=VALUE"),
        ("amps:W1=3", "volts:, ohms:, lamp: or seen:"),
        ("IGN.15=3", "volts:, ohms:, lamp: or seen:"),
        ("volts:IGN.55=3", "no pin 'IGN.55'; IGN has"),
        ("volts:IGM.15=3", "did you mean IGN.15?"),
        ("volts:IGN.15@KEY=on", "has no value"),
        ("volts:IGN.15@KEI=on=3", "no switch 'KEI'; did you mean KEY?"),
        ("volts:IGN.15@KEY=in=3", "switch KEY has no position 'in'; it has off, on or park"),
        ("volts:IGN.15@KEY=on,KEY=off=3", "sets KEY twice"),
        ("volts:IGN.15@KEY,START=in=3", "is no setting; write SWITCH=POSITION"),
        ("volts:IGN.15=", "has no value behind the '='"),
        ("volts:IGN.15=three", "three"),
        ("volts:IGN.15=3 ohm", "voltage"),
        ("volts:IGN.15=40000", "more than a loom has"),
        ("volts:IGN.15,IGN.31=3", "names 2 pins"),
        ("ohms:F1.a=3", "names one pin"),
        ("ohms:F1.a,F1.a=3", "two different pins"),
        ("ohms:F1.a,F1.b=-3", "below zero"),
        ("lamp:C1.15=green", "bright, dim or out"),
        ("seen:spark=maybe", "yes or no"),
        ("seen:spark.IGN=no", "'IGN' is not an ignition coil"),
        ("seen:lit.HHL=no", "'HHL' is not a bulb of the loom; did you mean"),
        ("seen:smoke=yes", "nothing is known to be seen as 'smoke'"),
        ("seen:plugs=oily", "wet or dry"),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(demo: Loom, text: str, says: str) -> None:
    with pytest.raises(BadInput) as error:
        parse_reading(text, demo)
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_what_a_loom_does_not_have_cannot_be_seen(lamp_loom: Loom) -> None:
    with pytest.raises(BadInput, match="no starter"):
        parse_reading("seen:cranks=no", lamp_loom)
    with pytest.raises(BadInput, match="no ignition coil"):
        parse_reading("seen:fires=no", lamp_loom)


@pytest.mark.parametrize(
    ("text", "says"), [("volts:IGN.15=0", "is no complaint"), ("seen:spark=unsure", "needs an answer")]
)
def test_a_complaint_is_something_seen(demo: Loom, text: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        parse_complaint(text, demo)


@given(st.data())
def test_every_reading_reads_back(demo: Loom, data: st.DataObject) -> None:
    pins = [pin for pins in demo.pins.values() for pin in pins]
    switches = {part.id: list(part.positions) for part in demo.components if part.kind == "switch"}
    chosen = data.draw(st.lists(st.sampled_from(sorted(switches)), unique=True, max_size=4))
    settings = ",".join(f"{s}={data.draw(st.sampled_from(switches[s]))}" for s in chosen)
    at = f"@{settings}" if settings else ""
    kind = data.draw(st.sampled_from(["volts", "ohms"]))
    if kind == "volts":
        text = f"volts:{data.draw(st.sampled_from(pins))}{at}={data.draw(st.floats(-20, 20)):.6g}"
    else:
        pair = data.draw(st.lists(st.sampled_from(pins), min_size=2, max_size=2, unique=True))
        value = data.draw(st.one_of(st.just("OL"), st.floats(0, 1e6).map(lambda v: f"{v:.6g}")))
        text = f"ohms:{','.join(pair)}{at}={value}"
    reading = parse_reading(text, demo)
    assert parse_reading(str(reading), demo) == reading


@given(st.text(max_size=60))
def test_no_text_whatever_does_more_than_raise_bad_input(demo: Loom, text: str) -> None:
    try:
        reading = parse_reading(text, demo)
    except BadInput:
        return
    assert isinstance(reading, Reading)
    assert isinstance(reading.value, str) or not math.isnan(reading.value)
