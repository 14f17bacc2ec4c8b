"""A loom document turned into ngspice's words and solved by ngspice: what the solver is compared with.

This shares nothing with tickover but the loom document: pins, nodes, laws, the reading of relays and the rule
for pins without a path are written again here, from the contract. Relays are voltage-controlled switches with
hysteresis; where ngspice's own search for the operating point ends in another self-consistent state than the
rounds from rest do, the rounds are done one by one, each solved by ngspice with its contacts held.
"""

from __future__ import annotations

import itertools
import math
import re
import subprocess
from typing import Any

FIXED_PINS = {
    "battery": "+ -", "fuse": "a b", "relay": "85 86 30 87 87a", "diode": "a k", "bulb": "a b",
    "resistor": "a b", "ignition_coil": "15 1", "igniter": "15 31 trigger inhibit", "starter": "+ -",
    "pickup": "a b",
}  # fmt: skip
THERMAL_VOLTS = 0.02586493  # k·T/q at 300.15 K, from CODATA
APART = "1e13"  # ohms of an open contact, and of the thread that keeps a floating part from being singular


class Netlist:
    """One loom document as an ngspice circuit; ``held``: relays' contacts are resistors to be set."""

    def __init__(self, document: dict[str, Any], held: bool = False) -> None:
        self.document = document
        self.parts = {part["id"]: part for part in document["components"]}
        self.nodes: dict[str, str] = {}
        self.lines: list[str] = []
        self.switch_contacts: dict[tuple[str, str, str], str] = {}
        self.relay_contacts: dict[tuple[str, str, str], str] = {}
        self.links: list[tuple[str, str]] = []
        self.held = held
        self._names = itertools.count(1)
        for part in document["components"]:
            for pin in FIXED_PINS.get(part["kind"], "").split():
                self.node(f"{part['id']}.{pin}")
            for pair in itertools.chain(*part.get("positions", {}).values()):
                for pin in pair:
                    self.node(f"{part['id']}.{pin}")
        for wire in document["wires"]:
            copper = 1.7241e-8 * (1 + 0.00393 * (document.get("celsius", 20.0) - 20.0))
            ohms = copper * wire["length_mm"] * 1e3 / wire["mm2"] + wire.get("contact_ohms", 0.0)
            self.resistor(self.node(wire["from"]), self.node(wire["to"]), ohms)
        for part in document["components"]:
            getattr(self, "_" + part["kind"])(part)
        self._threads()

    def _threads(self) -> None:
        """Tie one node of everything that hangs together by what never opens to the reference."""
        joins = _joins(self.links)
        tied = _reached(joins, "0")
        for node in sorted(set(self.nodes.values())):
            if node not in tied:
                tied |= _reached(joins, node)
                self.lines.append(f"R{next(self._names)} {node} 0 {APART}")

    def node(self, pin: str) -> str:
        part = self.parts[pin.split(".")[0]]
        if part["kind"] == "ground":
            name = "0"
        elif part["kind"] == "splice":
            name = "n_" + part["id"].lower()
        else:
            name = "n_" + re.sub(r"\W", lambda sign: {"+": "p", "-": "m"}.get(sign[0], "_"), pin.lower())
        return self.nodes.setdefault(pin, name)

    def ends(self, part: dict[str, Any], first: str, second: str) -> tuple[str, str]:
        return self.node(f"{part['id']}.{first}"), self.node(f"{part['id']}.{second}")

    def resistor(self, start: str, end: str, ohms: float, link: bool = True) -> str:
        name = f"R{next(self._names)}"
        self.lines.append(f"{name} {start} {end} {ohms:.12g}")
        if link:
            self.links.append((start, end))
        return name

    def _battery(self, part: dict[str, Any]) -> None:
        plus, minus = self.ends(part, "+", "-")
        inside = f"i_{part['id'].lower()}"
        self.lines.append(f"V{next(self._names)} {inside} {minus} {part['volts']:.12g}")
        self.resistor(plus, inside, part["ohms"])
        self.links.append((inside, minus))

    def _fuse(self, part: dict[str, Any]) -> None:
        self.resistor(*self.ends(part, "a", "b"), part["ohms"])

    _resistor = _pickup = _fuse

    def _starter(self, part: dict[str, Any]) -> None:
        self.resistor(*self.ends(part, "+", "-"), part["ohms"])

    def _ignition_coil(self, part: dict[str, Any]) -> None:
        self.resistor(*self.ends(part, "15", "1"), part["primary_ohms"])

    def _igniter(self, part: dict[str, Any]) -> None:
        self.resistor(*self.ends(part, "15", "31"), part["draw_ohms"])

    def _splice(self, part: dict[str, Any]) -> None: ...

    _ground = _splice

    def _bulb(self, part: dict[str, Any]) -> None:
        a, b = self.ends(part, "a", "b")
        hot = part["volts"] ** 2 / part["watts"]
        self.lines.append(
            f"B{next(self._names)} {a} {b} "
            f"i=v({a},{b})/({hot:.12g}*sqrt(max(abs(v({a},{b}))/{part['volts']:.12g},0.01)))"
        )
        self.links.append((a, b))

    def _diode(self, part: dict[str, Any]) -> None:
        a, k = self.ends(part, "a", "k")
        name = next(self._names)
        self.lines.append(f"D{name} {a} {k} d{name}")
        self.lines.append(f".model d{name} d is={part['saturation_amps']:.12g} n={part['ideality']:.12g}")
        self.resistor(a, k, 1e12, link=False)

    def _switch(self, part: dict[str, Any]) -> None:
        for pairs in part["positions"].values():
            for first, second in pairs:
                if (part["id"], first, second) not in self.switch_contacts:
                    name = f"R{next(self._names)}"
                    self.lines.append(f"{name} {' '.join(self.ends(part, first, second))} {APART}")
                    self.switch_contacts[part["id"], first, second] = name

    def _relay(self, part: dict[str, Any]) -> None:
        coil = self.ends(part, "85", "86")
        self.resistor(*coil, part["coil_ohms"])
        contacts = {"make": ["87"], "break": ["87a"], "changeover": ["87", "87a"]}[part["contact"]]
        name = next(self._names)
        if not self.held:
            self.lines.append(f"B{name} c{name} 0 v=abs(v({coil[0]},{coil[1]}))")
        middle = 0.5 * (part["pull_in_volts"] + part["drop_out_volts"])
        half = 0.5 * (part["pull_in_volts"] - part["drop_out_volts"])
        ohms = part.get("contact_ohms", 0.01)
        for pin in contacts:
            start, end = self.ends(part, "30", pin)
            own = next(self._names)
            if self.held:
                self.lines.append(f"R{own} {start} {end} {APART}")
            elif pin == "87":
                self.lines.append(f"S{own} {start} {end} c{name} 0 s{own} off")
                self.lines.append(f".model s{own} sw vt={middle} vh={half} ron={ohms} roff={APART}")
            else:  # closed while the coil's volts are low: the same switch, asked upside down
                self.lines.append(f"S{own} {start} {end} 0 c{name} s{own} on")
                self.lines.append(f".model s{own} sw vt={-middle} vh={half} ron={ohms} roff={APART}")
            self.relay_contacts[part["id"], "30", pin] = f"R{own}"

    # -- running -----------------------------------------------------------------------------------------

    def contact_ohms(self, settings: dict[str, str]) -> dict[str, float]:
        """Ohms of every switch contact's resistor with the switches at ``settings``."""
        ohms = {}
        for (part_id, first, second), name in self.switch_contacts.items():
            part = self.parts[part_id]
            at = settings.get(part_id, part.get("at", next(iter(part["positions"]))))
            joined = [first, second] in part["positions"][at]
            ohms[name] = part.get("contact_ohms", 0.005) if joined else float(APART)
        return ohms

    def relay_ohms(self, pulled_in: dict[str, bool]) -> dict[str, float]:
        ohms = {}
        for (part_id, _, pin), name in self.relay_contacts.items():
            joined = pulled_in[part_id] == (pin == "87")
            ohms[name] = self.parts[part_id].get("contact_ohms", 0.01) if joined else float(APART)
        return ohms

    def run(self, points: list[dict[str, float]]) -> list[dict[str, float] | None]:
        """Volts by node at each point (resistors set to those ohms); ``None`` where ngspice finds none."""
        script = ["loom", *self.lines]
        script.append(".options temp=27 tnom=27 gmin=1e-15 reltol=1e-5 abstol=1e-11 vntol=1e-7 itl1=500")
        script += [".control", "set numdgt=13"]
        for number, point in enumerate(points):
            script += [f"alter {name} = {ohms:.12g}" for name, ohms in point.items()]
            script += [f"echo point {number}", "op", "print all", "destroy all"]
        script += [".endc", ".end", ""]
        done = subprocess.run(["ngspice", "-b", "/dev/stdin"], input="\n".join(script), capture_output=True, text=True)
        volts: list[dict[str, float]] = [{} for _ in points]
        number = -1
        for line in done.stdout.splitlines():
            if line.startswith("point "):
                number = int(line.split()[1])
            elif number >= 0 and (found := re.fullmatch(r"(\S+) = (\S+)", line.strip())):
                volts[number][found[1]] = float(found[2])
        return [point or None for point in volts]

    # -- reading -----------------------------------------------------------------------------------------

    def coil_volts(self, volts: dict[str, float], part_id: str) -> float:
        start, end = self.ends(self.parts[part_id], "85", "86")
        return abs(volts.get(start, 0.0) - volts.get(end, 0.0))

    def follow(self, pulled_in: dict[str, bool], volts: dict[str, float]) -> dict[str, bool]:
        """What each relay does next: pulls in, lets go, or stays."""
        after = {}
        for part_id, was in pulled_in.items():
            now, part = self.coil_volts(volts, part_id), self.parts[part_id]
            after[part_id] = now >= part["pull_in_volts"] or (was and not now < part["drop_out_volts"])
        return after

    def with_a_path(self, settings: dict[str, str], pulled_in: dict[str, bool], volts: dict[str, float]) -> set[str]:
        """Nodes joined to the reference by something that conducts."""
        links = list(self.links)
        ohms = self.contact_ohms(settings) | self.relay_ohms(pulled_in)
        for (part_id, first, second), name in (self.switch_contacts | self.relay_contacts).items():
            if ohms[name] < 1e12:
                links.append(self.ends(self.parts[part_id], first, second))
        for part in self.parts.values():
            if part["kind"] == "diode":
                a, k = self.ends(part, "a", "k")
                slope = part["ideality"] * THERMAL_VOLTS
                across = volts.get(a, 0.0) - volts.get(k, 0.0)
                if part["saturation_amps"] / slope * math.exp(min(across / slope, 500.0)) > 1e-12:
                    links.append((a, k))
        return _reached(_joins(links), "0")


