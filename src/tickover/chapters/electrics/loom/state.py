"""A network with a given set of contacts joined: the linear part worked out, bulbs and diodes left to solve.

Each live bulb or diode is a port. In the linear network every port carries a fixed conductance (its *chord*)
in place of the device, and a device is what its current differs from its chord's. So the volts across the
devices solve ``v = open - ohms @ (i(v) - chord * v)``, a handful of equations, and all node volts follow from
their currents. Newton's method solves it (L. W. Nagel, "SPICE2", University of California memorandum
ERL-M520, 1975). The laws never fall, so the operating point is the one lowest point of a convex function, the
co-content of the network (W. Millar, "Some general theorems for non-linear systems possessing resistance",
Philosophical Magazine 42 (1951) 1150-1160): where Newton's method does not settle, a line search walks down
that function.

Bulbs and diodes that no source reaches stay at no volts and are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg.lapack import dgesv

from tickover.chapters.electrics.loom.devices import (
    LEAK_SIEMENS,
    filament,
    filament_content,
    held_back,
    junction,
    junction_content,
    knee_volts,
)
from tickover.chapters.electrics.loom.network import (
    Filament,
    Floats,
    Junction,
    Reduced,
    Wiring,
    balance,
    islands,
    node_volts,
)

_CHORD_SIEMENS = 1e-3  # of a diode: between its leak and the stiffest wire, so that neither drowns in rounding
_STEP_VOLTS = 1e-5  # Newton's error is about the square of its last step: after this one below 1e-8 V
_NEWTON_STEPS = 30
_DESCENT_STEPS = 3000
_NOTHING = 1e-11  # volts, or share of a port's own ohms: what rounding leaves of a zero

Law = Callable[[float], tuple[float, float]]


@dataclass
class Point:
    """A solved state: volts across each live device, and the amps each carries beyond its chord's."""

    state: State
    across: list[float]
    beyond: Floats

    def coil_volts(self) -> list[float]:
        """Volts across each watched pair of nodes, either way round."""
        volts: list[float] = np.abs(self.state.watch_idle - self.state.watch_lift @ self.beyond).tolist()
        return volts

    def nodes(self) -> Floats:
        """Volts of every node."""
        nodes: Floats = self.state.idle - self.state.lift @ self.beyond
        return nodes


