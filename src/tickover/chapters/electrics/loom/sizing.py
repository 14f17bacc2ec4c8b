"""Conductor, fuse and drop of every wire of a loom: what it carries, what it stands, and what guards it.

The circuit itself says which fuse feeds a wire: an end of the wire is laid to the frame, and the fuse whose current
rises with it is the one that must blow. Settings looked at: every switch as its ``at`` says; each switch alone in each
of its positions; every switch in the position that joins the most of its contacts, and from there every one or two
switches in another position; each with the engine still and, where there is an igniter, turning.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from itertools import combinations

from tickover.chapters.cautions import BATTERY
from tickover.chapters.electrics.conductors import (
    SHORT_SECONDS,
    Surroundings,
    capacity,
    heating,
    sizes_from,
    warmth,
)
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.document import Component, Loom, Wire
from tickover.chapters.electrics.loom.faults import Fault
from tickover.chapters.electrics.loom.fuses import opening_seconds
from tickover.chapters.electrics.loom.solution import Solution
from tickover.units import BadInput

#: Share of the battery's volts that one wire with its terminals may lose, unless told otherwise: our choice.
ALLOWED_DROP = 0.03
#: A starter turns no longer than this at a time, in seconds; its leads stay below their limit so long. Our choice.
CRANKING_SECONDS = 30.0
#: A pin with fewer volts is on the earth side.
LIVE_VOLTS = 1.0
#: A starter with fewer amps stands still.
CRANKING_AMPS = 1.0

_ZERO_CELSIUS = 273.15
_RISE = 0.05  # a fuse feeds a short when its current rises by this share of the short's


@dataclass(frozen=True)
class Short:
    """A dead short to the frame at one end of a wire: amps, volts of the source, and the fuse that has to blow.

    ``fuse`` is empty where none is in the feed. ``seconds`` and ``celsius``: when it blows, and how warm the copper
    is by then; no seconds: it never blows. ``past_it``: amps that another feed still drives through the wire then.
    ``safe``: the insulation's limit is never passed.
    """

    pin: str
    settings: Mapping[str, str]
    amps: float
    fuse: str
    rated_amps: float
    fuse_amps: float
    seconds: float | None = None
    celsius: float | None = None
    past_it: float = 0.0
    safe: bool = False


@dataclass(frozen=True)
class WireSize:
    """What one wire has to do and what it stands. Amps, volts, °C, mm².

    ``amps`` lasts; ``cranking_amps`` flows while a starter turns. ``settings`` are those of ``amps``, those at
    rest left out. ``guarded``: its fuse is rated no higher than what the wire stands (IEC 60364-4-43, 433.1); ``None``
    without a fuse. ``mm2_needed``: the smallest usual size that does it all with this fuse, ``None`` where none does.
    """

    wire: str
    mm2: float
    length_mm: float
    amps: float
    settings: Mapping[str, str]
    turning: bool
    cranking_amps: float
    capacity_amps: float
    celsius: float
    drop_volts: float
    drop_share: float
    fuse: str
    rated_amps: float | None
    fuse_lives: bool
    guarded: bool | None
    short: Short | None
    mm2_needed: float | None
    holds: bool
    verdict: str


@dataclass(frozen=True)
class Sizing:
    """Every wire of a loom, in its order, under the same surroundings."""

    around: Surroundings
    allowed_drop: float
    battery_volts: float
    wires: tuple[WireSize, ...]

    @property
    def holds(self) -> bool:
        return all(wire.holds for wire in self.wires)

    def as_json(self) -> dict[str, object]:
        """The object that ``tickover loom size --json`` prints; temperatures in °C as in the loom document."""
        return {
            "holds": self.holds,
            "ambient_celsius": self.around.ambient - _ZERO_CELSIUS,
            "bundle": self.around.bundle,
            "insulation": self.around.insulation,
            "allowed_drop": self.allowed_drop,
            "battery_volts": self.battery_volts,
            "wires": [asdict(wire) for wire in self.wires],
            "cautions": [BATTERY],
        }

    def as_text(self) -> str:
        """The same as a table, and a sentence a wire."""
        lines = [f"{'Wire':<12} {'mm²':>5} {'needs':>6} {'Amps':>7} {'stands':>7} {'Drop V':>7} {'Fuse':>8}  holds"]
        for row in self.wires:
            needs = "none" if row.mm2_needed is None else f"{row.mm2_needed:g}"
            most = max(row.amps, row.cranking_amps)
            lines.append(
                f"{row.wire:<12} {row.mm2:>5g} {needs:>6} {most:7.2f} {row.capacity_amps:7.1f} {row.drop_volts:7.3f} "
                f"{row.fuse or '-':>8}  {'yes' if row.holds else 'no'}"
            )
        lines += ["", *(f"{row.wire}: {row.verdict}" for row in self.wires)]
        wrong = sum(not row.holds for row in self.wires)
        lines += [
            "",
            f"Reckoned with {self.around.ambient - _ZERO_CELSIUS:g} °C around the loom, bundles with "
            f"{self.around.bundle} that carry current together, insulation of class {self.around.insulation}, and "
            f"{100 * self.allowed_drop:g} % of drop allowed in one wire.",
            f"{wrong} of {len(self.wires)} wires do not hold.",
            BATTERY,
        ]
        return "\n".join(lines)


def settings_that_matter(loom: Loom) -> list[dict[str, str]]:
    """Every distinct stand of the switches that is looked at, by the rule at the head of this module."""
    switches = [part for part in loom.components if part.kind == "switch"]
    rest = loom.positions({})
    full = {part.id: _most_joined(part) for part in switches}
    others = [(part.id, at) for part in switches for at in part.positions]
    stands = [rest, *(rest | {switch: at} for switch, at in others), full]
    stands += [full | {switch: at} for switch, at in others]
    stands += [
        full | {first: at, second: to} for (first, at), (second, to) in combinations(others, 2) if first != second
    ]
    return list({tuple(stand.items()): stand for stand in stands}.values())


def _most_joined(switch: Component) -> str:
    """The first of the positions that join the most contacts."""
    return max(switch.positions, key=lambda at: len(switch.positions[at]))


def size(loom: Loom, around: Surroundings | None = None, allowed_drop: float = ALLOWED_DROP) -> Sizing:
    """Conductor, fuse and drop of every wire.

    ``allowed_drop`` is a share of the battery's volts. Raises ``BadInput`` for a loom without a battery and for a share
    that is not between 0 and 1.
    """
    around = around or Surroundings()
    if not 0.0 < allowed_drop < 1.0:
        raise BadInput(f"An allowed drop of {100 * allowed_drop:g} % does not do; it must be between 0 and 100 %.")
    volts = max((part.values["volts"] for part in loom.components if part.kind == "battery"), default=0.0)
    if volts <= 0.0:
        raise BadInput("The loom has no battery with volts; add one, so that its wires carry current.")
    return _Sizer(loom, around, allowed_drop, volts).sizing()


@dataclass(frozen=True)
class _Run:
    """One solved setting: volts by pin (0 where there is no path) and amps by name, without sign."""

    settings: dict[str, str]
    turning: bool
    cranks: bool
    volts: dict[str, float]
    amps: dict[str, float]


class _Sizer:
    def __init__(self, loom: Loom, around: Surroundings, allowed_drop: float, volts: float) -> None:
        self.loom, self.around, self.allowed_drop, self.volts = loom, around, allowed_drop, volts
        self.fuses = {part.id: part.values["amps"] for part in loom.components if part.kind == "fuse"}
        self.kinds = {part.id: part.kind for part in loom.components}
        circuit = Circuit(loom)
        turning = (False, True) if circuit.ids("igniter") else (False,)
        self.runs = [
            self._run(circuit.solve(stand, turning=turns), stand, turns)
            for stand in settings_that_matter(loom)
            for turns in turning
        ]
        self._circuits: dict[tuple[str, str], Circuit] = {}
        self._kept: dict[tuple[str, ...], _Run] = {}

    def _run(self, solution: Solution, settings: dict[str, str], turning: bool) -> _Run:
        amps = {name: abs(value) for name, value in solution.amps.items()}
        cranks = any(kind == "starter" and amps[part] > CRANKING_AMPS for part, kind in self.kinds.items())
        volts = {pin: abs(value or 0.0) for pin, value in solution.volts.items()}
        return _Run(settings, turning, cranks, volts, amps)

    def sizing(self) -> Sizing:
        rows = tuple(self._row(wire) for wire in self.loom.wires)
        return Sizing(self.around, self.allowed_drop, self.volts, rows)

    def _row(self, wire: Wire) -> WireSize:
        worst = max(self.runs, key=lambda run: (not run.cranks, run.amps[wire.id]))
        amps = 0.0 if worst.cranks else worst.amps[wire.id]
        cranking = max((run.amps[wire.id] for run in self.runs if run.cranks), default=0.0)
        most = max(amps, cranking)
        short = self._worst_short(wire)
        short = short and self._judged(short, wire, wire.mm2, amps)
        fuse = short.fuse if short else ""
        rated = self.fuses.get(fuse)
        fuse_amps = max(run.amps[fuse] for run in self.runs) if fuse else 0.0
        stands = capacity(wire.mm2 * 1e-6, self.around)
        drop = wire.ohms(self.loom.celsius) * most
        row = WireSize(
            wire=wire.id,
            mm2=wire.mm2,
            length_mm=wire.length_mm,
            amps=amps,
            settings={at: to for at, to in worst.settings.items() if to != self.loom.component(at).at},
            turning=worst.turning,
            cranking_amps=cranking,
            capacity_amps=stands,
            celsius=warmth(wire.mm2 * 1e-6, amps, self.around) - _ZERO_CELSIUS,
            drop_volts=drop,
            drop_share=drop / self.volts,
            fuse=fuse,
            rated_amps=rated,
            fuse_lives=rated is None or fuse_amps <= rated,
            guarded=None if rated is None else rated <= stands,
            short=short,
            mm2_needed=self._needed(wire, amps, cranking, short),
            holds=False,
            verdict="",
        )
        wrong = list(self._wrong(wire, row, fuse_amps))
        said = wrong or list(self._right(row))
        return replace(row, holds=not wrong, verdict=_sentence(said))

    # -- what it needs -----------------------------------------------------------------------------------

    def _needed(self, wire: Wire, amps: float, cranking: float, short: Short | None) -> float | None:
        for area in sizes_from():
            mm2 = area * 1e6
            if (
                capacity(area, self.around) >= amps
                and self._cranks(mm2, amps, cranking)
                and replace(wire, mm2=mm2).ohms(self.loom.celsius) * max(amps, cranking) <= self._allowed
                and (short is None or not short.fuse or self._judged(short, wire, mm2, amps).safe)
            ):
                return mm2
        return None

    @property
    def _allowed(self) -> float:
        return self.allowed_drop * self.volts

    def _cranks(self, mm2: float, amps: float, cranking: float) -> bool:
        """Whether the wire stays below its lasting limit while the starter turns."""
        if cranking <= amps:
            return True
        area, limit = mm2 * 1e-6, self.around.limits.lasting
        start = warmth(area, amps, self.around)
        passed = 0.0
        for instant in heating(area, 1.0, cranking, math.inf, start, limit, self.around) if start < limit else ():
            passed += instant.seconds
        return passed >= CRANKING_SECONDS

    # -- the short ---------------------------------------------------------------------------------------

    def _worst_short(self, wire: Wire) -> Short | None:
        """The dead short at an end of the wire that drives the most through it; ``None`` on the earth side."""
        own = [self._short(wire, pin, sound) for pin, sound in self._live[wire.id]]
        if not own and "battery" in self._ends(wire):  # the battery's earth lead carries the shorts of all the others
            pins = dict.fromkeys(entry[0] for entries in self._live.values() for entry in entries)
            sounds = {pin: sound for entries in self._live.values() for pin, sound in entries}
            others = [self._short(wire, pin, sounds[pin]) for pin in pins]
            own = [short for short in others if short.fuse]
        return max(own, key=lambda short: short.amps, default=None)

    @cached_property
    def _live(self) -> dict[str, list[tuple[str, _Run]]]:
        """By wire its two pins, with the run where both have the most volts; none for a wire on the earth side."""
        still = [run for run in self.runs if not run.turning]
        live: dict[str, list[tuple[str, _Run]]] = {}
        for wire in self.loom.wires:
            volts = [min(run.volts[wire.start], run.volts[wire.end]) for run in still]
            most = max(volts)
            sound = still[volts.index(most)]
            live[wire.id] = [(pin, sound) for pin in (wire.start, wire.end)] if most >= LIVE_VOLTS else []
        return live

    def _short(self, wire: Wire, pin: str, sound: _Run) -> Short:
        run = self._shorted(pin, sound)
        amps = run.amps[wire.id]
        rise = {fuse: run.amps[fuse] - sound.amps[fuse] for fuse in self.fuses}
        feeding = [fuse for fuse in self.fuses if rise[fuse] > _RISE * amps > 1e-6]
        settings = {at: to for at, to in sound.settings.items() if to != self.loom.component(at).at}
        if not feeding:
            return Short(pin, settings, amps, "", 0.0, 0.0)
        first = min(feeding, key=lambda fuse: (opening_seconds(run.amps[fuse], self.fuses[fuse])[1], self.fuses[fuse]))
        past_it = self._shorted(pin, sound, first).amps[wire.id]
        return Short(pin, settings, amps, first, self.fuses[first], run.amps[first], past_it=past_it)

    def _shorted(self, pin: str, sound: _Run, blown: str = "") -> _Run:
        """The same setting with this pin on the frame, and with a fuse blown."""
        key = (pin, blown, *sound.settings.values())
        if key not in self._kept:
            faults = [Fault("grounded", pin), *([Fault("open", blown)] if blown else [])]
            circuit = self._circuits.get((pin, blown)) or Circuit(self.loom, faults)
            self._circuits[pin, blown] = circuit
            self._kept[key] = self._run(circuit.solve(sound.settings), sound.settings, False)
        return self._kept[key]

    def _judged(self, short: Short, wire: Wire, mm2: float, amps: float) -> Short:
        """Whether the slowest fuse of its kind blows before the insulation's limit, in a wire of ``mm2``.

        The fuse gathers its share of the opening time at each instant's current. It may blow at the short-circuit
        limit within five seconds, at the overload limit later; a current that never blows it must be one that the
        wire stands.
        """
        limits, area, length = self.around.limits, mm2 * 1e-6, wire.length_mm * 1e-3
        as_it_is, with_size = wire.ohms(self.loom.celsius), replace(wire, mm2=mm2).ohms(self.loom.celsius)
        through = short.amps / max(1 + (with_size - as_it_is) * short.amps / self.volts, 1e-9)
        start = warmth(area, amps, self.around)
        passed = spent = 0.0
        kelvin = start
        cold = self.loom.celsius + _ZERO_CELSIUS
        steps = heating(area, length, through, self.volts, start, limits.short, self.around, cold)
        for instant in steps if start < limits.short else ():
            kelvin = instant.kelvin
            blow = math.inf
            if short.fuse:
                blow = opening_seconds(short.fuse_amps * instant.amps / short.amps, short.rated_amps)[1]
            if math.isfinite(blow) and spent + instant.seconds / blow >= 1.0:
                passed += (1.0 - spent) * blow
                safe = kelvin <= (limits.short if passed <= SHORT_SECONDS else limits.overload)
                safe = safe and short.past_it <= capacity(area, self.around)
                return replace(short, seconds=passed, celsius=kelvin - _ZERO_CELSIUS, safe=safe)
            if math.isinf(instant.seconds):
                return replace(short, celsius=kelvin - _ZERO_CELSIUS, safe=kelvin <= limits.lasting)
            passed += instant.seconds
            spent += instant.seconds / blow
        return replace(short, safe=False)

    # -- in words ----------------------------------------------------------------------------------------

    def _wrong(self, wire: Wire, row: WireSize, fuse_amps: float) -> Iterator[str]:
        area = "" if row.mm2_needed is None or row.mm2_needed <= row.mm2 else f"; take {row.mm2_needed:g} mm²"
        if row.amps > row.capacity_amps:
            yield f"it carries {row.amps:.3g} A and stands {row.capacity_amps:.3g} A{area}"
        elif not self._cranks(row.mm2, row.amps, row.cranking_amps):
            yield f"{row.cranking_amps:.3g} A of cranking overheat it within {CRANKING_SECONDS:g} s{area}"
        if row.drop_volts > self._allowed:
            contacts = max(row.amps, row.cranking_amps) * wire.contact_ohms > self._allowed
            cure = "; its terminals alone lose more than is allowed" if contacts else area
            yield f"it loses {row.drop_volts:.2g} V where {self._allowed:.2g} V are allowed{cure}"
        if not row.fuse_lives and row.rated_amps is not None:
            yield f"{row.fuse} has to carry {fuse_amps:.3g} A and is rated {row.rated_amps:g} A"
        short = row.short
        if short is not None and not short.safe:
            if short.past_it > row.capacity_amps:
                yield f"a dead short at {short.pin} is fed past {short.fuse} as well; feed it through one fuse"
            elif short.fuse:
                yield (
                    f"a dead short at {short.pin} ({short.amps:.0f} A) ruins its insulation before {short.fuse} "
                    f"({short.rated_amps:g} A) blows{area}"
                )
            elif not self._by_custom(wire, row):
                yield f"no fuse feeds it, and a dead short at {short.pin} burns it; put a fuse in its feed"

    def _by_custom(self, wire: Wire, row: WireSize) -> bool:
        """The starter's own path, and the lead from the battery to the first fuse, go without a fuse."""
        return row.cranking_amps > 2.0 * row.amps or self._ends(wire) == {"battery", "fuse"}

    def _ends(self, wire: Wire) -> set[str]:
        """The kinds of component it joins."""
        return {self.kinds[end.partition(".")[0]] for end in (wire.start, wire.end)}

    def _right(self, row: WireSize) -> Iterator[str]:
        if max(row.amps, row.cranking_amps) < 1e-3:
            yield "it carries next to nothing"
        short = row.short
        if short is None:
            yield "never more than a volt stands on it, so a short to the frame drives nothing through it"
        elif not short.fuse and not short.safe:
            yield "no fuse feeds it, as is usual there: keep it short, and away from metal and edges"
        elif short.seconds is not None:
            yield (
                f"a dead short at {short.pin} blows {short.fuse} within {short.seconds:.2g} s, "
                f"and the copper reaches {short.celsius:.0f} °C"
            )
        else:
            yield f"a dead short at {short.pin} drives no more than {short.amps:.2g} A through it, which it stands"
        if row.guarded is False and short is not None and short.seconds is not None:
            yield (
                f"an overload passes {row.fuse} ({row.rated_amps:g} A): nothing it feeds may be able to draw more than "
                f"{row.capacity_amps:.3g} A for good"
            )


def _sentence(said: list[str]) -> str:
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}."
