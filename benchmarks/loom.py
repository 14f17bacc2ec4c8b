"""The loom's solver against ngspice: the same operating points of the same 60-component loom."""

from __future__ import annotations

import re
import statistics
import subprocess
import time
from collections.abc import Iterator
from importlib import resources
from typing import Any

from tickover.chapters.electrics.loom import document, spice
from tickover.chapters.electrics.loom.circuit import Circuit

FIGURES = {"loom.solve_against_ngspice"}
COMPONENTS = 60
PAIRS = 7
POINTS = 150
SETTINGS: list[dict[str, str]] = [
    {},
    {"KEY": "park"},
    {"KEY": "on"},
    {"KEY": "on", "START": "in"},
    {"KEY": "on", "START": "in", "NEUTRAL": "gear", "CLUTCH": "in", "LIGHT": "on", "BRF": "in"},
    {"KEY": "on", "LIGHT": "on", "NEUTRAL": "gear", "OIL": "pressure"},
    {"KEY": "on", "LIGHT": "on", "DIP": "high", "NEUTRAL": "gear", "TURN": "left", "BRR": "in"},
    {"KEY": "on", "LIGHT": "on", "DIP": "high", "NEUTRAL": "gear", "TURN": "right", "HBTN": "in"},
]


def sixty_components() -> document.Loom:
    """The demo's loom with extra lamps, each behind a fuse and a switch, until it has 60 components."""
    demo = resources.files("tickover") / "records" / "demo" / "loom.json"
    with resources.as_file(demo) as path:
        data: Any = document.as_json(document.load(path))
    parts, wires = data["components"], data["wires"]
    number = 0
    while len(parts) + 3 <= COMPONENTS:
        number += 1
        fuse, switch, lamp = f"XF{number}", f"XS{number}", f"XH{number}"
        parts.append({"id": fuse, "kind": "fuse", "amps": 10, "ohms": 0.007})
        parts.append({"id": switch, "kind": "switch", "positions": {"on": [["a", "b"]], "off": []}})
        parts.append({"id": lamp, "kind": "bulb", "watts": 35, "volts": 12})
        ends = ["SP1.x", f"{fuse}.a", f"{fuse}.b", f"{switch}.a", f"{switch}.b", f"{lamp}.a", f"{lamp}.b"]
        ends.append("FRAME.headstock")
        for step, (start, end) in enumerate(zip(ends[::2], ends[1::2], strict=True)):
            wire = {"id": f"XW{number}{step}", "from": start, "to": end, "mm2": 1.0, "length_mm": 500}
            wires.append(wire)
    assert len(parts) == COMPONENTS
    return document.read(data)


def ours(circuit: Circuit, settings: dict[str, str]) -> float:
    """Seconds a point: relays from rest to settled, volts of every pin."""
    started = time.perf_counter()
    for _ in range(POINTS):
        assert circuit.solve(settings).volts
    return (time.perf_counter() - started) / POINTS


def theirs(netlist: str) -> float:
    """Seconds a point inside one ngspice process, its start and the reading of the netlist taken off."""
    return (_ngspice(netlist, POINTS)[0] - _ngspice(netlist, 0)[0]) / POINTS


def netlists(loom: document.Loom) -> list[str]:
    """The loom in each setting for ngspice, its relays' contacts plain resistors, joined as they end up."""
    written = []
    for settings in SETTINGS:
        text = spice.netlist(loom, settings)
        battery = next(line.split()[0] for line in text.splitlines() if line.endswith("; BAT"))
        written.append(_hold_relays(text.replace(f"{battery} ", "V1 ")))
    return written


def _hold_relays(netlist: str) -> str:
    ohms = dict(re.findall(r"^\.model (s\d+) sw .* ron=(\S+)", netlist, re.MULTILINE))
    netlist = re.sub(r"^S(\d+ \d+ \d+) ctl\d+ 0 (s\d+) on", lambda on: f"R{on[1]} {ohms[on[2]]}", netlist, flags=re.M)
    return re.sub(r"^(S\d+ .*|B\d+ ctl.*|\.model s\d+ .*)\n", "", netlist, flags=re.M)


def _ngspice(netlist: str, points: int) -> tuple[float, str]:
    """Seconds that a run took, and what ngspice remarked."""
    again = [f"repeat {points}", "alter V1 = 12.6", "op", "destroy all", "end"] if points else []
    text = netlist.replace(".op\n.end\n", "\n".join([".control", *again, ".endc", ".end", ""]))
    command = ["ngspice", "-b", "/dev/stdin"]
    started = time.perf_counter()
    done = subprocess.run(command, input=text, text=True, capture_output=True, check=False)
    return time.perf_counter() - started, done.stderr


def figures() -> Iterator[dict[str, Any]]:
    """How many times faster one operating point is here than in ngspice: the median over the settings.

    Both have the circuit made ready beforehand. Here that includes the elimination for the contacts that are
    joined, which a circuit keeps once it has met them; the relays start at rest and all volts are read.
    ngspice has the relays' contacts as they end up, and its volts are not read. Settings in which it does not
    converge at once, and takes ten times longer, are left out: the comparison is with ngspice at its best.
    """
    circuit = Circuit(sixty_components())
    written = zip(SETTINGS, netlists(circuit.loom), strict=True)
    pairs = [(at, netlist) for at, netlist in written if "gmin" not in _ngspice(netlist, 1)[1]]
    ratios = []
    for _ in range(PAIRS):
        ratios.append(statistics.median(theirs(netlist) / ours(circuit, at) for at, netlist in pairs))
    yield {
        "figure": "loom.solve_against_ngspice",
        "value": round(statistics.median(ratios), 2),
        "unit": "times faster",
        "goal": 3,
        "better": "higher",
    }
