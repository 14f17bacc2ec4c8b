"""Every relay with four or five pins is known from its readings, and none wrongly from some of them.

What a relay shows comes from the terminal numbers of DIN 72552 (``reference/relay_terminals.json``), and for those the
loom knows from the loom's own solver, which was written apart from the finder.
"""

from __future__ import annotations

import json
import math
import random
from itertools import chain, combinations, permutations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.document import read
from tickover.chapters.electrics.ohm_readings import Ohms, kinds_between, read_ohms
from tickover.chapters.electrics.relay_finder import PinReading, RelayFinding, find_relay
from tickover.units import BadInput

REFERENCE = json.loads((Path(__file__).parent / "reference" / "relay_terminals.json").read_text("utf-8"))
RELAYS = REFERENCE["relays"]
ALIKE = {"make": ("30", "87"), "break": ("30", "87a"), "twin": ("87", "87 again"), "double": ("30", "87", "87b")}
OL = Ohms(math.inf)


def shown(form: str, first: str, second: str, pulled: bool = False, coil: float = 85.0) -> Ohms:
    """What the meter shows between two terminals of a sound relay."""
    pair = {first, second}
    if pair == {"85", "86"}:
        return read_ohms(f"{coil}")
    joined = RELAYS[form]["joined_pulled_in" if pulled else "joined_at_rest"]
    return read_ohms("0.2") if pair in map(set, joined) else OL


def all_readings(form: str, names: dict[str, str], coil: float = 85.0) -> list[PinReading]:
    """Every reading there is: all pairs at rest, and all others with 12 V on the coil. ``names``: pin by terminal."""
    pins = RELAYS[form]["pins"]
    rest = [PinReading((names[a], names[b]), shown(form, a, b, coil=coil)) for a, b in combinations(pins, 2)]
    live = (names["86"], names["85"])
    return rest + [
        PinReading((names[a], names[b]), shown(form, a, b, pulled=True), live)
        for a, b in combinations([pin for pin in pins if pin not in ("85", "86")], 2)
    ]


def is_right(found: RelayFinding, form: str, names: dict[str, str]) -> bool:
    """Whether the likeliest arrangement is the true one, but for pins that ohms cannot tell apart."""
    best = found.best
    if best.form != form or set(best.coil) != {names["85"], names["86"]}:
        return False
    numbers = [number for number in RELAYS[form]["pins"] if number not in ("85", "86")]
    alike = {names[number] for number in ALIKE.get(form, ())}
    return all(
        pin == names[number] or {pin, names[number]} <= alike for number, pin in zip(numbers, best.contact, strict=True)
    )


def shufflings(form: str) -> list[dict[str, str]]:
    pins = RELAYS[form]["pins"]
    return [dict(zip(pins, order, strict=True)) for order in permutations("ABCDE"[: len(pins)])]


@pytest.mark.parametrize("form", RELAYS)
def test_every_relay_is_known_from_all_its_readings(form: str) -> None:
    for names in shufflings(form):
        found = find_relay(sorted(names.values()), all_readings(form, names))
        assert found.certain, names
        assert is_right(found, form, names), (names, found.best)
        assert found.sound > 0.99
        assert not found.next


@pytest.mark.parametrize("form", RELAYS)
def test_no_relay_is_known_wrongly_from_some_of_its_readings(form: str) -> None:
    """Every subset of the readings of a relay: what is called certain, of all pins or of one, is so."""
    names = dict(zip(RELAYS[form]["pins"], "CAEBD", strict=False))
    pins = sorted(names.values())
    readings = all_readings(form, names)
    roles = find_relay(pins, readings).best.roles()
    certain = 0
    for some in chain.from_iterable(combinations(readings, count) for count in range(len(readings) + 1)):
        found = find_relay(pins, some)
        assert not found.contradiction
        if found.certain:
            certain += 1
            assert is_right(found, form, names), [str(reading) for reading in some]
        if len(some) in (1, 4, 7):
            for one in found.found:
                assert not one.certain or one.is_ == roles[one.pin], ([str(reading) for reading in some], one)
    assert certain
    assert not find_relay(pins, ()).certain


@pytest.mark.parametrize("form", RELAYS)
def test_the_proposed_readings_lead_to_the_answer(form: str) -> None:
    """Taking always the first reading proposed ends with certainty, and never asks for 12 V across a closed contact."""
    rng = random.Random(7)
    for names in rng.sample(shufflings(form), 12):
        pins, taken = sorted(names.values()), []
        terminal = {pin: number for number, pin in names.items()}
        found = find_relay(pins, taken)
        while found.next:
            wanted = found.next[0]
            assert wanted.live is None or {terminal[pin] for pin in wanted.live} == {"85", "86"}
            assert wanted.live is None or any(set(wanted.live) == set(reading.pins) for reading in taken)
            pulled = wanted.live is not None
            ohms = shown(form, terminal[wanted.pins[0]], terminal[wanted.pins[1]], pulled)
            taken.append(PinReading(wanted.pins, ohms, wanted.live))
            found = find_relay(pins, taken)
        assert found.certain
        assert is_right(found, form, names)
        assert len(taken) <= len(all_readings(form, names))


