"""A bike with something wrong with it, and what each test would show on it.

The loom is solved with the fault in it; the engine turns when the starter has what it needs. The rules that
turn volts into what is seen stand here, each with its reason.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from tickover.chapters import causes
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.document import Component, Loom
from tickover.chapters.electrics.loom.faults import Fault
from tickover.chapters.electrics.loom.solution import Solution
from tickover.faultfinding.naming import Test

Array = npt.NDArray[np.float64]
Settings = tuple[tuple[str, str], ...]

METER_OHMS = 10e6
"""What a digital multimeter loads a pin with on its volts ranges."""
LAMP_VOLTS, LAMP_WATTS = 12.0, 3.0
BRIGHT_VOLTS, DIM_VOLTS = 9.0, 3.0
"""A filament's light falls with about the fourth power of its volts: three quarters of them still give a
third of the light (bright), below a quarter of them nothing is seen in daylight (out)."""
CRANKS_SHARE = 0.5
"""A starter at less than half the battery's volts has less than a quarter of its stall torque against
compression: it groans or clicks and does not turn the engine."""
SPARK_SHARE = 0.5
"""Half the coil's full current is a quarter of its stored energy (L I²/2): the least that jumps a plug under
pressure, by common judgement."""
LIT_SHARE = 0.5
"""A filament at half its volts gives about a fifteenth of its light: just seen to glow by day."""
OPEN_LINE_OHMS = 20e6
"""Above this a hand meter shows no path."""


@dataclass(frozen=True)
class Standing:
    """The bike in one setting: solved at rest, and with the engine turning where it turns."""

    still: Solution
    turning: Solution | None
    cranks: bool


class Bike:
    """A loom with faults in it and perhaps one cause outside the wiring; answers are cached."""

    def __init__(self, loom: Loom, faults: tuple[Fault, ...] = (), cause: str | None = None) -> None:
        self.loom = loom
        self.faults = faults
        self.cause = cause
        self.pins = all_pins(loom)
        self._standing: dict[Settings, Standing] = {}
        self._volts: dict[Settings, tuple[Array, Array]] = {}
        self._ohms: dict[tuple[str, str, Settings], float] = {}
        self._lamp: dict[tuple[str, Settings], float] = {}

    def with_cause(self, cause: str) -> "Bike":
        """The same wiring with one cause outside it; what is solved is shared."""
        other = Bike(self.loom, self.faults, cause)
        other.__dict__.update({k: v for k, v in self.__dict__.items() if k not in ("faults", "cause")})
        return other

    @cached_property
    def circuit(self) -> Circuit:
        return Circuit(self.loom, self.faults)

    def standing(self, settings: Settings) -> Standing:
        """The bike with its switches so; fuses that would go within seconds have gone."""
        if settings not in self._standing:
            where = dict(settings)
            still = self.circuit.solve(where, blow_fuses=True)
            cranks = any(
                working_volts(still, part, "+", "-") >= CRANKS_SHARE * rest_volts(self.loom)
                for part in of_kind(self.loom, "starter")
            )
            kicked = not of_kind(self.loom, "starter")
            turning = (
                self.circuit.solve(where, turning=True, blow_fuses=True)
                if (cranks or kicked) and of_kind(self.loom, "ignition_coil")
                else None
            )
            self._standing[settings] = Standing(still, turning, cranks)
        return self._standing[settings]

    def volts(self, settings: Settings) -> tuple[Array, Array]:
        """What the meter shows on every pin: the middle, and half of how far it swings while cranking.

        While the engine cranks the coils are on for part of each turn and the meter shows something between
        the two states. A pin with no path to the reference reads 0 V; one behind a blocking diode is pulled
        down by the meter itself.
        """
        if settings not in self._volts:
            standing = self.standing(settings)
            first = self._metered(standing.still, settings, turning=False)
            second = first
            if standing.cranks and standing.turning is not None:
                second = self._metered(standing.turning, settings, turning=True)
            self._volts[settings] = ((first + second) / 2.0, np.abs(first - second) / 2.0)
        return self._volts[settings]

    def _metered(self, solution: Solution, settings: Settings, *, turning: bool) -> Array:
        volts = solution.volts
        loaded: dict[float, float] = {}
        shown = np.zeros(len(self.pins))
        for k, pin in enumerate(self.pins):
            value = volts.get(pin)
            if value is not None and pin in solution.high_impedance:
                key = round(value, 9)
                if key not in loaded:
                    again = self.circuit.solve(dict(settings), turning=turning, blow_fuses=True, load=(pin, METER_OHMS))
                    loaded[key] = again.volts.get(pin) or 0.0
                value = loaded[key]
            shown[k] = value or 0.0
        return shown

    def lamp_volts(self, pin: str, settings: Settings) -> float:
        """Volts across a 12 V 3 W test lamp from this pin to earth, its filament's resistance followed."""
        if (pin, settings) not in self._lamp:
            hot = LAMP_VOLTS**2 / LAMP_WATTS
            turning = self.standing(settings).cranks and self.standing(settings).turning is not None
            ohms, volts = hot, 0.0
            for _ in range(4):
                solved = self.circuit.solve(dict(settings), turning=turning, blow_fuses=True, load=(pin, ohms))
                volts = abs(solved.volts.get(pin) or 0.0)
                follows = hot * max(0.1, math.sqrt(volts / LAMP_VOLTS))
                if abs(follows - ohms) < 0.05 * ohms:
                    break
                ohms = follows
            self._lamp[pin, settings] = volts
        return self._lamp[pin, settings]

    def ohms(self, first: str, second: str, settings: Settings) -> float:
        """Ohms between two pins, battery off; infinity for no path that the meter shows."""
        key = (first, second, settings)
        if key not in self._ohms:
            value = self.circuit.ohms(first, second, dict(settings))
            self._ohms[key] = math.inf if value is None or value > OPEN_LINE_OHMS else max(0.0, value)
        return self._ohms[key]

    def cranks(self, settings: Settings) -> bool:
        return self.standing(settings).cranks

    def sparks(self, coil: Component, settings: Settings) -> bool:
        """Whether the turning engine breaks enough current in this coil. A shorted winding carries current
        and stores nothing."""
        turning = self.standing(settings).turning
        if turning is None or Fault("short", coil.id) in self.faults:
            return False
        full = rest_volts(self.loom) / coil.values["primary_ohms"]
        return turning.coils.get(coil.id, 0.0) >= SPARK_SHARE * full

    def any_spark(self, settings: Settings) -> bool:
        return any(self.sparks(coil, settings) for coil in of_kind(self.loom, "ignition_coil"))

    def seen(self, what: str, settings: Settings) -> bool:
        """Whether yes is true of `seen:what`; observations of other chapters are not asked here."""
        subject, _, part = what.partition(".")
        if what == "cranks":
            return self.cranks(settings)
        if subject == "spark":
            return self.sparks(self.loom.component(part), settings) if part else self.any_spark(settings)
        if what == "fires":
            return self.cause is None and self.any_spark(settings)
        component = self.loom.component(part)
        standing = self.standing(settings)
        solution = standing.turning if standing.cranks and standing.turning is not None else standing.still
        if component.kind == "relay":
            return solution.relays.get(component.id) == "pulled in"
        enough = component.values["volts"] if component.kind == "bulb" else rest_volts(self.loom)
        return working_volts(solution, component, "a", "b") >= LIT_SHARE * enough

    def answer(self, test: Test, when: Settings) -> Mapping[str, float]:
        """Likelihood of each answer of a test that is answered in words. `when` is where the switches stand
        for what an observation needs: the engine being cranked as in the complaint."""
        if test.is_observation:
            cranks = self.cranks(when) or not of_kind(self.loom, "starter")
            spark = self.any_spark(when)
            return {
                answer: causes.likelihood(test.what[0], answer, self.cause, cranks=cranks, spark=spark)
                for answer in test.answers
            }
        if test.kind == "lamp":
            return lamp_likelihoods(self.lamp_volts(test.what[0], test.settings))
        yes = self.seen(test.what[0], test.settings)
        return {"yes": float(yes), "no": float(not yes)}


