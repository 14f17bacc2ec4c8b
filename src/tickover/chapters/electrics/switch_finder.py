"""What a switch joins in each position, from ohm readings between its pins.

Pins that are joined to the same pin are joined to each other, so not every pair has to be read. What follows from the
readings is certain; a pair that nothing tells about is named as the reading to take next.

>>> from tickover.chapters.electrics.ohm_readings import read_ohms
>>> readings = [SwitchReading("off", ("1", "2"), read_ohms("OL")), SwitchReading("on", ("1", "2"), read_ohms("0.3"))]
>>> find_switch(("1", "2"), ("off", "on"), readings).positions
{'off': (), 'on': (('1', '2'),)}
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import networkx as nx

from tickover.chapters.electrics.ohm_readings import JOINED, LOOSE, OPEN, Ohms
from tickover.units import BadInput

Pair = tuple[str, str]
MOST_PINS, MOST_POSITIONS = 16, 12


@dataclass(frozen=True)
class SwitchReading:
    """One reading between two pins of a switch in one position."""

    position: str
    pins: Pair
    ohms: Ohms

    def __str__(self) -> str:
        return f"{self.pins[0]} to {self.pins[1]} in {self.position}: {self.ohms}"


@dataclass(frozen=True)
class SwitchFinding:
    """The positions table, what is not told yet, and what does not go together."""

    pins: tuple[str, ...]
    positions: dict[str, tuple[Pair, ...]]
    """In each position the joined pairs, one pin of a group to each other pin of it."""
    untold: tuple[tuple[str, Pair], ...]
    """Position and pair that no reading tells about, directly or by what is joined."""
    contradictions: tuple[str, ...]
    readings: tuple[SwitchReading, ...]

    @property
    def certain(self) -> bool:
        return not self.untold and not self.contradictions

    @cached_property
    def contact_ohms(self) -> Ohms | None:
        """The worst reading over a closed contact."""
        closed = [reading.ohms for reading in self.readings if reading.ohms.high <= LOOSE]
        return max(closed, key=lambda ohms: ohms.ohms, default=None)

    @cached_property
    def next(self) -> tuple[str, Pair] | None:
        """The reading that tells about the most pairs that are still untold."""
        left = self.untold
        return max(left, key=lambda one: (self._tells(one), -left.index(one)), default=None)

    def _tells(self, one: tuple[str, Pair]) -> int:
        """How many pairs are told when this one is read: as many as its pins' groups have between them."""
        position, (first, second) = one
        group = {pin: {pin, *self._joined(position, pin)} for pin in (first, second)}
        return sum(
            1 for where, pins in self.untold
            if where == position and {*pins} <= group[first] | group[second]
        )  # fmt: skip

    def _joined(self, position: str, pin: str) -> set[str]:
        graph = nx.Graph(self.positions[position])
        return set(nx.node_connected_component(graph, pin)) if pin in graph else set()

    @cached_property
    def notes(self) -> tuple[str, ...]:
        poor = [reading for reading in self.readings if reading.ohms.low > JOINED and reading.ohms.high <= LOOSE]
        notes = [f"A poor contact, {reading}: clean it and read it again." for reading in poor]
        idle = [pin for pin in self.pins if all(pin not in pair for pairs in self.positions.values() for pair in pairs)]
        if self.certain and idle:
            notes.append(f"Nothing is joined to pin {', '.join(idle)} in any position.")
        alike = [
            (first, second)
            for first, second in combinations(self.positions, 2)
            if self.positions[first] == self.positions[second]
        ]
        if self.certain:
            notes += [f"In {first} and in {second} it joins the same pins." for first, second in alike]
        return tuple(notes)


def find_switch(pins: Sequence[str], positions: Sequence[str], readings: Sequence[SwitchReading]) -> SwitchFinding:
    """The positions table of a switch with these pins and positions.

    `BadInput` where there are fewer than two pins, no position, too many, or a reading of a pin or position it lacks.
    """
    pins, positions = tuple(pins), tuple(positions)
    _check_names(pins, positions)
    told: dict[str, tuple[Pair, ...]] = {}
    untold: list[tuple[str, Pair]] = []
    wrong: list[str] = []
    for reading in readings:
        if reading.position not in positions:
            raise BadInput(f"{reading}: there is no position {reading.position}; there are {', '.join(positions)}")
        if not set(reading.pins) <= set(pins) or reading.pins[0] == reading.pins[1]:
            raise BadInput(f"{reading}: it takes two of the pins {', '.join(pins)}")
    for position in positions:
        here = [reading for reading in readings if reading.position == position]
        groups: nx.Graph[str] = nx.Graph()
        groups.add_nodes_from(pins)
        groups.add_edges_from(reading.pins for reading in here if reading.ohms.high <= LOOSE)
        of = {pin: number for number, group in enumerate(nx.connected_components(groups)) for pin in group}
        apart = set()
        for reading in here:
            first, second = reading.pins
            if reading.ohms.low >= OPEN:
                apart.add(frozenset((of[first], of[second])))
                if of[first] == of[second]:
                    wrong.append(
                        f"In {position}, {first} and {second} read {reading.ohms}, but other readings join them: "
                        "take these again."
                    )
            elif reading.ohms.high > LOOSE:
                wrong.append(
                    f"In {position}, {first} to {second} reads {reading.ohms}, neither joined nor open: "
                    "take the switch off its wires and read it again; else something is built in."
                )
        told[position] = _stars(groups, pins)
        untold += [
            (position, (first, second))
            for first, second in combinations(pins, 2)
            if of[first] != of[second] and frozenset((of[first], of[second])) not in apart
        ]
    odd = {(reading.position, frozenset(reading.pins)) for reading in readings if not _tells(reading.ohms)}
    left = tuple(one for one in untold if (one[0], frozenset(one[1])) not in odd)
    return SwitchFinding(pins, told, left, tuple(wrong), tuple(readings))


def _tells(ohms: Ohms) -> bool:
    return ohms.high <= LOOSE or ohms.low >= OPEN


def _check_names(pins: tuple[str, ...], positions: tuple[str, ...]) -> None:
    for what, names, least, most in (("pin", pins, 2, MOST_PINS), ("position", positions, 1, MOST_POSITIONS)):
        if not least <= len(names) <= most:
            raise BadInput(f"{len(names)} {what}s are given; a switch has {least} to {most} here")
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise BadInput(f"{what} {twice} is named twice; give every {what} a name of its own")


def _stars(groups: nx.Graph[str], pins: tuple[str, ...]) -> tuple[Pair, ...]:
    """Each group's first pin with each other pin of it, in the order of the pins."""
    pairs: list[Pair] = []
    for group in sorted(nx.connected_components(groups), key=lambda group: min(map(pins.index, group))):
        first, *others = sorted(group, key=pins.index)
        pairs += [(first, other) for other in others]
    return tuple(pairs)
