"""Loom documents made at random from a seed: every kind, up to 80 components, at most 8 switch settings."""

from __future__ import annotations

import itertools
import random
from typing import Any

from tickover.chapters.electrics.loom.kinds import KINDS


class _Maker:
    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.components: list[dict[str, Any]] = []
        self.wires: list[dict[str, Any]] = []
        self.points: list[str] = []
        """Components with any pin that live feeds come together on: splices."""
        self.settings_left = 8

    def add(self, kind: str, **values: Any) -> str:
        part_id = f"{kind[:3].upper()}{len(self.components)}"
        self.components.append({"id": part_id, "kind": kind, **values})
        return part_id

    def ohms(self, low: float, high: float) -> float:
        return float(f"{low * (high / low) ** self.random.random():.4g}")

    def wire(self, start: str, end: str) -> None:
        wire = {
            "id": f"W{len(self.wires)}",
            "from": start,
            "to": end,
            "mm2": self.random.choice([0.5, 0.75, 1.0, 1.5, 2.5, 6.0]),
            "length_mm": self.random.randint(50, 2500),
        }
        if self.random.random() < 0.6:
            wire["contact_ohms"] = self.ohms(5e-4, 0.05)
        if self.random.random() < 0.5:
            wire["from"], wire["to"] = end, start
        self.wires.append(wire)

    def point(self) -> str:
        """A pin on one of the live points."""
        return f"{self.random.choice(self.points)}.{self.random.choice('abcdefgh')}"

    def new_point(self) -> str:
        self.points.append(self.add("splice"))
        return f"{self.points[-1]}.in"

    def earth(self) -> str:
        return f"FRAME.{self.random.choice(['engine', 'seat', 'head', 'coil'])}"

    def far_end(self) -> str:
        """Where a load goes to: mostly earth."""
        return self.earth() if self.random.random() < 0.8 else self.point()

    def onward(self) -> str:
        """Where a thing in a feed leads: a new point, or now and then an old one."""
        return self.new_point() if self.random.random() < 0.75 else self.point()


def loom(seed: int, most: int = 80) -> dict[str, Any]:
    """The loom document of this seed."""
    make = _Maker(seed)
    pick = make.random
    size = pick.randint(12, most)
    make.components.append({"id": "FRAME", "kind": "ground"})
    battery = make.add("battery", volts=round(pick.uniform(10.5, 14.5), 2), ohms=make.ohms(0.008, 0.1))
    make.wire(f"{battery}.-", make.earth())
    fuse = make.add("fuse", amps=20, ohms=make.ohms(0.002, 0.01))
    make.wire(f"{battery}.+", f"{fuse}.a")
    make.wire(f"{fuse}.b", make.new_point())
    makers = [
        _fuse,
        _switch,
        _relay,
        _relay,
        _diode,
        _bulb,
        _bulb,
        _resistor,
        _coil,
        _starter,
        _igniter,
        _stray,
    ]
    while len(make.components) < size:
        pick.choice(makers)(make)
    del make.components[max(size, 12) + 5 :]
    there = {part["id"] for part in make.components}
    make.wires = [wire for wire in make.wires if {wire["from"].split(".")[0], wire["to"].split(".")[0]} <= there]
    return {
        "loom": 1,
        "celsius": pick.choice([20.0, 35.0]),
        "components": make.components,
        "wires": make.wires,
    }


def _fuse(make: _Maker) -> None:
    fuse = make.add("fuse", amps=make.random.choice([5, 10, 15]), ohms=make.ohms(0.003, 0.02))
    make.wire(make.point(), f"{fuse}.a")
    make.wire(f"{fuse}.b", make.onward())