@pytest.mark.parametrize("form", ["make", "break", "changeover"])
def test_it_agrees_with_the_loom_that_it_writes_into(form: str) -> None:
    """The loom's solver shows the same ohms between the pins of such a relay, at rest and pulled in."""
    pins = [*RELAYS[form]["pins"]]
    relay = {"id": "R1", "kind": "relay", "contact": form, "coil_ohms": 85, "pull_in_volts": 7.5, "drop_out_volts": 2}
    battery = {"id": "B", "kind": "battery", "volts": 12, "ohms": 0.01}
    load = {"id": "L", "kind": "resistor", "ohms": 12}
    document = {
        "loom": 1,
        "components": [relay, battery, load, {"id": "G", "kind": "ground"}],
        "wires": [
            {"id": f"W{n}", "from": first, "to": second, "mm2": 1, "length_mm": 100}
            for n, (first, second) in enumerate((("B.+", "R1.86"), ("B.-", "R1.85"), ("B.-", "G.a")))
        ],
    }
    apart: dict[str, object] = {
        **document,
        "wires": [{"id": "W1", "from": "R1.85", "to": "G.a", "mm2": 1, "length_mm": 100}],
    }
    circuit = Circuit(read(apart))
    readings = []
    for a, b in combinations(pins, 2):
        ohms = circuit.ohms(f"R1.{a}", f"R1.{b}")
        readings.append(PinReading((a, b), OL if ohms is None else Ohms(ohms, 0.3)))
    assert Circuit(read(document)).solve().relays == {"R1": "pulled in"}
    outputs = [pin for pin in pins if pin.startswith("87")]
    for output in outputs:
        through = (("B.+", "R1.30"), (f"R1.{output}", "L.a"), ("L.b", "G.a"))
        wires = [
            *document["wires"],
            *({"id": f"L{n}", "from": a, "to": b, "mm2": 1, "length_mm": 100} for n, (a, b) in enumerate(through)),
        ]
        amps = Circuit(read({**document, "wires": wires})).solve().amps["L"]
        readings.append(PinReading(("30", output), Ohms(0.1, 0.1) if abs(amps) > 0.5 else OL, ("86", "85")))
    found = find_relay(pins, readings)
    assert found.certain
    assert found.form == form
    assert found.terminals == {pin: pin for pin in pins}


@pytest.mark.parametrize("form", ["changeover", "make"])
def test_a_low_coil_is_no_contact_once_it_pulls_in(form: str) -> None:
    """6 Ω may be a starter relay's coil or a burnt contact: not certain until 12 V across it moves the contact."""
    names = {number: number for number in RELAYS[form]["pins"]}
    readings = all_readings(form, names, coil=6.0)
    at_rest = [reading for reading in readings if reading.live is None]
    assert not find_relay(list(names), at_rest).certain
    found = find_relay(list(names), readings)
    assert found.certain
    assert is_right(found, form, names)
    assert any("starter relay" in note for note in found.notes)


def test_at_rest_alone_30_and_87a_of_a_changeover_are_not_told_apart() -> None:
    names = {number: number for number in RELAYS["changeover"]["pins"]}
    readings = [reading for reading in all_readings("changeover", names) if reading.live is None]
    found = find_relay(list(names), readings)
    by_pin = {one.pin: one for one in found.found}
    assert by_pin["85"].certain
    assert by_pin["86"].certain
    assert not by_pin["30"].certain
    assert not by_pin["87a"].certain
    assert found.next[0].live in (("86", "85"), ("85", "86"))


def test_a_relay_that_does_not_pull_in_is_not_called_known() -> None:
    names = {number: number for number in RELAYS["make"]["pins"]}
    readings = [*all_readings("make", names)[:-1], PinReading(("30", "87"), OL, ("86", "85"))]
    found = find_relay(list(names), readings)
    assert not found.certain
    assert found.coil_is_certain
    assert found.sound < 0.5


