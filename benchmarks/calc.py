"""How long one calculation takes as a process, against importing numpy."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Iterator

FIGURES = {"calc.process_against_numpy_import"}

PAIRS = 11
CALC = [
    *(sys.executable, "-m", "tickover", "calc", "chassis.trail"),
    *("rake=27deg", "offset=55 mm", "front_radius=305mm", "--json"),
]
NUMPY = [sys.executable, "-c", "import numpy"]


def _seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def figures() -> Iterator[dict[str, object]]:
    """The one figure of this module, both sides run in turn."""
    for command in (CALC, NUMPY):  # compiled and in the file cache
        _seconds(command)
    ratios = [_seconds(CALC) / _seconds(NUMPY) for _ in range(PAIRS)]
    yield {
        "figure": "calc.process_against_numpy_import",
        "value": round(statistics.median(ratios), 3),
        "unit": "times its duration",
        "goal": 2.5,
        "better": "lower",
    }
