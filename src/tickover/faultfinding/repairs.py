"""Which faults one and the same repair mends, so that a search can stop before it knows which of them it is."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from tickover.chapters import causes
from tickover.chapters.electrics.loom.document import Loom, Wire
from tickover.faultfinding.hypotheses import Hypothesis
from tickover.faultfinding.wording import component_name, listed, pin_name, wire_name


@dataclass(frozen=True)
class Repair:
    """One repair in words, and the names of all faults that it mends."""

    says: str
    mends: frozenset[str]


def repairs(loom: Loom, hypotheses: Iterable[Hypothesis]) -> list[Repair]:
    """Every repair that mends at least one of these, the narrow ones first."""
    known = {h.name for h in hypotheses}
    found: dict[frozenset[str], str] = {}
    for says, mends in _every(loom, hypotheses):
        mended = frozenset(mends) & known
        if mended:
            found.setdefault(mended, says)
    return sorted((Repair(says, mends) for mends, says in found.items()), key=lambda r: len(r.mends))


def best(offered: Iterable[Repair], probability: Mapping[str, float], enough: float) -> Repair | None:
    """The narrowest repair whose faults together reach `enough`; None where there is none."""
    fit = [r for r in offered if sum(probability.get(name, 0.0) for name in r.mends) >= enough]
    return min(fit, key=lambda r: len(r.mends), default=None)


def likeliest(offered: Iterable[Repair], probability: Mapping[str, float]) -> Repair | None:
    """The repair most likely to help; the narrower of two that are equally likely."""
    return max(
        offered,
        key=lambda r: (round(sum(probability.get(n, 0.0) for n in r.mends), 6), -len(r.mends)),
        default=None,
    )


def _every(loom: Loom, hypotheses: Iterable[Hypothesis]) -> Iterable[tuple[str, Collection[str]]]:
    for hypothesis in hypotheses:
        if hypothesis.cause is not None:
            yield causes.CAUSES[hypothesis.cause].repair, {hypothesis.name}
        elif hypothesis.fault is not None and hypothesis.fault.kind == "swapped":
            first, second = map(pin_name, hypothesis.fault.on.split(","))
            yield f"Change over the wires on {first} and {second}", {hypothesis.name}
    for pins in loom.pins.values():
        for pin in pins:
            yield _terminal(loom, pin), {f"open:{pin}", f"high_ohms:{pin}"}
    for part in loom.components:
        if part.kind in ("splice", "ground"):
            continue
        inside = {f"{kind}:{part.id}" for kind in _INSIDE}
        name = component_name(part)
        says = _RENEW.get(part.kind, "Renew the {name}").format(name=name)
        yield says, inside
        at_pins = {f"{kind}:{pin}" for pin in loom.pins[part.id] for kind in ("open", "high_ohms")}
        yield f"{says}, and clean its terminals", inside | at_pins
    for wire in loom.wires:
        itself = {f"open:{wire.id}", f"high_ohms:{wire.id}"}
        ends = {f"{kind}:{end}" for end in (wire.start, wire.end) for kind in ("open", "high_ohms")}
        yield f"Renew {wire_name(wire)}", itself
        yield f"Renew {wire_name(wire)} with both its terminals", itself | ends
    for run in _runs(loom):
        wires = listed(wire_name(w) for w in run[1][:3]) + (" and the rest of that run" if len(run[1]) > 3 else "")
        touching = {f"grounded:{pin}" for pin in run[0]}
        yield f"Find where {wires} touches the frame, insulate it and route it clear", touching


_INSIDE = ("open", "short", "high_ohms", "stuck_open", "stuck_closed", "reversed")
_RENEW = {
    "fuse": "Renew the {name}, same rating, and clean its holder; find out why it blew",
    "switch": "Open, clean and regrease the {name}, or renew it",
    "diode": "Renew the {name}, the right way round",
    "starter": "Overhaul the {name}",
    "igniter": "Renew the {name}",
    "battery": "Charge the {name}, clean its posts, and renew it if it does not hold",
}


def _terminal(loom: Loom, pin: str) -> str:
    part = loom.component(pin.partition(".")[0])
    if part.kind == "ground":
        return f"Clean the earth at {pin_name(pin)} to bare metal, bolt it down and protect it"
    if part.kind == "splice":
        return f"Remake the joint {pin_name(pin)}"
    return f"Clean and remake the terminal at {pin_name(pin)}"


def _runs(loom: Loom) -> list[tuple[list[str], list[Wire]]]:
    """Pins that wires and splices join, with those wires: a wire that touches the frame grounds them all alike."""
    group: dict[str, str] = {}

    def root(pin: str) -> str:
        while group.setdefault(pin, pin) != pin:
            pin = group[pin]
        return pin

    for wire in loom.wires:
        group[root(wire.start)] = root(wire.end)
    for part in loom.components:
        if part.kind == "splice":
            pins = loom.pins[part.id]
            for pin in pins[1:]:
                group[root(pin)] = root(pins[0])
    runs: dict[str, tuple[list[str], list[Wire]]] = {}
    for pin in list(group):
        runs.setdefault(root(pin), ([], []))[0].append(pin)
    for wire in loom.wires:
        runs[root(wire.start)][1].append(wire)
    return [run for run in runs.values() if run[1]]
