"""What readings say of a relay or a switch, written into the loom: whole, checked, in one change, or not at all."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from tests.shed.penhallow import full_build

from tickover.chapters.electrics.loom.document import check
from tickover.chapters.electrics.ohm_readings import Ohms, read_ohms
from tickover.chapters.electrics.relay_finder import PinReading, find_relay
from tickover.chapters.electrics.switch_finder import SwitchReading, find_switch
from tickover.records.as_loom import loom_document
from tickover.records.from_readings import write_relay, write_switch
from tickover.records.history import last_change, take_back
from tickover.records.models import Build, Change, LoomComponent, WireEnd, WireTag
from tickover.units import BadInput

pytestmark = pytest.mark.django_db
OL = Ohms(math.inf)


@pytest.fixture
def build() -> Build:
    return full_build()


def relay(joined: tuple[str, str], pulled: tuple[str, str] | None, pins: str = "12345", coil: str = "92"):  # type: ignore[no-untyped-def]
    """A relay whose coil is 1 and 2."""
    others = pins[2:]
    readings = [
        PinReading((a, b), read_ohms(coil) if (a, b) == ("1", "2") else read_ohms("0.2") if (a, b) == joined else OL)
        for a, b in combinations(pins, 2)
    ]
    if pulled is not None:
        readings += [
            PinReading((a, b), read_ohms("0.2") if (a, b) == pulled else OL, ("1", "2"))
            for a, b in combinations(others, 2)
        ]
    return find_relay(pins, readings)


def errors(build: Build) -> list[str]:
    return [str(problem) for problem in check(loom_document(build)) if problem.error]


def test_a_new_relay_stands_in_the_loom_with_what_was_read(build: Build) -> None:
    record = write_relay(build, relay(("3", "4"), ("3", "5")), ident="R7", name="dip relay", who="Jory")
    assert record.values["contact"] == "changeover"
    assert record.values["coil_ohms"] == 92
    for said in (
        "30 is pin 3",
        "87a is pin 4",
        "87 is pin 5",
        "3 to 5 with 12 V on 1 and 2: 0.2",
        "8 V to pull in assumed",
    ):
        assert said in record.values["says"], said
    assert not errors(build)
    change = last_change(build.pk)
    assert change is not None
    assert (change.who, change.lines.count()) == ("Jory", 1)
    take_back(change)
    assert not LoomComponent.objects.filter(ident="R7").exists()


def test_a_relay_on_record_keeps_what_the_readings_do_not_say(build: Build) -> None:
    known = LoomComponent.objects.get(ident="R1")
    known.values |= {"says": "Rust on the case.", "reach_minutes": 2}
    known.save()
    found = relay(("-", "-"), ("3", "5"), pins="1235", coil="4.2")
    for _ in range(2):
        record = write_relay(build, found, ident="", component=known)
    assert record.pk == known.pk
    assert record.name == "starter relay"
    assert record.values["pull_in_volts"] == 7.5
    assert record.values["reach_minutes"] == 2
    assert record.values["coil_ohms"] == 4.2
    assert record.values["says"].startswith("Rust on the case. From ohm readings: make contact;")
    assert record.values["says"].count("From ohm readings") == 1
    assert not errors(build)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"ident": "R1"}, "There is a R1 in this loom already"),
        ({"ident": "17 A"}, "id"),
        ({"ident": "R7", "pull_in_volts": -1.0}, "pull_in_volts is -1"),
        ({"ident": "R7", "pull_in_volts": 3.0, "drop_out_volts": 9.0}, "drop_out_volts"),
    ],
)
def test_what_the_loom_would_not_take_is_not_written(build: Build, given: dict[str, object], says: str) -> None:
    changes = Change.objects.count()
    with pytest.raises(BadInput, match=says):
        write_relay(build, relay(("3", "4"), ("3", "5")), **given)  # type: ignore[arg-type]
    assert Change.objects.count() == changes


def test_a_finding_that_is_not_certain_is_not_written(build: Build) -> None:
    with pytest.raises(BadInput, match="not certain yet"):
        write_relay(build, relay(("3", "4"), None), ident="R7")
    with pytest.raises(BadInput, match="No relay with 5 pins"):
        write_relay(build, relay(("1", "3"), ("3", "4"), coil="OL"), ident="R7")
    assert not LoomComponent.objects.filter(ident="R7").exists()


def test_two_outputs_apart_at_rest_are_no_relay_of_the_loom(build: Build) -> None:
    readings = [PinReading((a, b), read_ohms("90") if a + b == "12" else OL) for a, b in combinations("12345", 2)]
    readings += [PinReading((a, b), read_ohms("0.2"), ("1", "2")) for a, b in combinations("345", 2)]
    with pytest.raises(BadInput, match="two make relays"):
        write_relay(build, find_relay("12345", readings), ident="R7")


def switch(*rows: tuple[str, str, str]):  # type: ignore[no-untyped-def]
    readings = [SwitchReading(at, (pins[0], pins[1]), read_ohms(ohms)) for at, pins, ohms in rows]
    return find_switch("abc", ("off", "on"), readings)


CERTAIN = (("off", "ab", "OL"), ("off", "bc", "OL"), ("off", "ac", "OL"), ("on", "ab", "0.3"), ("on", "bc", "OL"))


def test_a_switch_stands_in_the_loom_with_its_positions(build: Build) -> None:
    record = write_switch(build, switch(*CERTAIN), ident="KEY", name="key switch", at="off")
    assert record.values["positions"] == {"off": [], "on": [["a", "b"]]}
    assert record.values["at"] == "off"
    assert "a to b in on: 0.3" in record.values["says"]
    assert not errors(build)
    again = write_switch(
        build, switch(*CERTAIN[:3], ("on", "ab", "OL"), ("on", "bc", "0.1")), ident="", at="on", component=record
    )
    assert again.values["positions"]["on"] == [["b", "c"]]
    assert LoomComponent.objects.filter(kind="switch").count() == 1


def test_a_switch_that_is_not_told_whole_is_not_written(build: Build) -> None:
    with pytest.raises(BadInput, match="Whether a and c are joined in on is not told yet"):
        write_switch(build, switch(*CERTAIN[:4]), ident="KEY", at="off")
    with pytest.raises(BadInput, match="neither joined nor open"):
        write_switch(build, switch(*CERTAIN, ("on", "ac", "470")), ident="KEY", at="off")
    with pytest.raises(BadInput, match="at is"):
        write_switch(build, switch(*CERTAIN), ident="KEY", at="park")
    with pytest.raises(BadInput, match="R1 is a relay in this loom"):
        write_switch(build, switch(*CERTAIN), ident="", at="off", component=LoomComponent.objects.get(ident="R1"))
    assert not LoomComponent.objects.filter(kind="switch").exists()


def test_a_fault_of_the_loom_that_was_there_before_is_no_refusal(build: Build) -> None:
    """A wire on a pin that its component lacks is the loom's own fault; the relay is written all the same."""
    tag = WireTag(build=build, mark="19", area=1e-6, length=0.5)
    tag.save()
    for side, pin in (("from", "+"), ("to", "nonsense")):
        WireEnd(build=build, tag=tag, side=side, component=LoomComponent.objects.get(ident="ST"), pin=pin).save()
    before = errors(build)
    assert before
    write_relay(build, relay(("3", "4"), ("3", "5")), ident="R7")
    assert errors(build) == before
