"""The demo workshop: the Penhallow Heron 450, a made-up twin of 1976, stalled before its first start.

Everything it knows stands in ``data/`` and ``loom.json``; the photos are drawn when it is loaded.
"""

from __future__ import annotations

import json
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from tickover.records.models import Build
from tickover.units import BadInput

HERE = Path(__file__).parent


@cache
def data(name: str) -> dict[str, Any]:
    """One of the demo's data files, by its name without the ending."""
    return tomllib.loads((HERE / "data" / f"{name}.toml").read_text(encoding="utf-8"))


def loom() -> dict[str, Any]:
    """The demo's loom document."""
    document: dict[str, Any] = json.loads((HERE / "loom.json").read_text(encoding="utf-8"))
    return document


def load(*, photos: bool = True) -> Build:
    """Write the demo's workshop into the records, all of it or nothing.

    Raises ``BadInput`` where it is on record already. ``photos=False`` leaves the photos out.
    """
    from tickover.records.demo.loading import Loading

    name = data("build")["name"]
    if Build.objects.filter(name=name).exists():
        raise BadInput(f"A build “{name}” is on record already; strike it out before loading the demo again.")
    return Loading().load(photos=photos)
