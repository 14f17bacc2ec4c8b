"""Each fault against the same loom written down with the fault in it, and against hand cases."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.faults import CONDITION_FACTORS, Fault, parse, priors, single_faults
from tickover.chapters.electrics.loom.kinds import CONDITIONS
from tickover.units import BadInput

from . import random_looms
from .build import battery, diode, loom_data, part, relay, resistor, solved

HIGH, SHORT = 5.0, 1e-3


def resistor_across(data: dict[str, Any], start: str, end: str, ohms: float) -> None:
    """Hang a resistor between two pins, on two wires of nothing to speak of."""
    name = f"EXTRA{len(data['components'])}"
    data["components"].append(resistor(name, ohms))
    for pin, own in ((start, "a"), (end, "b")):
        wire = {"id": f"{name}{own}", "from": pin, "to": f"{name}.{own}", "mm2": 500.0, "length_mm": 0.1}
        data["wires"].append(wire)


def move_wires(data: dict[str, Any], pin: str, to: str) -> None:
    for wire in data["wires"]:
        for key in ("from", "to"):
            if wire[key] == pin:
                wire[key] = to


def written_down(data: dict[str, Any], fault: Fault) -> dict[str, Any] | None:
    """The document of a loom that has this fault; ``None`` for those that a document cannot say."""
    data = copy.deepcopy(data)
    items = {item["id"]: item for item in (*data["components"], *data["wires"])}
    item = items[fault.on.partition(".")[0].partition(",")[0]]
    pin = fault.on if "." in fault.on else None
    kind = item.get("kind", "wire")
    if fault.kind == "swapped":
        first, second = fault.on.split(",")
        for start, end in ((first, "?"), (second, first), ("?", second)):
            move_wires(data, start, end)
    elif fault.kind == "grounded":
        resistor_across(data, fault.on, "FRAME.engine", SHORT)
    elif fault.kind in ("open", "high_ohms") and pin:
        data["components"].append({"id": "LOST", "kind": "splice"})
        move_wires(data, pin, "LOST.x")
        if fault.kind == "high_ohms":
            resistor_across(data, pin, "LOST.y", HIGH)
    elif fault.kind == "open" and kind == "wire":
        data["wires"].remove(item)
    elif fault.kind == "high_ohms" and kind == "wire":
        item["contact_ohms"] = item.get("contact_ohms", 0.0) + HIGH
    elif fault.kind == "high_ohms" and kind in ("switch", "relay"):
        item["contact_ohms"] = item.get("contact_ohms", 0.005 if kind == "switch" else 0.01) + HIGH
    elif fault.kind == "high_ohms" and kind in ("fuse", "battery", "resistor", "starter", "pickup"):
        item["ohms"] += HIGH
    elif fault.kind == "high_ohms" and kind == "ignition_coil":
        item["primary_ohms"] += HIGH
    elif fault.kind == "stuck_open" and kind == "switch":
        item["positions"] = {position: [] for position in item["positions"]}
    elif fault.kind == "stuck_closed" and kind == "switch":
        every = [pair for pairs in item["positions"].values() for pair in pairs]
        pairs = [list(pair) for pair in dict.fromkeys(map(tuple, every))]
        item["positions"] = dict.fromkeys(item["positions"], pairs)
    elif fault.kind == "reversed":
        a, k = f"{item['id']}.a", f"{item['id']}.k"
        for start, end in ((a, "?"), (k, a), ("?", k)):
            move_wires(data, start, end)
    elif fault.kind == "short":
        ends = {"battery": "+-", "diode": "ak", "starter": "+-", "relay": ("85", "86"), "ignition_coil": ("15", "1")}
        first, second = ends.get(kind, "ab")
        resistor_across(data, f"{item['id']}.{first}", f"{item['id']}.{second}", SHORT)
    else:
        return None
    return data


def test_faults_are_what_a_loom_with_them_written_down_is() -> None:
    """Every single fault of some random looms, in two settings each, pin by pin."""
    compared: dict[str, int] = {}
    for seed in (3, 20, 47):
        data = random_looms.loom(seed, 30)
        loom = document.read(data)
        for fault in single_faults(loom):
            written = written_down(data, fault)
            if written is None:
                continue
            for settings in random_looms.settings(data)[:2]:
                ours = Circuit(loom, [fault]).solve(settings)
                theirs = Circuit(document.read(written)).solve(settings)
                if not (ours.settled and theirs.settled):
                    assert ours.settled == theirs.settled, (seed, fault)
                    continue
                assert ours.relays == theirs.relays, (seed, fault)
                for pin, volts in ours.volts.items():
                    # A diode that was turned round carries its pins with it when written down.
                    if fault.kind == "reversed" and pin.startswith(f"{fault.on}."):
                        continue
                    if pin not in theirs.volts:  # a pin of a splice or frame that lost its only wire
                        continue
                    other = theirs.volts[pin]
                    if other is None or volts is None:
                        assert other == volts, (seed, fault, pin)
                    else:
                        assert volts == pytest.approx(other, abs=1e-4, rel=1e-5), (seed, fault, pin)
                compared[fault.kind] = compared.get(fault.kind, 0) + 1
    assert set(compared) == {
        "open", "short", "high_ohms", "grounded", "stuck_open", "stuck_closed", "reversed", "swapped",
    }  # fmt: skip
    assert min(compared.values()) >= 2
    assert sum(compared.values()) > 300


def relay_loom(contact: str) -> dict[str, Any]:
    return loom_data(
        [battery(), relay("R", contact), resistor("UP", 10.0), resistor("DOWN", 10.0),
         part("KEY", "switch", positions={"off": [], "on": [["a", "b"]]})],
        "BAT.+ KEY.a", "KEY.b R.85", "R.86 FRAME.x", "BAT.- FRAME.y", "BAT.+ R.30",
        "R.87 UP.a", "R.87a DOWN.a", "UP.b FRAME.u", "DOWN.b FRAME.d",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("contact", "fault", "key", "up", "down"),
    [
        ("make", "stuck_open:R", "on", False, False),
        ("make", "stuck_closed:R", "off", True, False),
        ("break", "stuck_open:R", "off", False, False),
        ("break", "stuck_closed:R", "on", False, True),
        ("changeover", "stuck_open:R", "on", False, True),
        ("changeover", "stuck_closed:R", "off", True, False),
        ("make", "open:R", "on", False, False),
        ("break", "open:R", "on", False, True),
        ("make", "open:R.86", "on", False, False),
        ("make", "short:R", "on", False, False),
        ("make", "swapped:R.86,R.87", "on", False, False),
    ],
)
def test_faults_of_a_relay(contact: str, fault: str, key: str, up: bool, down: bool) -> None:
    solution = solved(relay_loom(contact), fault, KEY=key)
    assert (abs(solution.amps["UP"]) > 0.5, abs(solution.amps["DOWN"]) > 0.5) == (up, down)


def test_a_ring_terminal_that_is_off_leaves_the_frame_at_no_volts() -> None:
    data = loom_data([battery(), resistor("R", 10.0)], "BAT.+ R.a", "R.b FRAME.x", "BAT.- FRAME.y")
    solution = solved(data, "open:FRAME.x")
    assert solution.volts["FRAME.x"] == 0.0
    assert solution.volts["R.b"] == pytest.approx(12.0, abs=1e-9)
    assert solution.amps["R"] == pytest.approx(0.0, abs=1e-9)


def test_a_terminal_that_is_off_keeps_its_wires_together() -> None:
    """Two wires on one terminal go on feeding each other when it comes off the component."""
    data = loom_data(
        [battery(), part("KEY", "switch", positions={"on": [["30", "15"], ["30", "58"]]}), resistor("R", 11.9)],
        "BAT.+ KEY.30", "KEY.30 R.a", "R.b FRAME.x", "BAT.- FRAME.y",
    )  # fmt: skip
    solution = solved(data, "open:KEY.30")
    assert solution.amps["R"] == pytest.approx(12.0 / 12.004, rel=1e-6)
    assert solution.volts["KEY.30"] is None


def test_several_faults_at_once() -> None:
    data = loom_data(
        [battery(), resistor("R", 3.0), diode("D")], "BAT.+ D.a", "D.k R.a", "R.b FRAME.x", "BAT.- FRAME.y"
    )
    solution = solved(data, "short:D", "high_ohms:W1")
    assert solution.amps["R"] == pytest.approx(12.0 / (0.1 + 3.0 + 5.0 + 4e-3 + 1e-3), rel=1e-4)


def test_single_faults_are_named_once_and_read_back() -> None:
    loom = document.read(random_looms.loom(5))
    faults = single_faults(loom)
    names = [str(fault) for fault in faults]
    assert len(set(names)) == len(names)
    assert [parse(name, loom) for name in names] == faults


def test_faults_that_change_nothing_are_not_among_them() -> None:
    loom = document.read(
        loom_data(
            [battery(), resistor("R", 3.0), relay("K", "make"), part("SP", "splice"),
             part("KEY", "switch", positions={"off": [], "on": [["a", "b"]]})],
            "BAT.+ SP.a", "SP.b KEY.a", "KEY.b K.85", "K.86 FRAME.x", "K.30 SP.c", "K.87 R.a", "R.b FRAME.y",
            "BAT.- FRAME.z",
        )
    )  # fmt: skip
    names = {str(fault) for fault in single_faults(loom)}
    for absent in ("swapped:R.a,R.b", "swapped:KEY.a,KEY.b", "swapped:K.85,K.86", "swapped:K.30,K.87", "short:W1",
                   "grounded:FRAME.x", "grounded:SP.b", "short:BAT", "swapped:SP.a,SP.b", "open:R.a"):  # fmt: skip
        assert absent not in names
    for present in ("open:W1", "open:R", "open:K", "open:K.30", "open:SP.b", "open:FRAME.x", "high_ohms:FRAME.x",
                    "swapped:K.85,K.30", "grounded:SP.a", "stuck_closed:KEY", "high_ohms:KEY"):  # fmt: skip
        assert present in names


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("broken:W1", "not of a known kind"),
        ("open", "not of a known kind"),
        ("open:W99", "no wire or component 'W99'"),
        ("open:R.c", "no pin 'R.c'; the nearest is R."),
        ("short:W1", "W1 is a wire, which can have open:W1, high_ohms:W1"),
        ("reversed:R", "R is a resistor"),
        ("stuck_open:R", "R is a resistor"),
        ("open:KEY", "open:KEY.pin"),
        ("grounded:FRAME.x", "at the reference point already"),
        ("grounded:R", "no pin 'R'"),
        ("swapped:R.a", "two pins of one component"),
        ("swapped:R.a,KEY.a", "two pins of one component"),
    ],
)
def test_a_fault_that_cannot_be_is_told_why(text: str, says: str) -> None:
    loom = document.read(
        loom_data(
            [battery(), resistor("R", 3.0), part("KEY", "switch", positions={"on": [["a", "b"]]})],
            "BAT.+ KEY.a", "KEY.b R.a", "R.b FRAME.x", "BAT.- FRAME.y",
        )
    )  # fmt: skip
    with pytest.raises(BadInput) as problem:
        parse(text, loom)
    assert says in str(problem.value)


def test_priors_add_up_and_follow_the_condition_on_record() -> None:
    data = loom_data([battery(), resistor("R", 3.0)], "BAT.+ R.a", "R.b FRAME.x", "BAT.- FRAME.y")
    data["wires"][0]["condition"] = "good"
    data["wires"][1]["condition"] = "damaged"
    weights = priors(document.read(data))
    assert sum(weights.values()) == pytest.approx(1.0)
    assert min(weights.values()) > 0.0
    ratio = CONDITION_FACTORS["damaged"] / CONDITION_FACTORS["good"]
    assert weights[Fault("open", "W2")] / weights[Fault("open", "W1")] == pytest.approx(ratio)
    assert weights[Fault("open", "FRAME.x")] > weights[Fault("open", "FRAME.y")]
    assert set(CONDITION_FACTORS) == set(CONDITIONS)


def test_wires_of_one_colour_are_changed_over_sooner() -> None:
    data = loom_data(
        [battery(), part("KEY", "switch", positions={"on": [["30", "15"]], "park": [["30", "58"]]})],
        "BAT.+ KEY.30", "KEY.15 FRAME.x", "KEY.58 FRAME.y", "BAT.- FRAME.z",
    )  # fmt: skip
    for wire, colour in zip(data["wires"], ("RD", "BK", "BK"), strict=False):
        wire["colour"] = colour
    weights = priors(document.read(data))
    alike = weights[Fault("swapped", "KEY.15,KEY.58")]
    assert alike > 2.0 * weights[Fault("swapped", "KEY.30,KEY.15")]
