"""Faults of a loom: their names, what each does, and every single fault that a loom can have.

A fault is named ``open:W11``, ``high_ohms:FRAME.engine``, ``swapped:IGN.15,IGN.trigger``. To the circuit:

=============  ========================================================================================
``open``       a wire, a path from pin to pin or a relay's coil is broken; for ``open:ID.pin`` the terminal
               is off: the wires there stay joined to each other and lose the component. The pin itself,
               where a probe is held, stays with the component.
``short``      both ends joined by a milliohm
``high_ohms``  five ohms more in series: in the wire, the path, every contact of a switch or relay, or
               between a terminal and its wires
``grounded``   the pin touches the frame: joined to the reference point by a milliohm
``stuck_open`` a switch or igniter never joins anything; a relay stays at rest, a break contact stays open
``stuck_closed`` every contact of a switch is joined, whatever its position; a relay stays pulled in, a break
               contact stays closed; an igniter's outputs stay joined to 31
``reversed``   a diode sits the wrong way round
``swapped``    the wires on two pins of one component are changed over
=============  ========================================================================================
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType

from tickover.chapters.electrics.loom.document import Component, Loom, Wire, no_such
from tickover.chapters.electrics.loom.kinds import KINDS, RELAY_CONTACTS
from tickover.units import BadInput

FAULT_KINDS = (
    "open",
    "short",
    "high_ohms",
    "grounded",
    "stuck_open",
    "stuck_closed",
    "reversed",
    "swapped",
)
SHORT_OHMS = 1e-3
HIGH_OHMS = 5.0

#: How often each fault is met on a motorcycle of fifty years that was taken apart and put together again,
#: against one wire breaking. Our own workshop judgement: there is no published table. ``pin`` stands for a
#: fault that is on one pin of the kind.
WEIGHTS: dict[str, dict[str, float]] = {
    # Terminals break at the crimp; strands corrode under old insulation.
    "wire": {"open": 1.0, "high_ohms": 1.0},
    # Earth points live outside, under paint and rust: the first place to look on an old loom.
    "ground": {"pin open": 6.0, "pin high_ohms": 4.0},
    "splice": {"pin open": 1.0, "pin high_ohms": 1.0, "pin grounded": 0.2},
    # A fuse fails open; its clips corrode.
    "fuse": {"open": 4.0, "short": 0.05, "high_ohms": 2.0, "pin grounded": 0.1},
    # Switches on the handlebar get wet, and their grease hardens.
    "switch": {
        "stuck_open": 4.0,
        "stuck_closed": 0.7,
        "high_ohms": 3.0,
        "pin open": 1.0,
        "pin grounded": 0.3,
        "swapped": 0.1,
    },
    "relay": {
        "open": 1.0,
        "short": 0.2,
        "high_ohms": 2.0,
        "stuck_open": 2.5,
        "stuck_closed": 0.8,
        "pin open": 0.8,
        "pin grounded": 0.2,
        "swapped": 0.3,
    },
    # Soldered in or plugged in by hand: the wrong way round about as often as failed.
    "diode": {"open": 1.0, "short": 0.8, "high_ohms": 0.1, "reversed": 1.0, "pin grounded": 0.1},
    "bulb": {"open": 4.0, "short": 0.05, "high_ohms": 1.5, "pin grounded": 0.2},
    # A battery that has stood is weak long before it is dead.
    "battery": {"open": 0.4, "high_ohms": 2.0, "pin grounded": 0.1, "swapped": 0.05},
    "resistor": {"open": 0.8, "short": 0.1, "high_ohms": 0.5, "pin grounded": 0.1},
    "ignition_coil": {"open": 1.5, "short": 0.7, "high_ohms": 0.6, "pin grounded": 0.2},
    "igniter": {
        "stuck_open": 2.5,
        "stuck_closed": 0.5,
        "pin open": 1.0,
        "pin high_ohms": 0.6,
        "pin grounded": 0.2,
        "swapped": 0.2,
    },
    # Brushes wear and stick.
    "starter": {"open": 2.0, "short": 0.2, "high_ohms": 1.0, "pin grounded": 0.1},
    "pickup": {"open": 1.5, "short": 0.5, "high_ohms": 0.3, "pin grounded": 0.4},
}

#: What the condition on record does to the weight. What nobody has looked at is likelier to be at fault than
#: what was found good; what was found damaged is the first suspect.
CONDITION_FACTORS = MappingProxyType({"good": 0.4, "unknown": 1.0, "worn": 1.6, "damaged": 5.0, "missing": 8.0})

#: Wires of one colour on one component are changed over far more often than others.
ALIKE_FACTOR = 8.0


@dataclass(frozen=True, order=True)
class Fault:
    """One fault: its kind and what it is on (an id, a pin, or two pins with a comma)."""

    kind: str
    on: str

    def __str__(self) -> str:
        return f"{self.kind}:{self.on}"


def parse(text: str, loom: Loom) -> Fault:
    """The fault that ``text`` names in this loom; :class:`BadInput` when there can be no such fault."""
    kind, colon, on = text.partition(":")
    if not colon or kind not in FAULT_KINDS:
        raise BadInput(f"Fault {text!r} is not of a known kind; write one of {', '.join(FAULT_KINDS)}, then :ID.")
    if kind == "swapped":
        return _parse_swapped(text, on, loom)
    if kind == "grounded":
        pin = loom.pin(on)
        if _kind_of(loom, pin) == "ground":
            raise BadInput(f"Fault {text!r} changes nothing: {pin} is at the reference point already.")
        return Fault(kind, pin)
    if "." in on and kind in ("open", "high_ohms"):
        return Fault(kind, loom.pin(on))
    item = loom.by_id.get(on)
    if item is None:
        raise no_such("wire or component", on, loom.by_id)
    if kind not in _kinds_by_id(item):
        raise BadInput(f"Fault {text!r} cannot be: {_can_have(item)}.")
    return Fault(kind, on)


def _parse_swapped(text: str, on: str, loom: Loom) -> Fault:
    pins = [loom.pin(pin) for pin in on.split(",")]
    parts = {pin.partition(".")[0] for pin in pins}
    if len(pins) != 2 or len(parts) != 1 or pins[0] == pins[1]:
        raise BadInput(f"Fault {text!r} is not two pins of one component; write swapped:ID.pin,ID.pin.")
    own = loom.pins[parts.pop()]
    return Fault("swapped", ",".join(sorted(pins, key=own.index)))


def _kind_of(loom: Loom, pin: str) -> str:
    return loom.component(pin.partition(".")[0]).kind


def _kinds_by_id(item: Component | Wire) -> tuple[str, ...]:
    """The kinds of fault that are named by the id alone."""
    if isinstance(item, Wire):
        return ("open", "high_ohms")
    if item.kind == "relay":
        return ("open", "short", "high_ohms", "stuck_open", "stuck_closed")
    if item.kind == "switch":
        return ("high_ohms", "stuck_open", "stuck_closed")
    if item.kind == "igniter":
        return ("stuck_open", "stuck_closed")
    if item.kind == "diode":
        return ("open", "short", "high_ohms", "reversed")
    return ("open", "short", "high_ohms") if KINDS[item.kind].through else ()


def _can_have(item: Component | Wire) -> str:
    what = "wire" if isinstance(item, Wire) else item.kind
    kinds = [f"{kind}:{item.id}" for kind in _kinds_by_id(item)]
    if isinstance(item, Component) and not KINDS[item.kind].through:
        kinds += [f"{kind}:{item.id}.pin" for kind in ("open", "high_ohms") if f"{kind}:{item.id}" not in kinds]
    return f"{item.id} is a {what}, which can have {', '.join(kinds)}"


def single_faults(loom: Loom) -> list[Fault]:
    """Every single fault of the loom that could make a difference, each once, in the document's order."""
    faults: dict[Fault, None] = {}
    for item in loom.by_id.values():
        for kind in _kinds_by_id(item):
            if not (kind == "short" and isinstance(item, Component) and item.kind == "battery"):
                faults[Fault(kind, item.id)] = None
        if isinstance(item, Component):
            faults.update(dict.fromkeys(_faults_at_pins(loom, item)))
    return list(faults)


