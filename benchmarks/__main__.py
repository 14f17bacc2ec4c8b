"""Run the benchmarks whose figures start with the given word, or all: ``python -m benchmarks [START]``.

A benchmark is a module here with ``FIGURES``, the names it measures, and ``figures(start)``, which yields one JSON
object a figure.
"""

from __future__ import annotations

import importlib
import json
import pkgutil
import sys

import benchmarks


def main(start: str = "") -> int:
    found = False
    for module_info in pkgutil.iter_modules(benchmarks.__path__):
        if module_info.name.startswith("_"):
            continue
        module = importlib.import_module(f"benchmarks.{module_info.name}")
        if any(name.startswith(start) for name in module.FIGURES):
            for figure in module.figures():
                if figure["figure"].startswith(start):
                    found = True
                    print(json.dumps(figure), flush=True)
    if not found:
        print(f"No figure's name starts with “{start}”.", file=sys.stderr)
    return 0 if found else 2


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