def test_a_coil_that_shows_no_path_is_found_by_the_contact_that_moves() -> None:
    """A diode in series hides the coil from the meter, not from 12 V."""
    names = {number: number for number in RELAYS["changeover"]["pins"]}
    readings = [
        PinReading(reading.pins, OL, reading.live) if set(reading.pins) == {"85", "86"} else reading
        for reading in all_readings("changeover", names)
    ]
    found = find_relay(list(names), readings)
    assert found.certain
    assert is_right(found, "changeover", names)
    assert found.coil_ohms is None
    assert any("changed over" in note for note in found.notes)


@pytest.mark.parametrize(
    ("ways", "diode", "plus"),
    [
        ({("A", "B"): "85", ("B", "A"): "85"}, "", ""),
        ({("A", "B"): "85", ("B", "A"): "OL"}, "in series", "A"),
        ({("A", "B"): "85", ("B", "A"): "60"}, "across", "A"),
    ],
)
def test_a_diode_says_which_end_of_the_coil_has_the_plus(
    ways: dict[tuple[str, str], str], diode: str, plus: str
) -> None:
    """A series diode leads from 86 to 85; one across the coil has its cathode on 86, so that 12 V do not pass it."""
    readings = [PinReading(pins, read_ohms(typed)) for pins, typed in ways.items()]
    readings.append(PinReading(("C", "D"), read_ohms("0.2")))
    found = find_relay("ABCDE", readings)
    assert (found.diode, found.plus) == (diode, plus)
    if plus:
        assert found.terminals["86"] == plus
        assert f"pin {plus}" in " ".join(found.notes)


def test_pins_that_ohms_cannot_tell_apart_keep_their_own_marks() -> None:
    for pins, names in (("85 86 30 87", None), ("1 2 3 5", REFERENCE["iso_7588"])):
        given_ = pins.split()
        number = {pin: (names or {pin: pin})[pin] if names else pin for pin in given_}
        pin_of = {terminal: pin for pin, terminal in number.items()}
        found = find_relay(given_, all_readings("make", pin_of))
        assert found.terminals == pin_of


def test_a_wrong_mark_is_said() -> None:
    names = {"85": "85", "86": "86", "30": "87", "87": "30", "87a": "87a"}
    found = find_relay(sorted(names.values()), all_readings("changeover", names))
    assert found.certain
    assert "Pin 87 is marked 87, but the readings make it 30." in found.notes


def test_readings_that_no_relay_shows_name_the_odd_one() -> None:
    names = {number: number for number in RELAYS["changeover"]["pins"]}
    readings = [*all_readings("changeover", names), PinReading(("30", "87"), read_ohms("470"))]
    found = find_relay(list(names), readings)
    assert "30 to 87 at rest: 470" in found.contradiction
    assert not found.certain
    assert not found.next


@pytest.mark.parametrize(
    ("pins", "reading", "says"),
    [
        ("ABC", None, "four or five"),
        ("ABCDEF", None, "four or five"),
        ("ABCA", None, "pin A is named twice"),
        ("ABCD", PinReading(("A", "X"), OL), "there is no pin X"),
        ("ABCD", PinReading(("A", "A"), OL), "two different pins"),
        ("ABCD", PinReading(("A", "B"), OL, ("A", "C")), "has 12 V on it"),
    ],
)
def test_what_cannot_be_used_is_refused(pins: str, reading: PinReading | None, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        find_relay(pins, [reading] if reading else [])


@pytest.mark.parametrize("typed", ["ol", "OL", " 0L ", "open", "∞", "O.L"])
def test_over_range_in_every_spelling(typed: str) -> None:
    assert read_ohms(typed) == OL


@pytest.mark.parametrize("typed", ["", "red", "-3", "12 V", "nan"])
def test_no_ohms_are_refused(typed: str) -> None:
    with pytest.raises(BadInput, match=r"OL|nothing|number|ohm"):
        read_ohms(typed)


@given(st.floats(0, 1e8), st.floats(0, 0.2))
def test_every_reading_has_an_explanation_and_a_wider_one_no_fewer(ohms: float, spread: float) -> None:
    narrow, wide = kinds_between(Ohms(ohms, 0.0)), kinds_between(Ohms(ohms, spread * ohms))
    assert narrow
    assert narrow.keys() <= wide.keys()
    assert all(wide[kind] >= weight for kind, weight in narrow.items())


@given(st.permutations("ABCDE"), st.data())
def test_the_order_of_readings_and_the_names_of_pins_do_not_matter(order: list[str], data: st.DataObject) -> None:
    names = dict(zip(RELAYS["changeover"]["pins"], order, strict=True))
    readings = data.draw(st.lists(st.sampled_from(all_readings("changeover", names)), unique_by=str))
    found = find_relay(sorted(order), readings)
    again = find_relay(sorted(order, reverse=True), list(reversed(readings)))
    assert found.probability == pytest.approx(again.probability)
    assert found.certain == again.certain