def _faults_at_pins(loom: Loom, part: Component) -> list[Fault]:
    wired = [pin for pin in loom.pins[part.id] if pin in loom.wires_at]
    one_point = part.kind in ("splice", "ground")
    faults: list[Fault] = []
    if not KINDS[part.kind].through and (one_point or len(loom.pins[part.id]) >= 3):
        faults += [Fault("open", pin) for pin in wired]
        if one_point or part.kind == "igniter":
            faults += [Fault("high_ohms", pin) for pin in wired]
    if part.kind != "ground":
        faults += [Fault("grounded", pin) for pin in (wired[:1] if part.kind == "splice" else wired)]
    if not one_point:
        faults += [
            Fault("swapped", f"{first},{second}")
            for first, second in combinations(wired, 2)
            if swap_matters(part, first.partition(".")[2], second.partition(".")[2])
        ]
    return faults


def swap_matters(part: Component, first: str, second: str) -> bool:
    """Whether changing over the wires on two pins changes anything in the circuit."""
    if part.kind == "switch":
        other = {first: second, second: first}
        return any(
            {frozenset(pair) for pair in pairs} != {frozenset(other.get(pin, pin) for pin in pair) for pair in pairs}
            for pairs in part.positions.values()
        )
    if part.kind == "relay":
        contacts = {frozenset(pair[:2]) for pair in RELAY_CONTACTS[part.contact]}
        return {first, second} != {"85", "86"} and not (len(contacts) == 1 and {first, second} in contacts)
    if part.kind == "igniter":
        return first in KINDS["igniter"].pins or second in KINDS["igniter"].pins
    return part.kind == "battery"  # a diode changed over is the fault "reversed"; the rest have no direction


def priors(loom: Loom) -> dict[Fault, float]:
    """The weight of every single fault against the others; the weights of a loom's faults add up to 1.

    A weight is that of the kind of component and of fault in :data:`WEIGHTS`, times a factor for the
    condition on record, of the component or of the wires on its pin, whichever is worse. A search that also
    considers causes outside the wiring shares 1 out between the two.
    """
    weights = {fault: _weight(loom, fault) for fault in single_faults(loom)}
    total = sum(weights.values())
    return {fault: weight / total for fault, weight in weights.items()}


def _weight(loom: Loom, fault: Fault) -> float:
    pins = [pin for pin in fault.on.split(",") if "." in pin]
    item = loom.by_id[fault.on.partition(".")[0]]
    kind = "wire" if isinstance(item, Wire) else item.kind
    wires = [wire for pin in pins for wire in loom.wires_at.get(pin, ())]
    factor = max(CONDITION_FACTORS[of.condition] for of in (item, *wires))
    if fault.kind == "swapped":
        colours = [{wire.colour for wire in loom.wires_at[pin] if wire.colour} for pin in pins]
        return WEIGHTS[kind]["swapped"] * factor * (ALIKE_FACTOR if set.intersection(*colours) else 1.0)
    return WEIGHTS[kind][f"pin {fault.kind}" if pins else fault.kind] * factor