def _switch(make: _Maker) -> None:
    most = min(4, make.settings_left)
    if most < 2:
        return
    count = make.random.choice([n for n in (2, 2, 3, 4) if n <= most])
    make.settings_left //= count
    pins = ["30", "15", "58", "56"][: make.random.randint(2, 4)]
    pairs = [list(pair) for pair in itertools.combinations(pins, 2)]
    positions = {f"p{n}": make.random.sample(pairs, make.random.randint(0, len(pairs) // 2 + 1)) for n in range(count)}
    switch = make.add("switch", positions=positions)
    if make.random.random() < 0.3:
        make.components[-1]["contact_ohms"] = make.ohms(0.001, 0.1)
    if make.random.random() < 0.5:
        make.components[-1]["at"] = make.random.choice(list(positions))
    make.wire(make.point(), f"{switch}.30")
    for pin in pins[1:]:
        make.wire(f"{switch}.{pin}", make.onward())


def _relay(make: _Maker) -> None:
    pull = round(make.random.uniform(4.0, 9.0), 2)
    relay = make.add(
        "relay",
        contact=make.random.choice(["make", "break", "changeover"]),
        coil_ohms=make.ohms(20, 150),
        pull_in_volts=pull,
        drop_out_volts=round(pull * make.random.uniform(0.2, 0.7), 2),
    )
    coil = ["85", "86"]
    make.random.shuffle(coil)
    make.wire(make.point(), f"{relay}.{coil[0]}")
    make.wire(f"{relay}.{coil[1]}", make.far_end())
    make.wire(make.point(), f"{relay}.30")
    for pin in ("87", "87a"):
        if make.random.random() < 0.8:
            make.wire(f"{relay}.{pin}", make.onward())


def _diode(make: _Maker) -> None:
    diode = make.add("diode", saturation_amps=make.ohms(1e-9, 1e-7), ideality=round(make.random.uniform(1, 2), 2))
    ends = [make.point(), make.random.choice([make.onward, make.far_end])()]
    if make.random.random() < 0.3:
        ends.reverse()
    if ends[0].startswith("FRAME") or not ends[1].startswith("FRAME") or make.random.random() < 0.1:
        make.wire(ends[0], f"{diode}.a")
        make.wire(f"{diode}.k", ends[1])
    else:  # in series with something, not a dead short of the feed
        load = make.add("resistor", ohms=make.ohms(5, 1000))
        make.wire(ends[0], f"{load}.a")
        make.wire(f"{load}.b", f"{diode}.a")
        make.wire(f"{diode}.k", ends[1])


def _bulb(make: _Maker) -> None:
    bulb = make.add("bulb", watts=make.random.choice([1.2, 3, 5, 10, 21, 55]), volts=make.random.choice([6, 12, 12]))
    make.wire(make.point(), f"{bulb}.a")
    make.wire(f"{bulb}.b", make.far_end())


def _resistor(make: _Maker) -> None:
    load = make.add("resistor", ohms=make.ohms(1, 1e5))
    make.wire(make.point(), f"{load}.a")
    make.wire(f"{load}.b", make.random.choice([make.onward, make.far_end])())


def _coil(make: _Maker) -> None:
    coil = make.add("ignition_coil", primary_ohms=make.ohms(1, 5), secondary_ohms=make.ohms(5000, 15000))
    make.wire(make.point(), f"{coil}.15")
    if make.random.random() < 0.5:
        make.wire(f"{coil}.1", make.new_point())
    else:
        make.wire(f"{coil}.1", make.far_end())


def _starter(make: _Maker) -> None:
    if make.random.random() < 0.3:
        starter = make.add("starter", ohms=make.ohms(0.05, 0.3))
        make.wire(make.point(), f"{starter}.+")
        make.wire(f"{starter}.-", make.earth())


def _igniter(make: _Maker) -> None:
    igniter = make.add("igniter", draw_ohms=make.ohms(50, 500), on_ohms=0.2, min_volts=8.0, inhibit="grounded")
    pickup = make.add("pickup", ohms=make.ohms(100, 800))
    make.wire(make.point(), f"{igniter}.15")
    make.wire(f"{igniter}.31", make.far_end())
    make.wire(f"{pickup}.a", f"{igniter}.trigger")
    make.wire(f"{pickup}.b", make.random.choice([make.earth, make.far_end])())
    coil = make.add("ignition_coil", primary_ohms=make.ohms(1, 5), secondary_ohms=9000.0)
    make.wire(make.point(), f"{coil}.15")
    make.wire(f"{coil}.1", f"{igniter}.1a")


def _stray(make: _Maker) -> None:
    """Something that joins two points, or hangs in the air."""
    if make.random.random() < 0.3:
        make.wire(make.point(), make.point())
    elif make.random.random() < 0.5:
        one, two = (make.add("resistor", ohms=make.ohms(1, 100)) for _ in range(2))
        make.wire(f"{one}.a", f"{two}.a")
        if make.random.random() < 0.5:
            make.wire(f"{one}.b", f"{two}.b")
    elif make.random.random() < 0.3:
        battery = make.add("battery", volts=round(make.random.uniform(5, 13), 2), ohms=make.ohms(0.05, 0.5))
        make.wire(f"{battery}.+", make.point())
        if make.random.random() < 0.7:
            make.wire(f"{battery}.-", make.far_end())


def extreme(seed: int) -> dict[str, Any]:
    """A loom of this seed with many of its values at the edge of what the document allows."""
    pick = random.Random(seed)
    data = loom(seed, 40)
    for part in data["components"]:
        for value in KINDS[part["kind"]].values:
            if pick.random() < 0.3 and value.key not in ("pull_in_volts", "drop_out_volts"):
                low = max(value.low, 1e-9)
                part[value.key] = low * (value.high / low) ** pick.random()
    for wire in data["wires"]:
        if pick.random() < 0.2:
            wire |= {"length_mm": 0.1, "mm2": 500.0}
        if pick.random() < 0.1:
            wire["contact_ohms"] = 1e9
    return data


def settings(document: dict[str, Any]) -> list[dict[str, str]]:
    """Every setting of the document's switches."""
    switches = {part["id"]: list(part["positions"]) for part in document["components"] if part["kind"] == "switch"}
    return [dict(zip(switches, chosen, strict=True)) for chosen in itertools.product(*switches.values())]
