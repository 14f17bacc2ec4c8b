"""The complaints that a loom can have: what a sound bike does, and with which switches, turned round."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, product

from tickover.chapters.electrics.loom.document import Component, Loom
from tickover.faultfinding import wording
from tickover.faultfinding.bike import of_kind
from tickover.faultfinding.naming import parse_test, settings_key
from tickover.faultfinding.table import Document, Garage, garage

MOVED = 2
"""So many switches are moved at most to find where a lamp lights."""


@dataclass(frozen=True)
class Complaint:
    """A complaint in words, and as the reading that a search starts from."""

    says: str
    reading: str
    also: tuple[str, ...] = ()
    """Readings that the words say as well: who says that it cranks has seen it crank."""


def complaints(loom: Loom) -> list[Complaint]:
    """What can be complained of on this bike, the engine first. Each is something the sound bike does not do wrong."""
    bikes = garage(Document.of(loom))
    found: list[Complaint] = []
    if bikes.starting is not None:
        where = dict(bikes.starting)
        if bikes.sound.cranks(bikes.starting):
            cranks = _complaint(loom, "It does not crank", "seen:cranks", where)
            turns = (cranks.reading.removesuffix("no") + "yes",)
            found.append(_complaint(loom, "It cranks and does not fire", "seen:fires", where, turns))
            found.append(_complaint(loom, "It cranks, and no plug sparks", "seen:spark", where, turns))
            found.append(cranks)
        else:
            found.append(_complaint(loom, "It is kicked over and does not fire", "seen:fires", where))
            found.append(_complaint(loom, "It is kicked over, and no plug sparks", "seen:spark", where))
        coils = [coil for coil in of_kind(loom, "ignition_coil") if bikes.sound.sparks(coil, bikes.starting)]
        if len(coils) > 1:
            found += [
                _complaint(loom, f"No spark from the {wording.component_name(coil)}", f"seen:spark.{coil.id}", where)
                for coil in coils
            ]
    for lamp, where in _lit(loom, bikes).items():
        part = loom.component(lamp)
        found.append(_complaint(loom, f"The {wording.component_name(part)} does not light", f"seen:lit.{lamp}", where))
    return found


def _complaint(loom: Loom, says: str, seen: str, where: dict[str, str], also: tuple[str, ...] = ()) -> Complaint:
    at = ",".join(f"{switch}={position}" for switch, position in where.items())
    test = parse_test(f"{seen}@{at}" if at else seen, loom)
    stand = wording.switches(test.settings)
    return Complaint(f"{says} ({stand})" if stand else says, f"{test}=no", also)


def _lit(loom: Loom, bikes: Garage) -> dict[str, dict[str, str]]:
    """The fewest switches moved for which each lamp of the sound bike is lit."""
    switches: list[Component] = [part for part in of_kind(loom, "switch") if len(part.positions) > 1]
    dark = {part.id for part in of_kind(loom, "bulb")}
    lit: dict[str, dict[str, str]] = {}
    for moved in range(min(len(switches), MOVED) + 1):
        for chosen in combinations(switches, moved):
            for at in product(*([p for p in part.positions if p != part.at] for part in chosen)):
                if not dark:
                    return lit
                where = dict(zip((part.id for part in chosen), at, strict=True))
                key = settings_key(loom, where)
                now = {lamp for lamp in dark if bikes.sound.seen(f"lit.{lamp}", key)}
                lit |= dict.fromkeys(sorted(now), where)
                dark -= now
    return lit
