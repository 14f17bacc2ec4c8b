"""What is odd about a loom that can be solved all the same: likely slips of the pen, and risks."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tickover.chapters.electrics.loom.document import Loom, Problem
from tickover.chapters.electrics.loom.faults import swap_matters
from tickover.chapters.electrics.loom.kinds import KINDS, RELAY_CONTACTS


def advice(loom: Loom) -> list[Problem]:
    """Problems that do not keep the loom from being solved."""
    found = [
        *_whole_loom(loom),
        *_unwired(loom),
        *_spare_contacts(loom),
        *_alike(loom),
        *_tags(loom),
        *_unfused(loom),
    ]
    return [Problem(where, what, right, error=False) for where, what, right in found]


_Found = Iterator[tuple[str, str, str]]


def _whole_loom(loom: Loom) -> _Found:
    kinds = {part.kind for part in loom.components}
    if "battery" not in kinds:
        yield "document", "there is no battery", "nothing carries current until one is added"
    if "ground" not in kinds:
        yield "document", "there is no ground", "add the frame, so that volts have something to be against"


def _unwired(loom: Loom) -> _Found:
    for part in loom.components:
        where = f"component {part.id}"
        wired = [pin for pin in loom.pins[part.id] if pin in loom.wires_at]
        if not wired:
            yield where, "no wire goes to it", "wire it, or leave it out"
            continue
        if part.kind == "splice" and sum(len(loom.wires_at[pin]) for pin in wired) == 1:
            yield where, "only one wire goes to it", "a splice joins two wires or more"
        for pin in KINDS[part.kind].must_be_wired:
            if f"{part.id}.{pin}" not in loom.wires_at:
                yield where, f"pin {pin} is wired nowhere", f"a {part.kind} needs it"


def _spare_contacts(loom: Loom) -> _Found:
    for part in loom.components:
        if part.kind == "relay":
            used = {pin for first, second, _ in RELAY_CONTACTS[part.contact] for pin in (first, second)}
            for pin in ("87", "87a"):
                if pin not in used and f"{part.id}.{pin}" in loom.wires_at:
                    right = f"a {part.contact} contact joins 30 and {'87a' if pin == '87' else '87'}"
                    yield f"component {part.id}", f"a wire goes to {pin}, which leads nowhere", right
        if part.kind == "switch":
            used = {pin for pair in part.contacts for pin in pair}
            for pin in loom.pins[part.id]:
                if pin.partition(".")[2] not in used:
                    yield (
                        f"component {part.id}",
                        f"no position joins {pin} to anything",
                        "name it in a position",
                    )
    for wire in loom.wires:
        if wire.start == wire.end:
            yield f"wire {wire.id}", f"both ends are on {wire.start}", "a wire goes from one pin to another"


def _alike(loom: Loom) -> _Found:
    for part in loom.components:
        if part.kind in ("splice", "ground"):
            continue
        by_colour: dict[str, list[str]] = {}
        for pin in loom.pins[part.id]:
            for wire in loom.wires_at.get(pin, ()):
                if wire.colour:
                    by_colour.setdefault(wire.colour, []).append(pin.partition(".")[2])
        for colour, pins in by_colour.items():
            if any(swap_matters(part, first, second) for first, second in combinations(dict.fromkeys(pins), 2)):
                yield (
                    f"component {part.id}",
                    f"the wires on {' and '.join(dict.fromkeys(pins))} are all {colour}",
                    "they are easily changed over: go by their tags",
                )


def _tags(loom: Loom) -> _Found:
    seen: dict[str, str] = {}
    for wire in loom.wires:
        if wire.tag and wire.tag in seen:
            yield (
                f"wire {wire.id}",
                f"tag {wire.tag} is on {seen[wire.tag]} too",
                "give each wire its own tag",
            )
        elif wire.tag:
            seen[wire.tag] = wire.id


def _unfused(loom: Loom) -> _Found:
    """Consumers that a battery feeds through no fuse; a starter's own heavy path goes without one."""
    kinds = {part.id: part for part in loom.components}
    for battery in (part for part in loom.components if part.kind == "battery"):
        seen: set[str] = set()
        ahead = [f"{battery.id}.+"]
        while ahead:
            pin = ahead.pop()
            if pin in seen:
                continue
            seen.add(pin)
            part = kinds[pin.partition(".")[0]]
            if part.kind == "splice":
                ahead += loom.pins[part.id]
            elif part.kind == "relay" and not pin.endswith((".85", ".86")):
                ahead += [f"{part.id}.{end}" for end in ("30", "87", "87a")]
            elif part.kind not in ("battery", "fuse", "starter", "ground"):
                yield (
                    f"component {part.id}",
                    f"{battery.id} feeds it through no fuse",
                    "put a fuse in its feed",
                )
                continue
            for wire in loom.wires_at.get(pin, ()):
                ahead.append(wire.end if pin == wire.start else wire.start)
