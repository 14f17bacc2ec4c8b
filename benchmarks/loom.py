"""The loom's solver against ngspice: the same operating point of the same 60-component loom."""

from __future__ import annotations

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
POINTS = 400
SETTINGS = {"KEY": "on", "START": "in", "LIGHT": "on", "DIP": "high", "BRF": "in"}


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


def ours(circuit: Circuit) -> float:
    """Seconds a point: volts and amps of everything, from relays at rest."""
    started = time.perf_counter()
    for _ in range(POINTS):
        circuit.solve(SETTINGS)
    return (time.perf_counter() - started) / POINTS


def _ngspice(netlist: str, points: int) -> float:
    loop = ["alter V1 = 12.6", "op", "destroy all"]
    control = [".control", f"repeat {points}", *loop, "end", ".endc", ".end", ""] if points else [".end", ""]
    text = netlist.replace(".op\n.end\n", "\n".join(control))
    started = time.perf_counter()
    subprocess.run(["ngspice", "-b", "/dev/stdin"], input=text, text=True, capture_output=True, check=False)
    return time.perf_counter() - started


def theirs(netlist: str) -> float:
    """Seconds a point inside one ngspice process, its start and the reading of the netlist taken off."""
    return (_ngspice(netlist, POINTS) - _ngspice(netlist, 0)) / POINTS


def figures() -> Iterator[dict[str, Any]]:
    """How many times faster one operating point is here than in ngspice, relay rounds and results included.

    ngspice is told beforehand in which state the relays settle; here they start at rest.
    """
    loom = sixty_components()
    circuit = Circuit(loom)
    netlist = spice.netlist(loom, SETTINGS)
    name = next(line.split()[0] for line in netlist.splitlines() if line.endswith("; BAT"))
    netlist = netlist.replace(f"{name} ", "V1 ")
    ours(circuit), theirs(netlist)
    ratios = []
    for _ in range(PAIRS):
        here, there = ours(circuit), theirs(netlist)
        ratios.append(there / here)
    yield {
        "figure": "loom.solve_against_ngspice",
        "value": round(statistics.median(ratios), 2),
        "unit": "times faster",
        "goal": 3,
        "better": "higher",
    }


if __name__ == "__main__":
    import json

    for figure in figures():
        print(json.dumps(figure))
