"""What a solved circuit says: volts, amps, relays, and what is worth a warning."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from tickover.chapters.electrics.loom.document import Component
from tickover.chapters.electrics.loom.fuses import seconds_to_blow
from tickover.chapters.electrics.loom.state import Point

if TYPE_CHECKING:
    from tickover.chapters.electrics.loom.circuit import Circuit

RelayState = Literal["at rest", "pulled in"]


class Solution:
    """What the circuit does with its switches set.

    ``settled`` is false where relays or igniters, named in ``chatter``, change for ever. ``relays`` says how
    each relay stands, ``blown`` which fuses blew on the way to this point, in order, ``firing`` whether the
    turning engine makes an igniter switch its outputs.
    """

    def __init__(
        self,
        circuit: Circuit,
        point: Point,
        *,
        relays: dict[str, RelayState],
        firing: dict[str, bool],
        chatter: tuple[str, ...],
        blown: tuple[str, ...],
        resting: Point | None,
    ) -> None:
        """``resting``: the same point with the outputs of the firing igniters apart."""
        self._circuit, self._point, self._resting = circuit, point, resting
        self.settled = not chatter
        self.relays = relays
        self.firing = firing
        self.chatter = chatter
        self.blown = blown
        self._nodes = point.nodes()
        self._groups = point.state.conducting(point)

    @cached_property
    def volts(self) -> dict[str, float | None]:
        """Volts by pin against the reference; ``None`` where nothing that conducts joins the pin to it.

        A diode is such a path while the conductance of its junction, Is / (n Vt) exp(V / (n Vt)), exceeds the
        1e-12 S in parallel with it: so a pin behind one forward or idle diode has volts, a pin shut off by
        diodes that all block has none.
        """
        circuit, groups = self._circuit, self._groups
        values: list[float] = self._nodes[circuit.pin_nodes].tolist()
        return {
            pin: None if groups[island] else value
            for pin, value, island in zip(circuit.wiring.node, values, circuit.pin_islands, strict=True)
        }

    @cached_property
    def high_impedance(self) -> frozenset[str]:
        """Pins with volts whose only path to the reference is through junctions of diodes."""
        if not self._circuit.wiring.junctions:
            return frozenset()
        solid = self._point.state.conducting(self._point, diodes=False)
        islands = zip(self._circuit.wiring.node, self._circuit.pin_islands, strict=True)
        return frozenset(pin for pin, island in islands if solid[island] and not self._groups[island])

    @cached_property
    def amps(self) -> dict[str, float]:
        """Amps by wire (from → to), by component of two ends (first pin → second pin), by relay for its coil
        (85 → 86), by igniter for its draw (15 → 31), and for each contact under its own name (``KEY.30-15``).
        """
        return self._circuit.amps_at(self._point)

    @cached_property
    def coils(self) -> dict[str, float]:
        """By ignition coil the primary amps that a firing igniter breaks; 0 where none does."""
        coils = dict.fromkeys(self._circuit.ids("ignition_coil"), 0.0)
        if self._resting is not None:
            apart = self._circuit.amps_at(self._resting)
            coils = {coil: abs(self.amps[coil] - apart[coil]) for coil in coils}
        return coils

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """What would not last, or could hurt, in sentences."""
        said = []
        if self.chatter:
            said.append(f"{', '.join(self.chatter)}: never settles, chatters between its states.")
        said += [f"{fuse}: blown." for fuse in self.blown]
        for part in self._circuit.loom.components:
            if part.kind in _WARNINGS:
                said += _WARNINGS[part.kind](self, part)
        return tuple(said)

    def across(self, part: str, first: str, second: str) -> float | None:
        """Volts from one pin of a component to another; ``None`` where either has none."""
        ends = self.volts[f"{part}.{first}"], self.volts[f"{part}.{second}"]
        return None if ends[0] is None or ends[1] is None else ends[0] - ends[1]

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
        """The same as tables to read on the terminal."""
        lines = [f"{'Pin':<20} {'Volts':>8}"]
        for pin, volts in self.volts.items():
            lines.append(f"{pin:<20} {'no path' if volts is None else f'{_tidy(volts):.3f}':>8}")
        lines += ["", f"{'Wire or component':<20} {'Amps':>8}"]
        lines += [f"{name:<20} {_tidy(amps):8.3f}" for name, amps in self.amps.items()]
        if self.relays:
            lines += ["", "Relay"]
            lines += [f"{relay:<20} {state}" for relay, state in self.relays.items()]
        if any(self.firing.values()):
            lines += ["", f"{'Ignition coil':<15} {'Amps broken':>13}"]
            lines += [f"{coil:<20} {_tidy(amps):8.3f}" for coil, amps in self.coils.items()]
        if self.warnings:
            lines += ["", *self.warnings]
        return "\n".join(lines)


def _tidy(value: float) -> float:
    """Without the minus sign that a rounded nothing would carry."""
    return 0.0 if abs(value) < 5e-4 else value


def _fuse_warning(solution: Solution, fuse: Component) -> Iterator[str]:
    now, rated = abs(solution.amps[fuse.id]), fuse.values["amps"]
    seconds = seconds_to_blow(now, rated)
    carries = f"{fuse.id} carries {now:.3g} A and is rated {rated:g} A"
    if seconds < float("inf"):
        yield f"{carries}: it would blow in about {_duration(seconds)}."
    elif now > rated:
        yield f"{carries}: it is overloaded."


def _bulb_warning(solution: Solution, bulb: Component) -> Iterator[str]:
    across, rated = solution.across(bulb.id, "a", "b"), bulb.values["volts"]
    if across is not None and abs(across) > 1.25 * rated:
        yield f"{bulb.id} has {abs(across):.3g} V across it and is made for {rated:g} V: it will not last."


def _battery_warning(solution: Solution, battery: Component) -> Iterator[str]:
    given = -solution.amps[battery.id]
    if given * battery.values["ohms"] > 0.6 * battery.values["volts"]:
        yield (
            f"{battery.id} gives {given:.3g} A, more than half of what it can: that is a short. It heats "
            "cables until they burn. Take the battery off before looking for it."
        )


def _igniter_warning(solution: Solution, igniter: Component) -> Iterator[str]:
    supply, least = solution.across(igniter.id, "15", "31"), igniter.values["min_volts"]
    if supply is not None and 1.0 <= supply < least:
        yield f"{igniter.id} has {supply:.3g} V between 15 and 31 and needs {least:g} V to fire."


_WARNINGS = {
    "fuse": _fuse_warning,
    "bulb": _bulb_warning,
    "battery": _battery_warning,
    "igniter": _igniter_warning,
}


def _duration(seconds: float) -> str:
    if seconds < 120.0:
        return f"{seconds:.1g} s" if seconds < 10.0 else f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min"