class State:
    """The network while ``active`` contacts are joined, perhaps with a load from a node to the reference."""

    def __init__(
        self,
        wiring: Wiring,
        net: Reduced,
        active: Sequence[int],
        load: tuple[int, float] | None,
        watch: Floats,
    ) -> None:
        """``watch`` picks the volts that relays go by: a row for each, with +1 and -1 at two nodes."""
        self.wiring, self.net, self.active, self.load = wiring, net, active, load
        devices = wiring.devices
        laplacian, inflow = self._linear(self._all_joined)
        chords = [device.siemens if isinstance(device, Filament) else _CHORD_SIEMENS for device in devices]
        laplacian += (net.ports * chords) @ net.ports.T
        kept = np.zeros((len(net.kept), len(devices) + inflow.shape[1]))
        if len(net.kept) > 1:
            right = np.hstack((net.ports, inflow))[1:]
            kept[1:] = node_volts(laplacian[1:, 1:], -laplacian[1:, 0], right)
        across = net.ports.T @ kept
        self.live = _live(across)
        """Numbers of the bulbs and diodes that can carry current, bulbs first."""
        k, first_source = len(self.live), len(devices)
        self.ohms: Floats = np.asfortranarray(across[np.ix_(self.live, self.live)])
        self.open: Floats = across[self.live, first_source]
        self.chords: Floats = np.array([chords[number] for number in self.live])
        self._chord_list: list[float] = self.chords.tolist()
        self._laws = [_law(devices[number]) for number in self.live]
        self._knees = [
            (at, knee_volts(device.saturation_amps, device.slope_volts), device.slope_volts)
            for at, number in enumerate(self.live)
            if isinstance(device := devices[number], Junction)
        ]
        self._start: list[float] = self.open.tolist()
        for at, knee, _ in self._knees:
            self._start[at] = min(self._start[at], knee)
        self.lift: Floats = net.spread @ kept[:, self.live]
        sources: Floats = net.spread @ kept[:, first_source:] + net.rest
        if load is not None:
            drawn = net.inner_ohms[:, load[0]] / (load[1] + net.inner_ohms[load[0], load[0]])
            self.lift = self.lift - np.outer(drawn, self.lift[load[0]])
            sources = sources - np.outer(drawn, sources[load[0]])
        self.idle: Floats = np.ascontiguousarray(sources[:, 0])
        """Volts of every node while all devices are their chords."""
        self.watch_idle: Floats = watch @ self.idle
        self.watch_lift: Floats = watch @ self.lift
        self._signals, self._signal_ports = sources[:, 1:], across[self.live, first_source + 1 :]
        self._eye = np.eye(k, order="F")
        self._groups: dict[tuple[bool, ...], list[int]] = {}

    def _joins(self) -> list[tuple[int, int]]:
        """The islands that are joined by contacts and load."""
        island, contacts = self.net.island, self.wiring.contacts
        joins = [(island[contacts[at].start], island[contacts[at].end]) for at in self.active]
        return joins if self.load is None else [*joins, (island[self.load[0]], 0)]

    @cached_property
    def _all_joined(self) -> list[int]:
        """For each island its group when every bulb and diode joins: what floats even so must be pinned."""
        island = self.net.island
        ends = [(island[device.start], island[device.end]) for device in self.wiring.devices]
        return islands(self.net.islands, [*self._joins(), *ends])

    @cached_property
    def cold_islands(self) -> list[int]:
        """For each island its group when filaments join and diodes do not: what an ohmmeter finds."""
        island = self.net.island
        bulbs = [(island[bulb.start], island[bulb.end]) for bulb in self.wiring.filaments]
        return islands(self.net.islands, [*self._joins(), *bulbs])

    @cached_property
    def cold(self) -> Floats:
        """Conductances of the kept nodes to an ohmmeter: filaments cold, diodes no path."""
        laplacian, _ = self._linear(self.cold_islands)
        for bulb in self.wiring.filaments:
            siemens = filament(0.0, bulb.siemens, bulb.volts)[1]
            start, end = self.net.place[bulb.start], self.net.place[bulb.end]
            laplacian[start, end] -= siemens
            laplacian[end, start] -= siemens
            laplacian[start, start] += siemens
            laplacian[end, end] += siemens
        return laplacian

    def _linear(self, groups: list[int]) -> tuple[Floats, Floats]:
        """Conductances and source currents of the kept nodes without devices, floating groups pinned."""
        net = self.net
        laplacian, inflow = net.matrix.copy(), net.inflow
        for at in self.active:
            contact = self.wiring.contacts[at]
            start, end = net.place[contact.start], net.place[contact.end]
            laplacian[start, end] -= contact.siemens
            laplacian[end, start] -= contact.siemens
        if self.load is not None:
            node, ohms = self.load
            siemens = 1.0 / (ohms + net.inner_ohms[node, node])
            reach = net.spread[node].copy()
            reach[0] -= reach.sum()
            laplacian += siemens * np.outer(reach, reach)
            inflow = inflow - siemens * np.outer(reach, net.rest[node])
        pinned = {0}
        for island, group in enumerate(groups):
            if group not in pinned:
                pinned.add(group)
                at = net.kept_on[island]
                laplacian[at, 0] -= 1.0
                laplacian[0, at] -= 1.0
        balance(laplacian)
        return laplacian, inflow

    # -- solving -----------------------------------------------------------------------------------------

    def solve(self, guess: Point | None, decided: Callable[[Point, float], bool] | None = None) -> Point:
        """The operating point. ``decided(point, step)`` may stop the search early, at a point whose last step
        across any device was ``step`` volts."""
        if not self.live:
            return Point(self, [], np.zeros(0))
        across = self._first(guess)
        for _ in range(_NEWTON_STEPS):
            beyond, new, step = self._newton_step(across)
            if step < _STEP_VOLTS:
                return Point(self, new, beyond)
            if decided is not None and decided(point := Point(self, new, beyond), step):
                return point
            for at, knee, slope_volts in self._knees:
                new[at] = held_back(across[at], new[at], knee, slope_volts)
            across = new
        return self._descend()

    def _first(self, guess: Point | None) -> list[float]:
        """Where to start: as the state before stood, or on the chords, diodes at most at their knees."""
        if guess is None:
            return self._start
        if guess.state.live == self.live:
            return guess.across
        known = dict(zip(guess.state.live, guess.across, strict=True))
        return [known.get(number, volts) for number, volts in zip(self.live, self._start, strict=True)]

    def _newton_step(self, across: list[float]) -> tuple[Floats, list[float], float]:
        """Amps beyond the chords, volts across the devices, and the longest step taken."""
        slopes, offsets = [], []
        for law, volts, chord in zip(self._laws, across, self._chord_list, strict=True):
            amps, slope = law(volts)
            slopes.append(slope - chord)
            offsets.append(amps - slope * volts)
        more, offset = np.array(slopes), np.array(offsets)
        solved = dgesv(self.ohms * more + self._eye, self.open - self.ohms @ offset, overwrite_a=1)[2]
        new: list[float] = solved.tolist()
        step = max([abs(after - before) for after, before in zip(new, across, strict=True)])
        return offset + more * solved, new, step

    def signals(self, point: Point) -> Floats:
        """Small-signal volts of every node, a column for each pick-up with an EMF of 1 V, batteries dead."""
        if not self.live:
            return self._signals
        more = np.array([law(volts)[1] for law, volts in zip(self._laws, point.across, strict=True)]) - self.chords
        across = dgesv(self.ohms * more + self._eye, self._signal_ports)[2]
        signals: Floats = self._signals - self.lift @ (more[:, None] * across)
        return signals

    def conducting(self, point: Point, *, diodes: bool = True) -> list[int]:
        """For each island the number of the group it conducts with; the reference is in group 0.

        A diode conducts while its junction's conductance exceeds the leak in parallel with it.
        """
        known = dict(zip(self.live, point.across, strict=True))
        bulbs = len(self.wiring.filaments)
        paths = tuple(
            diodes and _law(diode)(known.get(number, 0.0))[1] > 2.0 * LEAK_SIEMENS
            for number, diode in enumerate(self.wiring.junctions, bulbs)
        )
        if paths not in self._groups:
            island = self.net.island
            joins = [*self._joins()]
            for device, path in zip(self.wiring.devices, (*[True] * bulbs, *paths), strict=True):
                if path:
                    joins.append((island[device.start], island[device.end]))
            self._groups[paths] = islands(self.net.islands, joins)
        return self._groups[paths]

    def _descend(self) -> Point:
        """Newton's method that never steps uphill on the co-content; slower, and sure to arrive."""
        laplacian, inflow = self._linear(self._all_joined)
        matrix, current = laplacian[1:, 1:], inflow[1:, 0]
        devices, incidence = self.wiring.devices, self.net.ports[1:]
        laws, contents = [_law(device) for device in devices], [_content(device) for device in devices]

        def content(volts: Floats) -> float:
            across = (incidence.T @ volts).tolist()
            total = sum(own(value) for own, value in zip(contents, across, strict=True))
            return total + float(volts @ (0.5 * matrix @ volts - current))

        if not devices:
            return Point(self, [], np.zeros(0))
        volts = np.zeros(len(matrix))
        height = content(volts)
        for _ in range(_DESCENT_STEPS):
            across = incidence.T @ volts
            solved = np.array([law(value) for law, value in zip(laws, across.tolist(), strict=True)])
            uphill = matrix @ volts - current + incidence @ solved[:, 0]
            step = -dgesv(matrix + (incidence * solved[:, 1]) @ incidence.T, uphill)[2]
            if np.abs(incidence.T @ step).max() < _STEP_VOLTS:
                volts = volts + step
                break
            length, fall = 1.0, float(uphill @ step)
            while length > 1e-12:
                lower = content(volts + length * step)
                if lower <= height + 1e-4 * length * fall:
                    break
                length *= 0.5
            else:
                break  # as low as the arithmetic can see
            volts, height = volts + length * step, lower
        across = (incidence.T @ volts)[self.live].tolist()
        amps = np.array([law(value)[0] for law, value in zip(self._laws, across, strict=True)])
        return Point(self, across, amps - self.chords * np.array(across))


