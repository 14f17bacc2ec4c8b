"""A loom with its switches set and its faults in, as a netlist that any SPICE program reads.

Nodes are numbered, 0 is the reference; remarks say which pins each is and which part each element stands for.
Relays are voltage-controlled switches with hysteresis that start as the solver found them, so that a program
that looks for the operating point begins where ours is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.devices import COLD_SHARE, LEAK_SIEMENS
from tickover.chapters.electrics.loom.document import Component, Loom
from tickover.chapters.electrics.loom.faults import Fault
from tickover.chapters.electrics.loom.kinds import RELAY_CONTACTS
from tickover.chapters.electrics.loom.network import Wiring, islands
from tickover.chapters.electrics.loom.solution import Solution

#: Ohms of an open relay contact, and of the thread that ties a floating part to the reference: high enough to
#: change nothing, low enough for double precision.
APART_OHMS = 1e13


def netlist(
    loom: Loom,
    settings: Mapping[str, str] | None = None,
    faults: Iterable[Fault] = (),
    turning: bool = False,
) -> str:
    """The netlist, ending in ``.op`` and ``.end``; ``BadInput`` for an unknown switch or position."""
    circuit = Circuit(loom, faults)
    solution = circuit.solve(settings, turning=turning)
    wiring = circuit.wiring
    positions = loom.positions(settings or {})
    lines = [f"* {' '.join(loom.name.split()) or 'loom'}"]
    lines += [f"* {switch} stands at {position}" for switch, position in positions.items()]
    lines += [f"* fault {fault}" for fault in circuit.faults]
    lines += [f"* {igniter} fires: outputs joined" for igniter, fires in solution.firing.items() if fires]
    if not solution.settled:
        lines.append(f"* {', '.join(solution.chatter)} never settles: there is no operating point")
    lines += _pins(wiring)
    numbered = enumerate(_elements(circuit, solution, positions), 1)
    lines += [line.replace("#", str(number)) for number, line in numbered]
    lines += _threads(wiring)
    lines += [".options temp=27 tnom=27 gmin=1e-15", ".op", ".end"]
    return "\n".join(lines) + "\n"


def _pins(wiring: Wiring) -> list[str]:
    pins: dict[int, list[str]] = {}
    for pin, node in wiring.node.items():
        pins.setdefault(node, []).append(pin)
    return [f"* node {node}: {' '.join(on)}" for node, on in sorted(pins.items())]


def _elements(circuit: Circuit, solution: Solution, positions: Mapping[str, str]) -> Iterator[str]:
    """Every element on a line of its own (or two), with ``#`` where its number goes."""
    wiring = circuit.wiring
    for path in wiring.paths:
        remark = f" ; {path.name}" if path.name else ""
        if path.start == path.end:
            continue
        if path.volts:
            yield f"V# {path.start} in# {path.volts:.12g}{remark}\nR# in# {path.end} {1 / path.siemens:.12g}"
        else:
            yield f"R# {path.start} {path.end} {1 / path.siemens:.12g}{remark}"
    for bulb in wiring.filaments:
        across = f"v({bulb.start},{bulb.end})"
        share = f"max(abs({across})/{bulb.volts:.12g},{COLD_SHARE:g})"
        yield f"B# {bulb.start} {bulb.end} i={across}*{bulb.siemens:.12g}/sqrt({share}) ; {bulb.name}"
    for diode in wiring.junctions:
        yield (
            f"D# {diode.start} {diode.end} d# ; {diode.name}\n"
            f".model d# d is={diode.saturation_amps:.12g} n={_ideality(circuit.loom, diode.name):.12g}\n"
            f"R# {diode.start} {diode.end} {1 / LEAK_SIEMENS:.12g}"
        )
    relays = {part.id: part for part in circuit.loom.components if part.kind == "relay"}
    closed = _closed(circuit, solution, positions)
    for contact in wiring.contacts:
        relay = relays.get(contact.of)
        if relay is not None and relay.id not in circuit.held:
            yield _relay_contact(wiring, relay, contact.name, contact.start, contact.end, contact.siemens, solution)
        elif contact.name in closed:
            yield f"R# {contact.start} {contact.end} {1 / contact.siemens:.12g} ; {contact.name}"


def _ideality(loom: Loom, diode: str) -> float:
    return loom.component(diode).values["ideality"]


def _closed(circuit: Circuit, solution: Solution, positions: Mapping[str, str]) -> set[str]:
    """Names of the contacts that stay joined: of switches, firing igniters, and relays that a fault holds."""
    closed = set()
    for part in circuit.loom.components:
        if part.kind == "switch":
            pairs = part.contacts if part.id in circuit.wiring.always else part.positions[positions[part.id]]
            closed |= {f"{part.id}.{first}-{second}" for first, second in pairs}
        elif part.kind == "relay" and part.id in circuit.held:
            closed |= {
                f"{part.id}.{first}-{second}"
                for first, second, when in RELAY_CONTACTS[part.contact]
                if when == circuit.held[part.id]
            }
        elif part.kind == "igniter" and (solution.firing[part.id] or part.id in circuit.wiring.always):
            closed |= {contact.name for contact in circuit.wiring.contacts if contact.of == part.id}
    return closed


def _relay_contact(
    wiring: Wiring, relay: Component, name: str, start: int, end: int, siemens: float, solution: Solution
) -> str:
    coil = f"{wiring.node[f'{relay.id}.85']},{wiring.node[f'{relay.id}.86']}"
    pull, drop = relay.values["pull_in_volts"], relay.values["drop_out_volts"]
    closes = next(when for a, b, when in RELAY_CONTACTS[relay.contact] if name == f"{relay.id}.{a}-{b}")
    joined = closes == (solution.relays[relay.id] == "pulled in")
    sign = 1 if closes else -1  # a contact that opens as the relay pulls in is asked upside down
    return (
        f"B# ctl# 0 v={sign}*abs(v({coil}))\n"
        f"S# {start} {end} ctl# 0 s# {'on' if joined else 'off'} ; {name}\n"
        f".model s# sw vt={sign * (pull + drop) / 2:.12g} vh={(pull - drop) / 2:.12g} "
        f"ron={1 / siemens:.12g} roff={APART_OHMS:g}"
    )


def _threads(wiring: Wiring) -> list[str]:
    """A very high resistance from every part that floats, whatever is switched, to the reference."""
    joins = [(path.start, path.end) for path in wiring.paths]
    joins += [(bulb.start, bulb.end) for bulb in wiring.filaments]
    lines, tied = [], {0}
    for node, island in enumerate(islands(wiring.nodes, joins)):
        if island not in tied:
            tied.add(island)
            lines.append(f"Rfloat{node} {node} 0 {APART_OHMS:g}")
    return lines
