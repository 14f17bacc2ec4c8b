"""How pins, wires and faults are called when a person is spoken to: by wire tag and component name, not by id alone."""

from collections.abc import Iterable

from tickover.chapters import causes
from tickover.chapters.electrics.loom.document import Component, Loom, Wire
from tickover.chapters.electrics.loom.faults import Fault
from tickover.faultfinding.hypotheses import Hypothesis
from tickover.faultfinding.naming import Test

_KIND_NAMES = {
    "igniter": "ignition box",
    "ignition_coil": "ignition coil",
    "starter": "starter motor",
    "pickup": "pick-up",
    "ground": "frame earth",
    "bulb": "lamp",
}


_BARE = ("splice", "ground", "battery", "starter")
"""Kinds whose pins are bare metal: no connector to reach into from behind."""


def component_name(part: Component) -> str:
    """`ignition box IGN`, or the name the builder gave it with its id behind."""
    if part.name:
        return f"{part.name} ({part.id})"
    return f"{_KIND_NAMES.get(part.kind, part.kind)} {part.id}"


def pin_name(pin: str) -> str:
    """`KEY 15` for `KEY.15`."""
    return pin.replace(".", " ", 1)


def wire_name(wire: Wire) -> str:
    """`tag 17 (BU/WH, KEY 15 to KILL a)`; by its id where it carries no tag."""
    mark = f"tag {wire.tag}" if wire.tag else f"wire {wire.id}"
    ends = f"{pin_name(wire.start)} to {pin_name(wire.end)}"
    return f"{mark} ({wire.colour + ', ' if wire.colour else ''}{ends})"


def short_wire_name(wire: Wire) -> str:
    """`tag 17, BU/WH`."""
    mark = f"tag {wire.tag}" if wire.tag else f"wire {wire.id}"
    return f"{mark}, {wire.colour}" if wire.colour else mark


def at_pin(loom: Loom, pin: str) -> str:
    """`KEY 15 of the key switch, where tag 17, BU/WH, sits`."""
    part = loom.component(pin.partition(".")[0])
    wires = loom.wires_at.get(pin, ())
    sits = f", where {listed(short_wire_name(w) for w in wires[:3])} {'sits' if len(wires) == 1 else 'sit'}"
    return f"{pin_name(pin)} of the {component_name(part)}{sits if wires else ''}"


def fault_name(loom: Loom, fault: Fault) -> str:
    """The fault in words, such as `tag 17 (BU/WH, KEY 15 to KILL a) broken`."""
    on, kind = fault.on, fault.kind
    if kind == "swapped":
        first, second = on.split(",")
        return f"the wires on {pin_name(first)} and {pin_name(second)} changed over"
    if kind == "grounded":
        return f"{pin_name(on)} touching the frame"
    if "." in on:
        part = loom.component(on.partition(".")[0])
        place = f"earth terminal {pin_name(on)}" if part.kind == "ground" else f"terminal {pin_name(on)}"
        return f"{place} makes no contact" if kind == "open" else f"{place} corroded, high resistance"
    item = loom.by_id[on]
    if isinstance(item, Wire):
        return f"{wire_name(item)} {'broken' if kind == 'open' else 'corroded, high resistance'}"
    name = component_name(item)
    special = {
        ("fuse", "open"): "blown",
        ("bulb", "open"): "burnt out",
        ("relay", "open"): "coil broken",
        ("relay", "short"): "coil shorted",
        ("relay", "stuck_open"): "never pulls in",
        ("relay", "stuck_closed"): "stays pulled in",
        ("igniter", "stuck_open"): "never switches its coils",
        ("igniter", "stuck_closed"): "never lets go of its coils",
        ("switch", "stuck_open"): "never closes",
        ("switch", "stuck_closed"): "stays closed",
    }
    plain = {
        "open": "broken inside",
        "short": "shorted inside",
        "high_ohms": "with a high-resistance contact",
        "reversed": "fitted the wrong way round",
        "stuck_open": "never closes",
        "stuck_closed": "stays closed",
    }
    return f"{name} {special.get((item.kind, kind)) or plain[kind]}"