def lamp_likelihoods(volts: float) -> dict[str, float]:
    """How likely bright, dim and out are at these volts; eyes differ by about half a volt at each limit.

    >>> max(lamp_likelihoods(12.0), key=lamp_likelihoods(12.0).get)
    'bright'
    """

    def above(limit: float) -> float:
        return 0.5 * (1.0 + math.erf((volts - limit) / (0.5 * math.sqrt(2.0))))

    bright, lit = above(BRIGHT_VOLTS), above(DIM_VOLTS)
    return {"bright": bright, "dim": lit - bright, "out": 1.0 - lit}


def of_kind(loom: Loom, kind: str) -> list[Component]:
    return [part for part in loom.components if part.kind == kind]


def rest_volts(loom: Loom) -> float:
    """The volts of the strongest battery at rest; 12 V where the loom has none."""
    return max((part.values["volts"] for part in of_kind(loom, "battery")), default=12.0)


def has_engine(loom: Loom) -> bool:
    """Whether there is an engine to fire: an igniter or an ignition coil."""
    return any(part.kind in ("igniter", "ignition_coil") for part in loom.components)


def all_pins(loom: Loom) -> tuple[str, ...]:
    """Every pin, in the loom's order."""
    return tuple(pin for pins in loom.pins.values() for pin in pins)


def wired_pins(loom: Loom) -> tuple[str, ...]:
    """Every pin that a wire ends on, in the loom's order."""
    return tuple(pin for pins in loom.pins.values() for pin in pins if pin in loom.wires_at)


def working_volts(solution: Solution, part: Component, first: str, second: str) -> float:
    """Volts that the inside of a lamp, horn or starter really gets.

    What lies across its pins, but no more than its own current asks for: one that is broken inside has the
    battery's volts across it and does nothing, one that is shorted inside carries current and has no volts.
    """
    a, b = solution.volts.get(f"{part.id}.{first}"), solution.volts.get(f"{part.id}.{second}")
    if a is None or b is None:
        return 0.0
    amps = abs(solution.amps.get(part.id, 0.0))
    if part.kind == "bulb":
        rated, watts = part.values["volts"], part.values["watts"]
        inside = rated * (amps * rated / watts) ** 2  # a filament's law: amps follow the root of its volts
    else:
        inside = amps * part.values["ohms"]
    return min(abs(a - b), inside)
