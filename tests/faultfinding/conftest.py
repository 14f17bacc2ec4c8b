"""The demo's loom, and a small one whose faults can be counted by hand."""

from pathlib import Path

import pytest

import tickover.records
from tickover.chapters.electrics.loom.document import Loom, load, read

DEMO = Path(tickover.records.__file__).parent / "demo" / "loom.json"


@pytest.fixture(scope="session")
def demo() -> Loom:
    return load(DEMO)


@pytest.fixture(scope="session")
def lamp_loom() -> Loom:
    """A battery, a fuse, a switch and a lamp in one ring, earthed at both ends."""
    wire = {"mm2": 1.0, "length_mm": 500}
    return read({
        "loom": 1,
        "name": "one lamp",
        "components": [
            {"id": "BAT", "kind": "battery", "volts": 12.6, "ohms": 0.02},
            {"id": "F1", "kind": "fuse", "amps": 15, "ohms": 0.006},
            {"id": "S1", "kind": "switch", "positions": {"off": [], "on": [["a", "b"]]}, "at": "off"},
            {"id": "H1", "kind": "bulb", "watts": 21, "volts": 12},
            {"id": "FRAME", "kind": "ground"},
        ],
        "wires": [
            {"id": "W1", "from": "BAT.+", "to": "F1.a", "tag": "1", "colour": "RD", **wire},
            {"id": "W2", "from": "F1.b", "to": "S1.a", "tag": "2", "colour": "RD", **wire},
            {"id": "W3", "from": "S1.b", "to": "H1.a", "tag": "3", "colour": "BU/WH", **wire},
            {"id": "W4", "from": "H1.b", "to": "FRAME.lamp", "tag": "4", "colour": "BK", **wire},
            {"id": "W5", "from": "BAT.-", "to": "FRAME.battery", "tag": "5", "colour": "BK", **wire},
        ],
    })  # fmt: skip