def hypothesis_name(loom: Loom, hypothesis: Hypothesis) -> str:
    """What is wrong, in words."""
    if hypothesis.fault is not None:
        return fault_name(loom, hypothesis.fault)
    assert hypothesis.cause is not None
    return causes.CAUSES[hypothesis.cause].name


def switches(settings: Iterable[tuple[str, str]]) -> str:
    """`KEY on, START in`."""
    return ", ".join(f"{switch} {position}" for switch, position in settings)


def how(loom: Loom, test: Test, *, cranking: bool) -> str:
    """How to do this test at the bike."""
    if test.is_observation:
        return causes.OBSERVATIONS[test.what[0]].how
    stand = f"Set {switches(test.settings)}, all else at rest" if test.settings else "Leave every switch at rest"
    crank = " While it cranks" if cranking else ""
    bare = test.kind == "volts" and loom.component(test.what[0].partition(".")[0]).kind in _BARE
    probe = "" if bare else ", pushed in from behind with everything plugged together"
    ground = next((part for part in loom.components if part.kind == "ground"), None)
    earth = f"the {component_name(ground)}" if ground is not None else "the frame"
    if test.kind == "volts":
        return (
            f"{stand}. Meter on 20 V: black probe on clean bare metal of {earth}, red probe on "
            f"{at_pin(loom, test.what[0])}{probe}."
            f"{crank and crank + ', read the steady figure.'}"
        )
    if test.kind == "lamp":
        return f"{stand}. Test lamp (12 V 3 W) from {at_pin(loom, test.what[0])} to clean bare metal of {earth}."
    if test.kind == "ohms":
        return (
            f"Take the battery's minus lead off. {stand}. Meter on ohms: one probe on "
            f"{at_pin(loom, test.what[0])}, "
            f"the other on {at_pin(loom, test.what[1])}."
        )
    subject, _, part = test.what[0].partition(".")
    name = component_name(loom.component(part)) if part else ""
    looks = {
        "cranks": "Does the starter turn the engine?",
        "spark": "Hold a known good plug in the cap with insulated pliers, its body on bare "
        "engine metal away from the "
        f"plug holes{', at a lead of the ' + name if name else ', at each lead in turn'}, and "
        f"turn the engine: does it spark?",
        "lit": f"Look: is the {name} lit?",
        "sounds": f"Listen, with a finger on it: does the {name} click or sound as the last switch is worked?",
        "fires": "Does it fire?",
    }
    return f"{stand}. {looks[subject]}"


def asks(loom: Loom, test: Test) -> str:
    """The test in one short line."""
    if test.is_observation:
        return causes.OBSERVATIONS[test.what[0]].asks
    at = f" with {switches(test.settings)}" if test.settings else ", switches at rest"
    if test.kind == "volts":
        return f"Volts at {pin_name(test.what[0])}{at}"
    if test.kind == "lamp":
        return f"Test lamp at {pin_name(test.what[0])}{at}"
    if test.kind == "ohms":
        return f"Ohms from {pin_name(test.what[0])} to {pin_name(test.what[1])}, battery off{at}"
    subject, _, part = test.what[0].partition(".")
    name = component_name(loom.component(part)) if part else ""
    question = {
        "cranks": "Does it crank",
        "spark": f"Is there a spark{' from ' + name if name else ''}",
        "lit": f"Is the {name} lit",
        "sounds": f"Does the {name} sound",
        "fires": "Does it fire",
    }[subject]
    return f"{question}{at}"


def figure(value: float, kind: str) -> str:
    """A predicted figure as a person says it: `about 12.4 V`, `about 4.7 kΩ`, `no path (OL)`."""
    if value == float("inf"):
        return "no path (OL)"
    if kind == "volts":
        return "about 0 V" if abs(value) < 0.05 else f"about {value:.1f} V"
    if value >= 1000.0:
        return f"about {value / 1000.0:.1f} kΩ"
    return f"about {value:.0f} Ω" if value >= 10.0 else f"about {value:.1f} Ω"


def listed(words: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    names = list(words)
    return ", ".join(names[:-1]) + " and " + names[-1] if len(names) > 1 else "".join(names)
