"""The operating point of a loom: volts at every pin and amps in every wire, with its switches set.

Modified nodal analysis in conductance form: every source has a resistance of its own, so a battery is its
Norton equivalent (C.-W. Ho, A. Ruehli, P. Brennan, "The modified nodal approach to network analysis", IEEE
Transactions on Circuits and Systems 22 (1975) 504-509). Bulbs and diodes are solved by Newton's method with
junction limiting (L. W. Nagel, "SPICE2", University of California memorandum ERL-M520, 1975). Their laws
never fall, so the operating point is the one lowest point of a convex function, the network's co-content
(W. Millar, "Some general theorems for non-linear systems possessing resistance", Philosophical Magazine 42
(1951) 1150-1160); where Newton's method does not settle, a line search walks down that function instead.

Relays and igniters start at rest and follow together, round by round, until none changes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
from scipy.linalg.lapack import dgesv

from tickover.chapters.electrics.loom.document import Component, Loom
from tickover.chapters.electrics.loom.faults import Fault
from tickover.chapters.electrics.loom.fuses import seconds_to_blow
from tickover.chapters.electrics.loom.kinds import KINDS, RELAY_CONTACTS
from tickover.chapters.electrics.loom.network import (
    Filament,
    Floats,
    Junction,
    Reduced,
    Wiring,
    balance,
    islands,
)
from tickover.units import BadInput

#: Conductance in parallel with every diode, in siemens (the loom document's definition).
LEAK_SIEMENS = 1e-12
#: Below this share of its rated volts a filament counts as cold: a tenth of its hot resistance.
COLD_SHARE = 0.01
#: A pick-up's EMF of 1 V must arrive as at least this many volts between trigger and 31.
TRIGGER_SHARE = 0.5
#: An inhibit pin within this many volts of 31 is held to earth; further above, it is live.
INHIBIT_VOLTS = 1.0
#: Longest time in seconds for which an overload lasts while a reading is taken or the engine cranked.
OVERLOAD_SECONDS = 10.0

_STEP_VOLTS = 1e-6  # Newton's steps halve their exponent: after one below this, the error is far below 1e-9 V
_NEWTON_STEPS = 40
_DESCENT_STEPS = 3000

RelayState = Literal["at rest", "pulled in"]
_State = tuple[tuple[bool, ...], tuple[bool, ...]]  # relays pulled in, igniters' outputs joined


@dataclass(frozen=True)
class Solution:
    """What the circuit does with its switches set.

    ``volts`` by pin against the reference. A pin has ``None`` when nothing that conducts joins it to the
    reference. A diode is such a path while the conductance of its junction, Is / (n Vt) exp(V / (n Vt)),
    exceeds the 1e-12 S in parallel with it: so a pin behind one forward or idle diode has volts, a pin shut
    off by diodes that all block has none.

    ``amps`` by wire (from → to), by component of two ends (first pin → second pin), by relay for its coil
    (85 → 86), by igniter for its draw (15 → 31), and for each contact under its own name (``KEY.30-15``).
    """

    settled: bool
    volts: dict[str, float | None]
    amps: dict[str, float]
    relays: dict[str, RelayState]
    warnings: tuple[str, ...]
    chatter: tuple[str, ...] = ()
    """Relays and igniters that never settle."""
    blown: tuple[str, ...] = ()
    """Fuses that blew on the way to this point, in order."""
    firing: dict[str, bool] = field(default_factory=dict)
    """Igniters: whether the turning engine makes them switch their outputs."""
    coils: dict[str, float] = field(default_factory=dict)
    """Ignition coils: primary amps that a firing igniter breaks; 0 where none does."""
    high_impedance: frozenset[str] = frozenset()
    """Pins with volts whose only path to the reference is through junctions of diodes."""

    def as_json(self) -> dict[str, object]:
        """The object that ``tickover loom solve --json`` prints."""
        return {
            "settled": self.settled,
            "volts": self.volts,
            "amps": self.amps,
            "relays": self.relays,
            "warnings": list(self.warnings),
            "chatter": list(self.chatter),
            "blown": list(self.blown),
            "firing": self.firing,
            "coils": self.coils,
        }

    def as_text(self) -> str:
        """The same as a table to read on the terminal."""
        lines = ["Pin                     Volts"]
        for pin, volts in self.volts.items():
            lines.append(f"{pin:<20} {'no path' if volts is None else f'{_tidy(volts):8.3f}':>8}")
        lines += ["", "Wire or component        Amps"]
        lines += [f"{name:<20} {_tidy(amps):8.3f}" for name, amps in self.amps.items()]
        if self.relays:
            lines += ["", "Relay"]
            lines += [f"{relay:<20} {state}" for relay, state in self.relays.items()]
        if any(self.firing.values()):
            lines += ["", "Ignition coil    Amps broken"]
            lines += [f"{coil:<20} {_tidy(amps):8.3f}" for coil, amps in self.coils.items()]
        if self.warnings:
            lines += ["", *self.warnings]
        return "\n".join(lines)


def _tidy(value: float) -> float:
    """Without the minus sign that a rounded nothing would carry."""
    return 0.0 if abs(value) < 5e-4 else value


@dataclass
class _Point:
    """One solved state: joined contacts, volts of kept nodes and all nodes, and across bulbs and diodes."""

    active: list[int]
    kept: Floats
    nodes: Floats
    across: Floats
    slopes: Floats
    laplacian: Floats
    inflow: Floats


class Circuit:
    """A loom with any number of faults, made ready to be solved for any setting of its switches."""

    def __init__(self, loom: Loom, faults: Iterable[Fault] = ()) -> None:
        self.loom = loom
        self.faults = tuple(faults)
        wiring = self.wiring = Wiring(loom, self.faults)
        pickups = [path for path in wiring.paths if path.name in self._ids("pickup")]
        emfs = [[(path.start, path.end, path.siemens * path.volts) for path in wiring.paths if path.volts]]
        emfs += [[(path.start, path.end, path.siemens)] for path in pickups]
        self._net = Reduced(wiring, emfs)
        self._index_devices()
        self._index_outputs()
        self._after_blowing: dict[str, Circuit] = {}

    # -- made once ---------------------------------------------------------------------------------------

    def _ids(self, kind: str) -> list[str]:
        return [part.id for part in self.loom.components if part.kind == kind]

    def _parts(self, kind: str) -> list[Component]:
        return [part for part in self.loom.components if part.kind == kind]

    def _index_devices(self) -> None:
        wiring, net = self.wiring, self._net
        place, m = net.place, len(net.kept)
        curved: list[Filament | Junction] = [*wiring.filaments, *wiring.junctions]
        self._bulb_count = len(wiring.filaments)
        incidence = np.zeros((net.curved, len(curved)))
        for column, device in enumerate(curved):
            incidence[place[device.start], column] += 1.0
            incidence[place[device.end], column] -= 1.0
        self._across = np.ascontiguousarray(incidence[1:])
        self._across_t = np.ascontiguousarray(self._across.T)
        self._hot_siemens = np.array([bulb.siemens for bulb in wiring.filaments])
        self._hot_per_volt = np.array([1.0 / bulb.volts for bulb in wiring.filaments])
        self._saturation = np.array([diode.saturation_amps for diode in wiring.junctions])
        self._slope_volts = np.array([diode.slope_volts for diode in wiring.junctions])
        self._knee_volts = self._slope_volts * np.log(self._slope_volts / (2**0.5 * self._saturation))
        self._first_guess = np.concatenate(
            (np.array([bulb.volts for bulb in wiring.filaments]), self._knee_volts)
        )
        self._curved_joins = [(net.island[device.start], net.island[device.end]) for device in curved]

        self._contact_incidence = np.zeros((len(wiring.contacts), m))
        for row, contact in enumerate(wiring.contacts):
            self._contact_incidence[row, place[contact.start]] += 1.0
            self._contact_incidence[row, place[contact.end]] -= 1.0
        self._contact_siemens = np.array([contact.siemens for contact in wiring.contacts])
        self._contact_joins = [(net.island[c.start], net.island[c.end]) for c in wiring.contacts]
        self._island_count = max(net.island) + 1
        self._kept_on_island: dict[int, int] = {}
        for at, node in enumerate(net.kept):
            self._kept_on_island.setdefault(net.island[node], at)

        number = {contact.name: at for at, contact in enumerate(wiring.contacts)}
        self._at_position: dict[str, dict[str, list[int]]] = {}
        for switch in self._parts("switch"):
            held = switch.contacts if switch.id in wiring.always else None
            self._at_position[switch.id] = {
                position: [
                    number[name]
                    for first, second in (held or pairs)
                    if (name := f"{switch.id}.{first}-{second}") in number
                ]
                for position, pairs in switch.positions.items()
            }
        faults = wiring.faults
        self._relays = self._parts("relay")
        self.held: dict[str, bool] = {}
        """Relays that a fault keeps pulled in, or at rest, whatever their coil says."""
        for relay in self._relays:
            if ("open", relay.id) in faults or (
                ("stuck_open", relay.id) in faults and relay.contact != "break"
            ):
                self.held[relay.id] = False
            if ("stuck_closed", relay.id) in faults:
                self.held[relay.id] = relay.contact != "break"
        self._relay_contacts = [
            [
                (number[name], when)
                for first, second, when in RELAY_CONTACTS[relay.contact]
                if (name := f"{relay.id}.{first}-{second}") in number
            ]
            for relay in self._relays
        ]
        self._relay_ends = [
            (wiring.node[f"{relay.id}.85"], wiring.node[f"{relay.id}.86"]) for relay in self._relays
        ]
        self._igniters = self._parts("igniter")
        self._outputs = [
            [at for at, contact in enumerate(wiring.contacts) if contact.of == igniter.id]
            for igniter in self._igniters
        ]

    def _index_outputs(self) -> None:
        wiring = self.wiring
        self._pins = list(wiring.node)
        self._pin_nodes = np.array([wiring.node[pin] for pin in self._pins], dtype=np.intp)
        self._pin_islands = [self._net.island[wiring.node[pin]] for pin in self._pins]
        named = [path for path in wiring.paths if path.name]
        self._path_start = np.array([path.start for path in named], dtype=np.intp)
        self._path_end = np.array([path.end for path in named], dtype=np.intp)
        self._path_siemens = np.array([path.siemens for path in named])
        self._path_volts = np.array([path.volts for path in named])
        self._path_names = [path.name for path in named]
        self._shorts = [name for name in self._path_names if name.startswith("short:")]
        self._junction_way = np.array([1.0] * self._bulb_count + [j.way for j in wiring.junctions])
        silent = {wire.id: 0.0 for wire in self.loom.wires}
        for part in self.loom.components:
            if KINDS[part.kind].through or part.kind in ("relay", "igniter"):
                silent[part.id] = 0.0
            if part.kind == "switch":
                silent.update((f"{part.id}.{a}-{b}", 0.0) for a, b in part.contacts)
            if part.kind == "relay":
                silent.update((f"{part.id}.{a}-{b}", 0.0) for a, b, _ in RELAY_CONTACTS[part.contact])
        self._no_amps = silent

    @cached_property
    def _without_battery(self) -> Circuit:
        """The same loom with its batteries disconnected, for the ohmmeter."""
        return Circuit(self.loom, (*self.faults, *(Fault("open", part) for part in self._ids("battery"))))

    # -- the doors ---------------------------------------------------------------------------------------

    def solve(
        self,
        settings: Mapping[str, str] | None = None,
        *,
        turning: bool = False,
        blow_fuses: bool = False,
        load: tuple[str, float] | None = None,
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
        circuit, start = self, None
        blown: list[str] = []
        while True:
            state, point, chatter = circuit._settle(positions, turning, load, start)
            gone = circuit._fuse_that_goes(point) if blow_fuses else None
            if gone is None:
                return circuit._solution(positions, turning, load, state, point, chatter, tuple(blown))
            blown.append(gone)
            start = state
            if gone not in circuit._after_blowing:
                circuit._after_blowing[gone] = Circuit(self.loom, (*circuit.faults, Fault("open", gone)))
            circuit = circuit._after_blowing[gone]

    def ohms(self, pin: str, other: str, settings: Mapping[str, str] | None = None) -> float | None:
        """What an ohmmeter reads between two pins, batteries disconnected; ``None``: no path.

        The meter's own voltage is too small to turn a diode on or to warm a filament: diodes are no path,
        bulbs are cold, relays at rest.
        """
        return self._without_battery._cold_ohms(self.loom.pin(pin), self.loom.pin(other), settings or {})

    # -- one state ---------------------------------------------------------------------------------------

    def _active(self, positions: Mapping[str, str], state: _State) -> list[int]:
        """The contacts that are joined."""
        pulled_in, joined = state
        active = [at for switch, position in positions.items() for at in self._at_position[switch][position]]
        for contacts, pulled in zip(self._relay_contacts, pulled_in, strict=True):
            active += [at for at, when in contacts if when == pulled]
        for outputs, on in zip(self._outputs, joined, strict=True):
            if on:
                active += outputs
        return active

    def _laplacian(
        self, active: list[int], joins: list[tuple[int, int]], load: tuple[str, float] | None
    ) -> tuple[Floats, Floats]:
        """Conductances and source currents of the kept nodes in a state, every floating part pinned."""
        net = self._net
        laplacian, inflow = net.matrix, net.inflow
        if active:
            rows = self._contact_incidence[active]
            laplacian = laplacian + (rows.T * self._contact_siemens[active]) @ rows
        else:
            laplacian = laplacian.copy()
        if load is not None:
            node = self.wiring.node[load[0]]
            siemens = 1.0 / (load[1] + net.inner_ohms[node, node])
            reach = net.spread[node].copy()
            reach[0] -= reach.sum()
            laplacian = laplacian + siemens * np.outer(reach, reach)
            inflow = inflow - siemens * np.outer(reach, net.rest[node])
            joins = [*joins, (net.island[node], 0)]
        groups = islands(self._island_count, joins)
        if any(groups):
            pinned = {0}
            for island, group in enumerate(groups):
                if group not in pinned:
                    pinned.add(group)
                    at = self._kept_on_island[island]
                    laplacian[at, 0] -= 1.0
                    laplacian[0, at] -= 1.0
        balance(laplacian)
        return laplacian, inflow

    def _solve_state(self, active: list[int], load: tuple[str, float] | None, guess: Floats | None) -> _Point:
        net = self._net
        joins = [self._contact_joins[at] for at in active] + self._curved_joins
        laplacian, inflow = self._laplacian(active, joins, load)
        c, m = net.curved, len(net.kept)
        kept = np.zeros(m)
        if c < m:
            right = np.empty((m - c, c + 1), order="F")
            np.negative(laplacian[c:, :c], out=right[:, :c])
            right[:, c] = inflow[c:, 0]
            reach = dgesv(laplacian[c:, c:], right, overwrite_b=1)[2]
            core = laplacian[:c, :c] + laplacian[:c, c:] @ reach[:, :c]
            balance(core)
            current = inflow[:c, 0] + reach[:, :c].T @ inflow[c:, 0]
        else:
            core, current = laplacian, inflow[:, 0]
        if c > 1:
            kept[1:c], across, slopes = self._newton(core[1:, 1:], current[1:], guess)
        else:
            across = slopes = np.zeros(0)
        if c < m:
            kept[c:] = reach[:, :c] @ kept[:c] + reach[:, c]
        nodes = net.spread @ kept + net.rest[:, 0]
        if load is not None:
            nodes -= self._drawn_down(load, nodes)
        return _Point(active, kept, nodes, across, slopes, laplacian, inflow)

    def _drawn_down(self, load: tuple[str, float], nodes: Floats) -> Floats:
        """What the load takes off the volts of eliminated nodes, given those volts without it."""
        node = self.wiring.node[load[0]]
        ohms = self._net.inner_ohms
        drop: Floats = ohms[:, node] * (nodes[node] / (load[1] + ohms[node, node]))
        return drop

    def _laws(self, across: Floats) -> tuple[Floats, Floats]:
        """Amps through and slope conductance of every bulb and diode, at the volts across each."""
        b = self._bulb_count
        amps, slopes = np.empty(len(across)), np.empty(len(across))
        if b:
            volts = across[:b]
            share = np.abs(volts) * self._hot_per_volt
            siemens = self._hot_siemens / np.sqrt(np.maximum(share, COLD_SHARE))
            np.multiply(siemens, volts, out=amps[:b])
            np.multiply(siemens, np.where(share > COLD_SHARE, 0.5, 1.0), out=slopes[:b])
        if b < len(across):
            volts = across[b:]
            forward = self._saturation * np.exp(np.minimum(volts / self._slope_volts, 600.0))
            amps[b:] = forward - self._saturation + LEAK_SIEMENS * volts
            slopes[b:] = forward / self._slope_volts + LEAK_SIEMENS
        return amps, slopes

    def _newton(self, core: Floats, current: Floats, guess: Floats | None) -> tuple[Floats, Floats, Floats]:
        """Volts of the curved nodes, across each bulb and diode, and the slopes there."""
        incidence, transposed = self._across, self._across_t
        across = self._first_guess if guess is None else guess
        amps, slopes = self._laws(across)
        if guess is None:  # start from bulbs at their hot resistance
            slopes[: self._bulb_count] = self._hot_siemens
        for _ in range(_NEWTON_STEPS):
            matrix = core + (incidence * slopes) @ transposed
            volts = dgesv(matrix, current - incidence @ (amps - slopes * across))[2]
            new = transposed @ volts
            step = np.abs(new - across).max()
            if step < _STEP_VOLTS:
                return volts, new, self._laws(new)[1]
            across = self._limited(across, new)
            amps, slopes = self._laws(across)
        return self._descend(core, current)

    def _limited(self, old: Floats, new: Floats) -> Floats:
        """``new`` with no diode's junction taken up its exponential faster than it can follow."""
        b = self._bulb_count
        if b == len(new):
            return new
        wild = (new[b:] > self._knee_volts) & (np.abs(new[b:] - old[b:]) > 2.0 * self._slope_volts)
        if wild.any():
            for at in np.flatnonzero(wild).tolist():
                slope, was, now = float(self._slope_volts[at]), float(old[b + at]), float(new[b + at])
                if was > 0.0:
                    growth = 1.0 + (now - was) / slope
                    new[b + at] = was + slope * np.log(growth) if growth > 0.0 else self._knee_volts[at]
                else:
                    new[b + at] = slope * np.log(now / slope)
        return new

    def _content(self, core: Floats, current: Floats, volts: Floats) -> float:
        """The co-content in watts: lowest, and level, where the currents at every node add up to nothing."""
        b = self._bulb_count
        across = self._across_t @ volts
        bulb = np.abs(across[:b])
        share = bulb * self._hot_per_volt
        cold_volts = COLD_SHARE / self._hot_per_volt
        cold = 0.5 * self._hot_siemens / COLD_SHARE**0.5 * np.minimum(bulb, cold_volts) ** 2
        hot = self._hot_siemens / self._hot_per_volt**0.5 * (2.0 / 3.0) * (bulb**1.5 - cold_volts**1.5)
        diode = across[b:]
        power = diode / self._slope_volts
        if (power > 600.0).any():
            return float("inf")
        junction = self._saturation * (self._slope_volts * np.exp(power) - diode)
        total = float(cold.sum() + np.where(share > COLD_SHARE, hot, 0.0).sum() + junction.sum())
        return (
            total + 0.5 * LEAK_SIEMENS * float(diode @ diode) + float(volts @ (0.5 * core @ volts - current))
        )

    def _descend(self, core: Floats, current: Floats) -> tuple[Floats, Floats, Floats]:
        """Newton's method that never steps uphill on the co-content; slower, and sure to arrive."""
        incidence, transposed = self._across, self._across_t
        volts = np.zeros(len(core))
        content = self._content(core, current, volts)
        for _ in range(_DESCENT_STEPS):
            across = transposed @ volts
            amps, slopes = self._laws(across)
            uphill = core @ volts - current + incidence @ amps
            step = -dgesv(core + (incidence * slopes) @ transposed, uphill)[2]
            if np.abs(transposed @ step).max(initial=0.0) < _STEP_VOLTS:
                volts = volts + step
                break
            length, fall = 1.0, float(uphill @ step)
            while length > 1e-12:
                trial = volts + length * step
                trial_content = self._content(core, current, trial)
                if trial_content <= content + 1e-4 * length * fall:
                    break
                length *= 0.5
            else:
                break  # as low as the arithmetic can see
            volts, content = trial, trial_content
        across = transposed @ volts
        return volts, across, self._laws(across)[1]

    # -- rounds ------------------------------------------------------------------------------------------

    def _settle(
        self,
        positions: Mapping[str, str],
        turning: bool,
        load: tuple[str, float] | None,
        start: _State | None,
    ) -> tuple[_State, _Point, tuple[str, ...]]:
        """The state the relays and igniters come to, its operating point, and who chatters."""
        state = start or (
            tuple(self.held.get(relay.id, False) for relay in self._relays),
            tuple(igniter.id in self.wiring.always for igniter in self._igniters),
        )
        point = self._solve_state(self._active(positions, state), load, None)
        seen = [state]
        while True:
            following = self._follow(state, point, turning, load)
            if following == state:
                return state, point, ()
            if following in seen:
                cycle = seen[seen.index(following) :]
                names = [part.id for part in (*self._relays, *self._igniters)]
                flat = [(*relays, *joined) for relays, joined in cycle]
                chatter = tuple(
                    name for at, name in enumerate(names) if len({states[at] for states in flat}) > 1
                )
                return state, point, chatter
            seen.append(following)
            state = following
            point = self._solve_state(self._active(positions, state), load, point.across)

    def _follow(self, state: _State, point: _Point, turning: bool, load: tuple[str, float] | None) -> _State:
        pulled_in = []
        for relay, was, (start, end) in zip(self._relays, state[0], self._relay_ends, strict=True):
            held = self.held.get(relay.id)
            if held is not None:
                pulled_in.append(held)
            else:
                volts = abs(float(point.nodes[start] - point.nodes[end]))
                pulls, drops = relay.values["pull_in_volts"], relay.values["drop_out_volts"]
                pulled_in.append(True if volts >= pulls else False if volts < drops else was)
        joined = state[1]
        if turning and self._igniters:
            signals = self._signals(point, load)
            groups = self._conducting(point, load)
            joined = tuple(
                igniter.id in self.wiring.always or self._fires(igniter, point, signals, groups)
                for igniter in self._igniters
            )
        return tuple(pulled_in), joined

    def _fires(self, igniter: Component, point: _Point, signals: Floats, groups: list[int]) -> bool:
        """Whether supply, inhibit and trigger let the igniter switch its outputs."""
        node = {pin: self.wiring.node[f"{igniter.id}.{pin}"] for pin in KINDS["igniter"].pins}
        island = self._net.island
        earth = groups[island[node["31"]]]

        def above_earth(pin: str) -> float | None:
            joined = groups[island[node[pin]]] == earth
            return float(point.nodes[node[pin]] - point.nodes[node["31"]]) if joined else None

        supply, inhibit = above_earth("15"), above_earth("inhibit")
        if supply is None or supply < igniter.values["min_volts"]:
            return False
        if inhibit is not None and f"{igniter.id}.inhibit" in self.loom.wires_at:
            grounded = inhibit < INHIBIT_VOLTS
            if (igniter.inhibit == "grounded" and grounded) or (igniter.inhibit == "live" and not grounded):
                return False
        if groups[island[node["trigger"]]] != earth:
            return False
        signal = np.abs(signals[node["trigger"]] - signals[node["31"]])
        return bool(signal.max(initial=0.0) >= TRIGGER_SHARE)

    def _signals(self, point: _Point, load: tuple[str, float] | None) -> Floats:
        """Small-signal volts of every node, a column for each pick-up with an EMF of 1 V, batteries dead."""
        net = self._net
        c, m = net.curved, len(net.kept)
        columns = point.inflow.shape[1] - 1
        if not columns or m == 1:
            return np.zeros((self.wiring.nodes, columns))
        matrix = point.laplacian.copy()
        matrix[1:c, 1:c] += (self._across * point.slopes) @ self._across_t
        kept = np.zeros((m, columns))
        kept[1:] = dgesv(matrix[1:, 1:], point.inflow[1:, 1:])[2]
        nodes: Floats = net.spread @ kept + net.rest[:, 1:]
        if load is not None:
            nodes = nodes - np.column_stack([self._drawn_down(load, column) for column in nodes.T])
        return nodes

    def _conducting(
        self, point: _Point, load: tuple[str, float] | None = None, *, diodes: bool = True
    ) -> list[int]:
        """For each island the number of the group it conducts with; the reference is in group 0."""
        joins = [self._contact_joins[at] for at in point.active] + self._curved_joins[: self._bulb_count]
        if diodes and self._bulb_count < len(self._curved_joins):
            paths = point.slopes[self._bulb_count :] > 2.0 * LEAK_SIEMENS
            joins += [
                join
                for join, path in zip(self._curved_joins[self._bulb_count :], paths.tolist(), strict=True)
                if path
            ]
        if load is not None:
            joins.append((self._net.island[self.wiring.node[load[0]]], 0))
        return islands(self._island_count, joins)

    # -- results -----------------------------------------------------------------------------------------

    def _fuse_that_goes(self, point: _Point) -> str | None:
        """The fuse that blows soonest, if one would within the time an overload lasts."""
        amps = self._amps(point)
        times = {
            fuse.id: seconds_to_blow(abs(amps[fuse.id]), fuse.values["amps"]) for fuse in self._parts("fuse")
        }
        soonest = min(times, key=lambda fuse: times[fuse], default=None)
        return soonest if soonest is not None and times[soonest] <= OVERLOAD_SECONDS else None

    def _amps(self, point: _Point) -> dict[str, float]:
        amps = dict(self._no_amps)
        nodes = point.nodes
        flows = (
            (nodes[self._path_start] - nodes[self._path_end] - self._path_volts) * self._path_siemens
        ).tolist()
        amps.update(zip(self._path_names, flows, strict=True))
        curved = (self._laws(point.across)[0] * self._junction_way).tolist()
        devices: tuple[Filament | Junction, ...] = (*self.wiring.filaments, *self.wiring.junctions)
        for device, flow in zip(devices, curved, strict=True):
            amps[device.name] = flow
        for short in self._shorts:
            amps[short.removeprefix("short:")] += amps.pop(short)
        wiring = self.wiring
        for at in point.active:
            contact = wiring.contacts[at]
            amps[contact.name] = float((nodes[contact.start] - nodes[contact.end]) * contact.siemens)
        return amps

    def _solution(
        self,
        positions: Mapping[str, str],
        turning: bool,
        load: tuple[str, float] | None,
        state: _State,
        point: _Point,
        chatter: tuple[str, ...],
        blown: tuple[str, ...],
    ) -> Solution:
        groups = self._conducting(point, load)
        values = point.nodes[self._pin_nodes].tolist()
        volts = {
            pin: value if groups[island] == 0 else None
            for pin, value, island in zip(self._pins, values, self._pin_islands, strict=True)
        }
        faint: frozenset[str] = frozenset()
        if self._bulb_count < len(self._curved_joins):
            solid = self._conducting(point, load, diodes=False)
            faint = frozenset(
                pin
                for pin, island in zip(self._pins, self._pin_islands, strict=True)
                if groups[island] == 0 and solid[island] != 0
            )
        amps = self._amps(point)
        firing = {
            igniter.id: turning and on and igniter.id not in chatter and igniter.id not in self.wiring.always
            for igniter, on in zip(self._igniters, state[1], strict=True)
        }
        coils = dict.fromkeys(self._ids("ignition_coil"), 0.0)
        if any(firing.values()):
            still = tuple(
                on and not firing[part.id] for part, on in zip(self._igniters, state[1], strict=True)
            )
            apart = self._solve_state(self._active(positions, (state[0], still)), load, point.across)
            resting = self._amps(apart)
            coils = {coil: abs(amps[coil] - resting[coil]) for coil in coils}
        return Solution(
            settled=not chatter,
            volts=volts,
            amps=amps,
            relays={
                relay.id: "pulled in" if pulled else "at rest"
                for relay, pulled in zip(self._relays, state[0], strict=True)
            },
            warnings=tuple(self._warnings(volts, amps, chatter, blown)),
            chatter=chatter,
            blown=blown,
            firing=firing,
            coils=coils,
            high_impedance=faint,
        )

    def _warnings(
        self,
        volts: Mapping[str, float | None],
        amps: Mapping[str, float],
        chatter: tuple[str, ...],
        blown: tuple[str, ...],
    ) -> list[str]:
        said = []
        if chatter:
            said.append(f"{', '.join(chatter)}: never settles, chatters between its states.")
        said += [f"{fuse}: blown." for fuse in blown]
        for part in self.loom.components:
            if part.kind == "fuse":
                now, rated = abs(amps[part.id]), part.values["amps"]
                if now > rated and (seconds := seconds_to_blow(now, rated)) < float("inf"):
                    said.append(
                        f"{part.id} carries {now:.3g} A and is rated {rated:g} A: it would blow in about "
                        f"{_duration(seconds)}."
                    )
                elif now > rated:
                    said.append(f"{part.id} carries {now:.3g} A and is rated {rated:g} A: it is overloaded.")
            elif part.kind == "bulb":
                ends = volts[f"{part.id}.a"], volts[f"{part.id}.b"]
                if ends[0] is not None and ends[1] is not None:
                    across = abs(ends[0] - ends[1])
                    if across > 1.25 * part.values["volts"]:
                        said.append(
                            f"{part.id} has {across:.3g} V across it and is made for "
                            f"{part.values['volts']:g} V: it will not last."
                        )
            elif part.kind == "battery":
                ohms = part.values["ohms"]
                if ohms and -amps[part.id] * ohms > 0.6 * part.values["volts"]:
                    said.append(
                        f"{part.id} gives {-amps[part.id]:.3g} A, more than half of what it can: "
                        "that is a short. Take the battery off before looking for it."
                    )
            elif part.kind == "igniter":
                supply, earth = volts[f"{part.id}.15"], volts[f"{part.id}.31"]
                if supply is not None and earth is not None:
                    least = part.values["min_volts"]
                    if 1.0 <= supply - earth < least:
                        said.append(
                            f"{part.id} has {supply - earth:.3g} V between 15 and 31 and needs {least:g} V "
                            "to fire."
                        )
        return said

    def _cold_ohms(self, pin: str, other: str, settings: Mapping[str, str]) -> float | None:
        start, end = self.wiring.node[pin], self.wiring.node[other]
        if start == end:
            return 0.0
        net, b = self._net, self._bulb_count
        positions = self.loom.positions(settings)
        state = (
            tuple(self.held.get(relay.id, False) for relay in self._relays),
            tuple(igniter.id in self.wiring.always for igniter in self._igniters),
        )
        active = self._active(positions, state)
        joins = [self._contact_joins[at] for at in active] + self._curved_joins[:b]
        groups = islands(self._island_count, joins)
        if groups[net.island[start]] != groups[net.island[end]]:
            return None
        laplacian, _ = self._laplacian(active, joins, None)
        c = net.curved
        if b:
            cold = self._hot_siemens / COLD_SHARE**0.5
            bulbs = self._across[:, :b]
            laplacian[1:c, 1:c] += (bulbs * cold) @ bulbs.T
        between = net.spread[start] - net.spread[end]
        ohms = net.inner_ohms[start, start] + net.inner_ohms[end, end] - 2.0 * net.inner_ohms[start, end]
        if len(net.kept) > 1:
            ohms += between[1:] @ dgesv(laplacian[1:, 1:], between[1:])[2]
        return max(float(ohms), 0.0)


def _duration(seconds: float) -> str:
    return (
        f"{seconds:.1g} s"
        if seconds < 10
        else f"{seconds:.0f} s"
        if seconds < 120
        else f"{seconds / 60:.0f} min"
    )