def _joins(links: list[tuple[str, str]]) -> dict[str, set[str]]:
    joins: dict[str, set[str]] = {}
    for start, end in links:
        joins.setdefault(start, set()).add(end)
        joins.setdefault(end, set()).add(start)
    return joins


def _reached(joins: dict[str, set[str]], start: str) -> set[str]:
    reached, ahead = {start}, [start]
    while ahead:
        for node in joins.get(ahead.pop(), set()) - reached:
            reached.add(node)
            ahead.append(node)
    return reached


def relays(document: dict[str, Any]) -> list[str]:
    return [part["id"] for part in document["components"] if part["kind"] == "relay"]


def from_rest(
    document: dict[str, Any], settings: dict[str, str]
) -> tuple[Netlist, dict[str, bool], dict[str, float] | None, bool]:
    """Round by round from rest, each solved by ngspice: the relays, the volts, and whether they settle."""
    netlist = Netlist(document, held=True)
    pulled_in = dict.fromkeys(relays(document), False)
    seen = []
    while True:
        (volts,) = netlist.run([netlist.contact_ohms(settings) | netlist.relay_ohms(pulled_in)])
        if volts is None:
            return netlist, pulled_in, None, False
        seen.append(pulled_in)
        after = netlist.follow(pulled_in, volts)
        if after == pulled_in:
            return netlist, pulled_in, volts, True
        if after in seen:
            return netlist, pulled_in, volts, False
        pulled_in = after
