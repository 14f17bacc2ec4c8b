"""A loom with its faults as a network of conductances, reduced to the nodes where something can change.

Nodes are the loom's pins, with the pins of a splice merged and those of a ground merged into node 0, the
reference. Whatever never changes (wires, resistors, batteries, coils) is eliminated once, exactly, so that
only the nodes of contacts, bulbs and diodes are left: the Schur complement of the nodal matrix, known for
networks as Kron's reduction (F. Dörfler and F. Bullo, "Kron reduction of graphs with applications to
electrical networks", IEEE Transactions on Circuits and Systems I 60 (2013) 150-163). Diagonals of a reduced
matrix are made from its off-diagonals, not by subtraction, so a floating part stays floating to the last bit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dposv

from tickover.chapters.electrics.loom.devices import THERMAL_VOLTS
from tickover.chapters.electrics.loom.document import Component, Loom
from tickover.chapters.electrics.loom.faults import HIGH_OHMS, SHORT_OHMS, Fault
from tickover.chapters.electrics.loom.kinds import KINDS, RELAY_CONTACTS

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Path:
    """A conductance from node ``start`` to ``end``, with an EMF in it that lifts ``start`` above ``end``."""

    name: str
    start: int
    end: int
    siemens: float
    volts: float = 0.0


@dataclass(frozen=True)
class Contact:
    """A conductance that is there only while something is switched."""

    name: str
    of: str
    start: int
    end: int
    siemens: float


@dataclass(frozen=True)
class Filament:
    """A bulb: ``siemens`` and ``volts`` when hot."""

    name: str
    start: int
    end: int
    siemens: float
    volts: float
    way: float = 1.0


@dataclass(frozen=True)
class Junction:
    """A diode from anode to cathode; ``way`` is -1 when it sits reversed."""

    name: str
    start: int
    end: int
    saturation_amps: float
    slope_volts: float
    way: float


class Wiring:
    """The elements of a loom under its faults, between numbered nodes."""

    def __init__(self, loom: Loom, faults: Iterable[Fault]) -> None:
        self.loom = loom
        self.faults = frozenset((fault.kind, fault.on) for fault in faults)
        self.node: dict[str, int] = {}
        self.nodes = 1
        self.paths: list[Path] = []
        self.contacts: list[Contact] = []
        self.always: set[str] = set()
        """Ids of switches and igniters whose contacts are all joined whatever they are told."""
        self.filaments: list[Filament] = []
        self.junctions: list[Junction] = []
        self._number_pins()
        wire_side = self._wire_sides()
        for wire in loom.wires:
            if not self._has("open", wire.id):
                ohms = wire.ohms(loom.celsius) + self._extra(wire.id)
                self.paths.append(Path(wire.id, wire_side[wire.start], wire_side[wire.end], 1.0 / ohms))
        for part in loom.components:
            self._component(part)
        for kind, on in sorted(self.faults):
            if kind == "grounded":
                self.paths.append(Path("", self.node[on], 0, 1.0 / SHORT_OHMS))

    @cached_property
    def devices(self) -> list[Filament | Junction]:
        """Bulbs, then diodes."""
        return [*self.filaments, *self.junctions]

    def _has(self, kind: str, on: str) -> bool:
        return (kind, on) in self.faults

    def _extra(self, on: str) -> float:
        return HIGH_OHMS if self._has("high_ohms", on) else 0.0

    def _new_node(self) -> int:
        self.nodes += 1
        return self.nodes - 1

    def _number_pins(self) -> None:
        for part in self.loom.components:
            pins = self.loom.pins[part.id]
            if part.kind == "ground":
                self.node.update(dict.fromkeys(pins, 0))
            elif part.kind == "splice":
                self.node.update(dict.fromkeys(pins, self._new_node()))
            else:
                self.node.update((pin, self._new_node()) for pin in pins)

    def _wire_sides(self) -> dict[str, int]:
        """The node that the wires of each pin are on: its own, changed over, or behind a bad terminal."""
        side = dict(self.node)
        for kind, on in sorted(self.faults):
            if "." in on and kind == "open":
                side[on] = self._new_node()
            elif "." in on and kind == "high_ohms" and not self._has("open", on):
                side[on] = self._new_node()
                self.paths.append(Path("", side[on], self.node[on], 1.0 / HIGH_OHMS))
        for kind, on in sorted(self.faults):
            if kind == "swapped":
                first, second = on.split(",")
                side[first], side[second] = side[second], side[first]
        return side

    def _component(self, part: Component) -> None:
        through = KINDS[part.kind].through
        if through:
            start, end = (self.node[f"{part.id}.{pin}"] for pin in through)
            if self._has("short", part.id):
                self.paths.append(Path(f"short:{part.id}", start, end, 1.0 / SHORT_OHMS))
            if not self._has("open", part.id):
                self._through(part, start, end)
            if part.kind == "ignition_coil":
                self._secondary(part)
        elif part.kind == "switch":
            for first, second in part.contacts:
                self._contact(part, first, second, part.values["contact_ohms"])
        elif part.kind == "relay":
            self._relay(part)
        elif part.kind == "igniter":
            self._path(part.id, f"{part.id}.15", f"{part.id}.31", part.values["draw_ohms"])
            for pin in self.loom.pins[part.id]:
                output = pin.partition(".")[2]
                if output not in KINDS["igniter"].pins:
                    self._contact(part, output, "31", part.values["on_ohms"])

    def _path(self, name: str, first: str, second: str, ohms: float, volts: float = 0.0) -> None:
        self.paths.append(Path(name, self.node[first], self.node[second], 1.0 / ohms, volts))

    def _through(self, part: Component, start: int, end: int) -> None:
        values = part.values
        extra = self._extra(part.id)
        if part.kind in ("bulb", "diode"):
            if extra:
                beyond = self._new_node()
                self.paths.append(Path("", beyond, end, 1.0 / extra))
                end = beyond
            if part.kind == "bulb":
                volts = values["volts"]
                self.filaments.append(Filament(part.id, start, end, values["watts"] / volts**2, volts))
            else:
                way = -1.0 if self._has("reversed", part.id) else 1.0
                ends = (start, end) if way > 0 else (end, start)
                slope = values["ideality"] * THERMAL_VOLTS
                self.junctions.append(Junction(part.id, *ends, values["saturation_amps"], slope, way))
        else:
            ohms = values["primary_ohms"] if part.kind == "ignition_coil" else values["ohms"]
            volts = values["volts"] if part.kind == "battery" else 0.0
            self.paths.append(Path(part.id, start, end, 1.0 / (ohms + extra), volts))

    def _secondary(self, coil: Component) -> None:
        ends = (f"{coil.id}.4a", f"{coil.id}.4b")
        if all(end in self.node for end in ends):
            self._path(f"{coil.id}.4a-4b", *ends, coil.values["secondary_ohms"])

    def _relay(self, relay: Component) -> None:
        if self._has("short", relay.id):
            self._path(f"short:{relay.id}", f"{relay.id}.85", f"{relay.id}.86", SHORT_OHMS)
        if not self._has("open", relay.id):
            self._path(relay.id, f"{relay.id}.85", f"{relay.id}.86", relay.values["coil_ohms"])
        for first, second, _ in RELAY_CONTACTS[relay.contact]:
            if relay.contact == "break" and self._has("stuck_open", relay.id):
                continue
            self._contact(relay, first, second, relay.values["contact_ohms"])

    def _contact(self, part: Component, first: str, second: str, ohms: float) -> None:
        if part.kind != "relay":
            if self._has("stuck_open", part.id):
                return
            if self._has("stuck_closed", part.id):
                self.always.add(part.id)
        ends = (self.node[f"{part.id}.{first}"], self.node[f"{part.id}.{second}"])
        ohms += self._extra(part.id)
        self.contacts.append(Contact(f"{part.id}.{first}-{second}", part.id, *ends, 1.0 / ohms))


class Reduced:
    """A wiring with every node eliminated that touches only what never changes.

    ``kept`` lists the nodes that are left, the reference first. Every source is a column. With the kept
    nodes' volts ``v`` (``v[0]`` is the reference's, 0) all nodes are at ``spread @ v + rest[:, source]``.
    ``matrix @ v`` are the amps that flow from the kept nodes into the network, ``inflow[:, source]`` those
    the source drives out of it.
    """

    def __init__(self, wiring: Wiring, emfs: list[list[tuple[int, int, float]]]) -> None:
        """``emfs``: for each source the currents it drives: into a node, out of a node, amps (Norton)."""
        self._wiring = wiring
        self.island: list[int] = islands(wiring.nodes, ((path.start, path.end) for path in wiring.paths))
        self.islands = max(self.island) + 1
        self.kept = self._keep()
        self.place: dict[int, int] = {node: at for at, node in enumerate(self.kept)}
        self.kept_on: dict[int, int] = {}
        """For each island the place of its first kept node."""
        for at, node in enumerate(self.kept):
            self.kept_on.setdefault(self.island[node], at)
        self.ports: Floats = np.zeros((len(self.kept), len(wiring.devices)))
        """A column for each bulb and diode: +1 and -1 at the kept nodes it lies between."""
        for number, device in enumerate(wiring.devices):
            self.ports[self.place[device.start], number] += 1.0
            self.ports[self.place[device.end], number] -= 1.0
        injected = np.zeros((wiring.nodes, len(emfs)))
        for column, currents in enumerate(emfs):
            for into, out_of, amps in currents:
                injected[into, column] += amps
                injected[out_of, column] -= amps
        self._eliminate(_laplacian(wiring), injected)

    def _keep(self) -> list[int]:
        """The reference, the nodes where something can change, and one of every island that floats without."""
        wiring = self._wiring
        switched: list[Filament | Junction | Contact] = [*wiring.devices, *wiring.contacts]
        keep = dict.fromkeys([0, *(node for item in switched for node in (item.start, item.end))])
        touched = {self.island[node] for node in keep}
        for node, island in enumerate(self.island):
            if island not in touched:
                touched.add(island)
                keep[node] = None
        return list(keep)

    def _eliminate(self, laplacian: Floats, injected: Floats) -> None:
        count = len(self.kept)
        self._inner = [node for node in range(len(laplacian)) if node not in self.place]
        kept_at, inner_at = np.array(self.kept, dtype=np.intp), np.array(self._inner, dtype=np.intp)
        self.spread: Floats = np.zeros((len(laplacian), count))
        self.spread[kept_at, np.arange(count)] = 1.0
        self.rest: Floats = np.zeros_like(injected)
        self.matrix: Floats = laplacian[np.ix_(kept_at, kept_at)]
        self.inflow: Floats = injected[kept_at]
        if self._inner:
            own = laplacian[np.ix_(inner_at, inner_at)]
            outward = -laplacian[np.ix_(inner_at, kept_at)]
            solved = node_volts(own, outward.sum(axis=1), np.hstack((outward, injected[inner_at])))
            self.spread[inner_at] = solved[:, :count]
            self.rest[inner_at] = solved[:, count:]
            self.matrix = self.matrix - outward.T @ solved[:, :count]
            self.inflow = self.inflow + solved[:, :count].T @ injected[inner_at]
        self.matrix = 0.5 * (self.matrix + self.matrix.T)
        balance(self.matrix)

    @cached_property
    def inner_ohms(self) -> Floats:
        """What one amp into an eliminated node, a column, lifts each node by, with all kept nodes held."""
        laplacian = _laplacian(self._wiring)
        ohms: Floats = np.zeros_like(laplacian)
        at = np.ix_(self._inner, self._inner)
        ohms[at] = np.linalg.inv(laplacian[at])
        return ohms


def _laplacian(wiring: Wiring) -> Floats:
    """The conductance matrix of everything in a wiring that never changes, the reference first."""
    n = wiring.nodes
    laplacian = np.zeros((n, n))
    for path in wiring.paths:
        laplacian[path.start, path.end] -= path.siemens
        laplacian[path.end, path.start] -= path.siemens
    balance(laplacian)
    return laplacian


def balance(laplacian: Floats) -> None:
    """Make each row of a conductance matrix add up to nothing by setting its diagonal, in place."""
    n = len(laplacian)
    laplacian.ravel()[:: n + 1] = 0.0
    laplacian.ravel()[:: n + 1] = -laplacian.sum(axis=1)


def node_volts(matrix: Floats, outward: Floats, right: Floats) -> Floats:
    """The volts ``v`` with ``matrix @ v = right``: conductances between some nodes of a network, and the amps into
    them, a column for each case. ``outward`` is each node's conductance to all other nodes together.

    By Cholesky's method; where conductances lie so far apart that it breaks down, by elimination without any
    subtraction, which keeps every digit (W. K. Grassmann, M. I. Taksar, D. P. Heyman, "Regenerative analysis and
    steady state distributions for Markov chains", Operations Research 33 (1985) 1107-1116).

    Example: two nodes, a siemens between them and a micro-siemens from the second one outward; one amp in.

    >>> node_volts(np.array([[1.0, -1.0], [-1.0, 1.000001]]), np.array([0.0, 1e-6]), np.array([[1.0], [0.0]])).round()
    array([[1000001.],
           [1000000.]])
    """
    _, volts, trouble = dposv(matrix, right)
    return _without_subtraction(matrix, outward, right) if trouble else volts


def _without_subtraction(matrix: Floats, outward: Floats, right: Floats) -> Floats:
    """
    >>> _without_subtraction(np.array([[0.0, -1e8], [-1e8, 0.0]]), np.array([0.0, 1e-9]), np.array([[0.0], [1e-9]]))
    array([[1.],
           [1.]])
    """
    joined, outward, amps = np.maximum(-matrix, 0.0), outward.copy(), right.copy()
    np.fill_diagonal(joined, 0.0)
    count = len(joined)
    pivots = np.zeros(count)
    for node in range(count):
        later = joined[node, node + 1 :]
        pivots[node] = later.sum() + outward[node]
        share = later / pivots[node]
        joined[node + 1 :, node + 1 :] += np.outer(share, later)
        outward[node + 1 :] += share * outward[node]
        amps[node + 1 :] += np.outer(share, amps[node])
    volts: Floats = np.zeros_like(amps)
    for node in reversed(range(count)):
        volts[node] = (amps[node] + joined[node, node + 1 :] @ volts[node + 1 :]) / pivots[node]
    return volts


def islands(count: int, joins: Iterable[tuple[int, int]]) -> list[int]:
    """For each of ``count`` nodes the number of the island it is on, when ``joins`` join them.

    >>> islands(4, [(0, 2), (3, 1)])
    [0, 1, 0, 1]
    """
    parent = list(range(count))
    for first, second in joins:
        while parent[first] != first:
            first = parent[first]
        while parent[second] != second:
            second = parent[second]
        if first < second:
            parent[second] = first
        else:
            parent[first] = second
    numbers: dict[int, int] = {}
    for node in range(count):
        root = parent[node]
        while parent[root] != root:
            root = parent[root]
        parent[node] = root
        numbers.setdefault(root, len(numbers))
    return [numbers[root] for root in parent]
