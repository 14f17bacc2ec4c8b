"""Loom documents written short, for tests."""

from __future__ import annotations

from typing import Any

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.chapters.electrics.loom.faults import parse
from tickover.chapters.electrics.loom.solution import Solution

WIRE = {"mm2": 1.7241, "length_mm": 100.0}  # a milliohm at 20 °C


def part(part_id: str, kind: str, **values: Any) -> dict[str, Any]:
    return {"id": part_id, "kind": kind, **values}


def battery(volts: float = 12.0, ohms: float = 0.1, part_id: str = "BAT") -> dict[str, Any]:
    return part(part_id, "battery", volts=volts, ohms=ohms)


def resistor(part_id: str, ohms: float) -> dict[str, Any]:
    return part(part_id, "resistor", ohms=ohms)


def diode(part_id: str, saturation_amps: float = 1e-9, ideality: float = 1.8) -> dict[str, Any]:
    return part(part_id, "diode", saturation_amps=saturation_amps, ideality=ideality)


def relay(part_id: str, contact: str, coil_ohms: float = 100.0) -> dict[str, Any]:
    return part(part_id, "relay", contact=contact, coil_ohms=coil_ohms, pull_in_volts=7.0, drop_out_volts=3.0)


def loom_data(parts: list[dict[str, Any]], *joints: str) -> dict[str, Any]:
    """A document with a frame; each joint is ``"BAT.+ R1.a"``, a wire of a milliohm."""
    wires = [
        {"id": f"W{number}", "from": joint.split()[0], "to": joint.split()[1], **WIRE}
        for number, joint in enumerate(joints, 1)
    ]
    return {"loom": 1, "components": [part("FRAME", "ground"), *parts], "wires": wires}


def solved(data: dict[str, Any], *faults: str, turning: bool = False, **settings: str) -> Solution:
    loom = document.read(data)
    return Circuit(loom, [parse(fault, loom) for fault in faults]).solve(settings, turning=turning)