def _law(device: Filament | Junction) -> Law:
    if isinstance(device, Filament):
        siemens, rated = device.siemens, device.volts
        return lambda volts: filament(volts, siemens, rated)
    saturation, slope = device.saturation_amps, device.slope_volts
    return lambda volts: junction(volts, saturation, slope)


def _content(device: Filament | Junction) -> Callable[[float], float]:
    if isinstance(device, Filament):
        siemens, rated = device.siemens, device.volts
        return lambda volts: filament_content(volts, siemens, rated)
    saturation, slope = device.saturation_amps, device.slope_volts
    return lambda volts: junction_content(volts, saturation, slope)


def _live(across: Floats) -> list[int]:
    """The ports that a source reaches: ``across`` holds the volts that one amp into each port, and then each
    source, puts across every port. What is coupled with nothing that a source reaches stays at no volts."""
    count = len(across)
    ohms = np.abs(across[:, :count])
    own = np.sqrt(np.diagonal(ohms))
    coupled = ohms > _NOTHING * own[:, None] * own
    reached = (np.abs(across[:, count:]) > _NOTHING).any(axis=1)
    while True:
        more = reached | coupled[:, reached].any(axis=1)
        if (more == reached).all():
            return [int(number) for number in np.flatnonzero(reached)]
        reached = more
