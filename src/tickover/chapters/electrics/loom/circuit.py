"""The operating point of a loom: volts at every pin and amps in every wire, with its switches set.

Modified nodal analysis in conductance form: every source has a resistance of its own, so a battery is its
Norton equivalent (C.-W. Ho, A. Ruehli, P. Brennan, "The modified nodal approach to network analysis", IEEE
Transactions on Circuits and Systems 22 (1975) 504-509).

Relays and igniters start at rest and follow together, round by round, until none changes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

import numpy as np

from tickover.chapters.electrics.loom.document import Component, Loom
from tickover.chapters.electrics.loom.faults import Fault
from tickover.chapters.electrics.loom.fuses import seconds_to_blow
from tickover.chapters.electrics.loom.kinds import KINDS, RELAY_CONTACTS
from tickover.chapters.electrics.loom.network import Floats, Reduced, Wiring, node_volts
from tickover.chapters.electrics.loom.solution import Solution
from tickover.chapters.electrics.loom.state import Point, State
from tickover.units import BadInput

#: A pick-up's EMF of 1 V must arrive as at least this many volts between trigger and 31.
TRIGGER_VOLTS = 0.5
#: An inhibit pin within this many volts of 31 is held to earth; further above, it is live.
INHIBIT_VOLTS = 1.0
#: Longest time in seconds for which an overload lasts while a reading is taken or the engine cranked.
OVERLOAD_SECONDS = 10.0

_STATES_KEPT = 128
_CLEAR_BY = 10.0  # a relay's choice is made once its coil is this many times the last step off its thresholds

_Stands = tuple[tuple[bool, ...], tuple[bool, ...]]  # relays pulled in, igniters' outputs joined
_Load = tuple[str, float] | None


class Circuit:
    """A loom with any number of faults, made ready to be solved for any setting of its switches.

    What depends only on which contacts are joined is worked out the first time and kept.
    """

    def __init__(self, loom: Loom, faults: Iterable[Fault] = ()) -> None:
        self.loom = loom
        self.faults = tuple(faults)
        wiring = self.wiring = Wiring(loom, self.faults)
        pickups = self.ids("pickup")
        emfs = [[(path.start, path.end, path.siemens * path.volts) for path in wiring.paths if path.volts]]
        emfs += [[(path.start, path.end, path.siemens)] for path in wiring.paths if path.name in pickups]
        self._net = Reduced(wiring, emfs)
        self.pin_nodes = np.array(list(wiring.node.values()), dtype=np.intp)
        self.pin_islands = [self._net.island[node] for node in wiring.node.values()]
        self._switches = self._parts("switch")
        self._relays = self._parts("relay")
        self._igniters = self._parts("igniter")
        self._rest: _Stands = (
            tuple(self.held.get(relay.id, False) for relay in self._relays),
            tuple(igniter.id in wiring.always for igniter in self._igniters),
        )
        self._thresholds = [
            (self.held.get(relay.id), relay.values["pull_in_volts"], relay.values["drop_out_volts"])
            for relay in self._relays
        ]
        self._watch = np.zeros((len(self._relays), wiring.nodes))
        for row, relay in enumerate(self._relays):
            self._watch[row, wiring.node[f"{relay.id}.85"]] += 1.0
            self._watch[row, wiring.node[f"{relay.id}.86"]] -= 1.0
        rated = {fuse.id: fuse.values["amps"] for fuse in self._parts("fuse")}
        self._fuses = [(path, rated[path.name]) for path in wiring.paths if path.name in rated]
        self._states: dict[tuple[object, ...], State] = {}
        self._after_blowing: dict[str, Circuit] = {}

    def ids(self, kind: str) -> list[str]:
        return [part.id for part in self._parts(kind)]

    def _parts(self, kind: str) -> list[Component]:
        return [part for part in self.loom.components if part.kind == kind]

    @cached_property
    def held(self) -> dict[str, bool]:
        """Relays that a fault keeps pulled in, or at rest, whatever their coil says."""
        faults = self.wiring.faults
        held = {}
        for relay in self._parts("relay"):
            breaks = relay.contact == "break"
            if ("open", relay.id) in faults or (("stuck_open", relay.id) in faults and not breaks):
                held[relay.id] = False
            if ("stuck_closed", relay.id) in faults:
                held[relay.id] = not breaks
        return held

    @cached_property
    def _without_battery(self) -> Circuit:
        """The same loom with its batteries disconnected, for the ohmmeter."""
        return Circuit(self.loom, (*self.faults, *(Fault("open", part) for part in self.ids("battery"))))

    # -- the doors ---------------------------------------------------------------------------------------

    def solve(
        self,
        settings: Mapping[str, str] | None = None,
        *,
        turning: bool = False,
        blow_fuses: bool = False,
        load: _Load = None,
    ) -> Solution:
        """The operating point with the switches at ``settings`` (others at their ``at``).

        ``turning``: the engine turns, so pick-ups give their signal, an EMF of 1 V each. ``blow_fuses``: a
        fuse that would go within ten seconds opens, the soonest first, and the circuit settles again.
        ``load``: a meter or lamp of so many ohms from a pin to the reference. Raises ``BadInput`` for a
        switch, position or pin that is not there.
        """
        positions = self.loom.positions(settings or {})
        if load is not None:
            self.loom.pin(load[0])
            if not load[1] > 0.0:
                raise BadInput(f"The load at {load[0]} is {load[1]:g} ohm; it must be above zero.")
        circuit, start = self, self._rest
        blown: list[str] = []
        while True:
            stands, point, chatter = circuit._settle(positions, turning, load, start)
            gone = circuit._fuse_that_goes(point) if blow_fuses else None
            if gone is None:
                return circuit._solution(positions, turning, load, stands, point, chatter, tuple(blown))
            blown.append(gone)
            start = stands
            if gone not in circuit._after_blowing:
                circuit._after_blowing[gone] = Circuit(self.loom, (*circuit.faults, Fault("open", gone)))
            circuit = circuit._after_blowing[gone]

    def ohms(self, pin: str, other: str, settings: Mapping[str, str] | None = None) -> float | None:
        """What an ohmmeter reads between two pins, batteries disconnected; ``None``: no path.

        The meter's own voltage is too small to turn a diode on or to warm a filament: diodes are no path,
        bulbs are cold, relays at rest.
        """
        positions = self.loom.positions(settings or {})
        return self._without_battery._cold_ohms(self.loom.pin(pin), self.loom.pin(other), positions)

    def amps_at(self, point: Point) -> dict[str, float]:
        """Amps by name at a point, as :attr:`Solution.amps` says."""
        nodes, wiring = point.nodes().tolist(), self.wiring
        amps = dict(self._no_amps)
        for path in wiring.paths:
            if path.name:
                amps[path.name] = (nodes[path.start] - nodes[path.end] - path.volts) * path.siemens
        for contact in (wiring.contacts[at] for at in point.state.active):
            amps[contact.name] = (nodes[contact.start] - nodes[contact.end]) * contact.siemens
        chords = point.state.chords.tolist()
        for number, volts, beyond, chord in zip(
            point.state.live, point.across, point.beyond.tolist(), chords, strict=True
        ):
            device = wiring.devices[number]
            amps[device.name] = device.way * (beyond + chord * volts)
        for short in [name for name in amps if name.startswith("short:")]:
            amps[short.removeprefix("short:")] += amps.pop(short)
        return amps

    @cached_property
    def _no_amps(self) -> dict[str, float]:
        """Everything that has amps, at nothing, in the document's order."""
        silent = {wire.id: 0.0 for wire in self.loom.wires}
        for part in self.loom.components:
            if KINDS[part.kind].through or part.kind in ("relay", "igniter"):
                silent[part.id] = 0.0
            if part.kind == "switch":
                silent.update((f"{part.id}.{first}-{second}", 0.0) for first, second in part.contacts)
            if part.kind == "relay":
                contacts = RELAY_CONTACTS[part.contact]
                silent.update((f"{part.id}.{first}-{second}", 0.0) for first, second, _ in contacts)
        silent.update((contact.name, 0.0) for contact in self.wiring.contacts)
        return silent

    # -- states ------------------------------------------------------------------------------------------

    def joined(self, positions: Mapping[str, str], stands: _Stands) -> list[int]:
        """Numbers of the contacts that are joined."""
        wiring = self.wiring
        number = {contact.name: at for at, contact in enumerate(wiring.contacts)}
        pairs: list[tuple[str, str, str]] = []
        for switch in self._switches:
            own = switch.contacts if switch.id in wiring.always else switch.positions[positions[switch.id]]
            pairs += [(switch.id, first, second) for first, second in own]
        for relay, pulled in zip(self._relays, stands[0], strict=True):
            contacts = RELAY_CONTACTS[relay.contact]
            pairs += [(relay.id, first, second) for first, second, when in contacts if when == pulled]
        names = [f"{part}.{first}-{second}" for part, first, second in pairs]
        firing = {igniter.id for igniter, on in zip(self._igniters, stands[1], strict=True) if on}
        return [number[name] for name in names if name in number] + [
            at for at, contact in enumerate(wiring.contacts) if contact.of in firing
        ]

    def _state(self, positions: Mapping[str, str], stands: _Stands, load: _Load) -> State:
        key = (*positions.values(), stands, load)
        state = self._states.get(key)
        if state is None:
            if len(self._states) >= _STATES_KEPT:
                self._states.clear()
            at = None if load is None else (self.wiring.node[load[0]], load[1])
            joined = self.joined(positions, stands)
            state = self._states[key] = State(self.wiring, self._net, joined, at, self._watch)
        return state

    def _settle(
        self, positions: Mapping[str, str], turning: bool, load: _Load, stands: _Stands
    ) -> tuple[_Stands, Point, tuple[str, ...]]:
        """How the relays and igniters come to stand, the operating point there, and who chatters."""
        seen: list[_Stands] = []
        point: Point | None = None
        while True:
            seen.append(stands)

            def decided(at: Point, step: float, before: _Stands = stands) -> bool:
                """Whether some relay surely changes, so that this round's point is wanted no nearer."""
                return self._clear(at.coil_volts(), _CLEAR_BY * step) and self._pulled(at, before) != before[0]

            early = decided if self._relays and not turning else None
            point = self._state(positions, stands, load).solve(point, early)
            following = (self._pulled(point, stands), self._fired(point, stands) if turning else stands[1])
            if following == stands:
                return stands, point, ()
            if following in seen:
                point = self._state(positions, stands, load).solve(point)
                return stands, point, self._changing(seen[seen.index(following) :])
            stands = following

    def _changing(self, cycle: Sequence[_Stands]) -> tuple[str, ...]:
        names = [part.id for part in (*self._relays, *self._igniters)]
        flat = [(*relays, *igniters) for relays, igniters in cycle]
        return tuple(name for at, name in enumerate(names) if len({stands[at] for stands in flat}) > 1)

    def _clear(self, coil_volts: Sequence[float], margin: float) -> bool:
        """Whether every coil is further than ``margin`` volts from the thresholds of its relay."""
        return all(
            abs(volts - pull) > margin and abs(volts - drop) > margin
            for volts, (_, pull, drop) in zip(coil_volts, self._thresholds, strict=True)
        )

    def _pulled(self, point: Point, stands: _Stands) -> tuple[bool, ...]:
        """The relays that are pulled in next: above pull-in, or not below drop-out if they were."""
        if not self._relays:
            return ()
        return tuple(
            held if held is not None else volts >= pull or (was and volts >= drop)
            for was, volts, (held, pull, drop) in zip(stands[0], point.coil_volts(), self._thresholds, strict=True)
        )

    def _fired(self, point: Point, stands: _Stands) -> tuple[bool, ...]:
        """The igniters whose outputs the turning engine makes them join next."""
        if not self._igniters:
            return ()
        nodes, signals = point.nodes(), point.state.signals(point)
        groups = point.state.conducting(point)
        return tuple(
            igniter.id in self.wiring.always
            or (("stuck_open", igniter.id) not in self.wiring.faults and self._fires(igniter, nodes, signals, groups))
            for igniter in self._igniters
        )

    def _fires(self, igniter: Component, nodes: Floats, signals: Floats, groups: list[int]) -> bool:
        """Whether supply, inhibit and trigger let the igniter switch its outputs."""
        node = {pin: self.wiring.node[f"{igniter.id}.{pin}"] for pin in KINDS["igniter"].pins}
        earth = groups[self._net.island[node["31"]]]

        def above_earth(pin: str) -> float | None:
            joined = groups[self._net.island[node[pin]]] == earth
            return float(nodes[node[pin]] - nodes[node["31"]]) if joined else None

        supply, inhibit = above_earth("15"), above_earth("inhibit")
        if supply is None or supply < igniter.values["min_volts"]:
            return False
        if inhibit is not None and f"{igniter.id}.inhibit" in self.loom.wires_at:
            grounded = inhibit < INHIBIT_VOLTS
            if (igniter.inhibit == "grounded" and grounded) or (igniter.inhibit == "live" and not grounded):
                return False
        signal = np.abs(signals[node["trigger"]] - signals[node["31"]])
        return above_earth("trigger") is not None and bool(signal.max(initial=0.0) >= TRIGGER_VOLTS)

    # -- results -----------------------------------------------------------------------------------------

    def _fuse_that_goes(self, point: Point) -> str | None:
        """The fuse that blows soonest, if one would within the time an overload lasts."""
        if not self._fuses:
            return None
        nodes = point.nodes()
        times = {
            path.name: seconds_to_blow(abs(float(nodes[path.start] - nodes[path.end])) * path.siemens, rated)
            for path, rated in self._fuses
        }
        soonest = min(times, key=times.__getitem__)
        return soonest if times[soonest] <= OVERLOAD_SECONDS else None

    def _solution(
        self,
        positions: Mapping[str, str],
        turning: bool,
        load: _Load,
        stands: _Stands,
        point: Point,
        chatter: tuple[str, ...],
        blown: tuple[str, ...],
    ) -> Solution:
        firing = {
            igniter.id: turning and on and igniter.id not in chatter and igniter.id not in self.wiring.always
            for igniter, on in zip(self._igniters, stands[1], strict=True)
        }
        resting = None
        if any(firing.values()):
            apart = tuple(on and not firing[part.id] for part, on in zip(self._igniters, stands[1], strict=True))
            resting = self._state(positions, (stands[0], apart), load).solve(point)
        return Solution(
            self,
            point,
            relays={
                relay.id: "pulled in" if pulled else "at rest"
                for relay, pulled in zip(self._relays, stands[0], strict=True)
            },
            firing=firing,
            chatter=chatter,
            blown=blown,
            resting=resting,
        )

    def _cold_ohms(self, pin: str, other: str, positions: Mapping[str, str]) -> float | None:
        state, net = self._state(positions, self._rest, None), self._net
        start, end = self.wiring.node[pin], self.wiring.node[other]
        if start == end:
            return 0.0
        groups = state.cold_islands
        if groups[net.island[start]] != groups[net.island[end]]:
            return None
        between = net.spread[start] - net.spread[end]
        ohms = net.inner_ohms[start, start] + net.inner_ohms[end, end] - 2.0 * net.inner_ohms[start, end]
        if len(net.kept) > 1:
            cold = state.cold
            ohms += between[1:] @ node_volts(cold[1:, 1:], -cold[1:, 0], between[1:, None])[:, 0]
        return max(float(ohms), 0.0)
