"""Pages on which a relay's or a switch's pins are found from ohm readings, and written into the loom.

A sheet has a fixed list of inputs, each a number; here there are as many as the pins have pairs, and a reading may be
"no path". So these are pages of their own over plain functions of the electrics chapter; the rest is as on a sheet.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from tickover.chapters.cautions import BATTERY
from tickover.chapters.electrics.ohm_readings import JOINED, Ohms, read_ohms
from tickover.chapters.electrics.relay_finder import DIN_72552, FORMS, PinReading, RelayFinding, find_relay
from tickover.chapters.electrics.switch_finder import SwitchFinding, SwitchReading, find_switch
from tickover.records.from_readings import DROP_OUT_VOLTS, PULL_IN_VOLTS, write_relay, write_switch
from tickover.records.models import Build, LoomComponent
from tickover.shed.base.pages import who
from tickover.units import BadInput, parse

CAUTION = (
    f"{BATTERY} Take the relay off the bike to read it. Put 12 V only across the two pins found to be the coil, "
    "through a 1 A fuse, and let go at once if a lead gets warm: across a closed contact it is a short circuit."
)
MOST_PINS, MOST_POSITIONS = 10, 8


@dataclass
class Cell:
    """One reading to type: its field's name, what it is between, what stands in it, and what is wrong with that."""

    name: str
    says: str
    typed: str = ""
    wrong: str = ""
    ohms: Ohms | None = None

    @classmethod
    def read(cls, name: str, says: str, typed: Mapping[str, str]) -> Cell:
        cell = cls(name, says, typed.get(name, "").strip()[:60])
        if not cell.typed and "the_rest_open" in typed:
            cell.typed = "OL"
        if cell.typed:
            try:
                cell.ohms = read_ohms(cell.typed)
            except BadInput as problem:
                cell.wrong = f"{problem}."
        return cell


def _typed(request: HttpRequest) -> dict[str, str]:
    return {key: str(value).replace("\0", "") for key, value in (request.POST or request.GET).items()}


def _names(typed: str) -> tuple[str, ...]:
    return tuple(re.split(r"[\s,;]+", typed.strip())) if typed.strip() else ()


@dataclass
class _Relay:
    """What is typed on the relay's page, and what is found from it."""

    pins: tuple[str, ...]
    rest: list[Cell]
    back: Cell | None
    """The coil with the leads changed over."""
    pulled: list[Cell]
    live: tuple[str, str] | None
    found: RelayFinding | None
    wrong: str = ""

    @property
    def cells(self) -> list[Cell]:
        return [*self.rest, *([self.back] if self.back else []), *self.pulled]

    @property
    def laid(self) -> str:
        """Which readings beside those at rest are asked for, to lay them out again only when that changes."""
        return " ".join(cell.name for cell in [*([self.back] if self.back else []), *self.pulled])


def _relay(typed: Mapping[str, str]) -> _Relay:
    pins = _names(typed.get("pins", "1 2 3 4 5")[:200])
    relay = _Relay(pins, [], None, [], None, None)
    try:
        find_relay(pins, ())
    except BadInput as problem:
        relay.wrong = f"{problem}."
        return relay
    at = {pin: number for number, pin in enumerate(pins)}
    read_only = {key: value for key, value in typed.items() if key != "the_rest_open"}
    for a, b in combinations(pins, 2):
        relay.rest.append(Cell.read(f"rest-{at[a]}-{at[b]}", f"{a} to {b}", typed))
    readings = _taken(combinations(pins, 2), relay.rest)
    relay.found = find_relay(pins, readings)
    live = _chosen(typed, pins)
    if relay.found.contradiction and live is None:
        return relay
    if live is None and relay.found.coil_is_certain and not relay.found.contradiction and any(
        set(reading.pins) == set(relay.found.best.coil) for reading in readings
    ):  # fmt: skip
        first, second = sorted(relay.found.best.coil, key=pins.index)
        relay.back = Cell.read(f"rest-{at[second]}-{at[first]}", f"{second} to {first}", read_only)
        readings += _taken([(second, first)], [relay.back])
        relay.found = find_relay(pins, readings)
        live = (relay.found.terminals["86"], relay.found.terminals["85"]) if not relay.found.contradiction else None
    if live is None:
        return relay
    joined = next((r for r in readings if set(r.pins) == set(live) and r.ohms.low <= JOINED), None)
    if joined is not None:
        relay.wrong = f"Pins {live[0]} and {live[1]} are joined at rest: 12 V across them is a short circuit."
        return relay
    relay.live = live
    others = [pin for pin in pins if pin not in live]
    for a, b in combinations(others, 2):
        relay.pulled.append(Cell.read(f"pulled-{at[a]}-{at[b]}", f"{a} to {b}", read_only))
    relay.found = find_relay(pins, readings + _taken(combinations(others, 2), relay.pulled, live))
    return relay


def _chosen(typed: Mapping[str, str], pins: tuple[str, ...]) -> tuple[str, str] | None:
    """The pins that the builder says 12 V are on, where the page is not to choose."""
    plus, minus = typed.get("plus", ""), typed.get("minus", "")
    return (plus, minus) if plus in pins and minus in pins and plus != minus else None


def _taken(pairs: object, cells: list[Cell], live: tuple[str, str] | None = None) -> list[PinReading]:
    return [
        PinReading(pair, cell.ohms, live)
        for pair, cell in zip(pairs, cells, strict=True)  # type: ignore[call-overload]
        if cell.ohms is not None
    ]


def _context(request: HttpRequest, build: Build, typed: Mapping[str, str], kind: str) -> dict[str, object]:
    return {
        "build": build,
        "chapter": "loom",
        "typed": typed,
        "components": LoomComponent.objects.filter(build=build, kind=kind),
        "chosen": typed.get("component", ""),
        "caution": CAUTION,
    }


def _relay_context(request: HttpRequest, build: Build, typed: Mapping[str, str]) -> dict[str, object]:
    relay = _relay(typed)
    return _context(request, build, typed, "relay") | {
        "relay": relay,
        "found": relay.found,
        "form": FORMS[relay.found.form] if relay.found and not relay.found.contradiction else "",
        "any_read": any(cell.ohms is not None for cell in relay.cells),
        "source": DIN_72552,
        "pull_in_volts": PULL_IN_VOLTS,
        "drop_out_volts": DROP_OUT_VOLTS,
    }


def relay_readings(request: HttpRequest, build_id: int) -> HttpResponse:
    """Readings between a relay's pins; POST writes what they say into the loom."""
    build = get_object_or_404(Build, pk=build_id)
    typed = _typed(request)
    context = _relay_context(request, build, typed)
    if not _is_to_be_written(request):
        return render(request, "loom/relay_readings.html", context)
    relay = context["relay"]
    assert isinstance(relay, _Relay)
    wrong = relay.wrong or next((f"{cell.says}: {cell.wrong}" for cell in relay.cells if cell.wrong), "")
    if not wrong and relay.found is not None:
        volts: dict[str, float | None] = {}
        try:
            for key, says in (("pull_in_volts", "pulls in at"), ("drop_out_volts", "lets go at")):
                volts[key] = _volts(typed.get(key, ""), says)
            record = write_relay(build, relay.found, **_which(build, typed, "relay"), **volts, who=who(request))  # type: ignore[arg-type]
        except BadInput as problem:
            wrong = f"{problem}".rstrip(".") + "."
        else:
            messages.success(request, f"{record.ident} stands in the loom as its readings show it.")
            return redirect(record)
    return render(request, "loom/relay_readings.html", context | {"wrong": wrong}, status=422)


def _is_to_be_written(request: HttpRequest) -> bool:
    return request.method == "POST" and not {"lay_out", "the_rest_open"} & request.POST.keys()


def _volts(typed: str, says: str) -> float | None:
    if not typed.strip():
        return None
    try:
        return parse(typed, "voltage").value
    except BadInput as problem:
        raise BadInput(f"{says}: {problem}") from None


def _which(build: Build, typed: Mapping[str, str], kind: str) -> dict[str, object]:
    """The component to write: one of the loom's, or a new id and name."""
    chosen, ident = typed.get("component", ""), typed.get("ident", "").strip()
    number = int(chosen) if chosen.isdecimal() and len(chosen) < 18 else 0
    component = LoomComponent.objects.filter(build=build, kind=kind, pk=number).first()
    if component is None and not ident:
        raise BadInput(f"choose the {kind} of the loom that was read, or give a new id, such as {kind[0].upper()}7")
    if component is None and len(ident) > 30:
        raise BadInput("the id is longer than 30 letters; give a short one, as on the diagram")
    return {"component": component, "ident": ident, "name": typed.get("name", "").strip()[:120]}


def relay_found(request: HttpRequest, build_id: int) -> HttpResponse:
    """The answer alone, for the page to take in while readings are typed."""
    build = get_object_or_404(Build, pk=build_id)
    typed = _typed(request)
    context = _relay_context(request, build, typed)
    relay = context["relay"]
    assert isinstance(relay, _Relay)
    context["lay_out"] = relay.laid != typed.get("laid", "")
    return render(request, "loom/relay_found.html", context)


@dataclass
class _Switch:
    pins: tuple[str, ...]
    positions: tuple[str, ...]
    rows: list[tuple[str, list[Cell]]]
    """A pair in words, with its reading in each position."""
    found: SwitchFinding | None
    wrong: str = ""

    @property
    def cells(self) -> list[Cell]:
        return [cell for _, cells in self.rows for cell in cells]


def _switch(typed: Mapping[str, str]) -> _Switch:
    switch = _Switch(_names(typed.get("pins", "1 2 3")[:200]), _names(typed.get("positions", "off on")[:200]), [], None)
    try:
        for what, names, most in (("pins", switch.pins, MOST_PINS), ("positions", switch.positions, MOST_POSITIONS)):
            if len(names) > most:
                raise BadInput(f"{len(names)} {what} are given; this page takes {most}")
        find_switch(switch.pins, switch.positions, ())
    except BadInput as problem:
        switch.wrong = f"{problem}."
        return switch
    readings: list[SwitchReading] = []
    for (i, a), (j, b) in combinations(enumerate(switch.pins), 2):
        cells = []
        for k, position in enumerate(switch.positions):
            cell = Cell.read(f"read-{k}-{i}-{j}", f"{a} to {b}, {position}", typed)
            cells.append(cell)
            if cell.ohms is not None:
                readings.append(SwitchReading(position, (a, b), cell.ohms))
        switch.rows.append((f"{a} to {b}", cells))
    switch.found = find_switch(switch.pins, switch.positions, readings)
    return switch


def _switch_context(request: HttpRequest, build: Build, typed: Mapping[str, str]) -> dict[str, object]:
    switch = _switch(typed)
    return _context(request, build, typed, "switch") | {
        "switch": switch,
        "found": switch.found,
        "any_read": any(cell.ohms is not None for cell in switch.cells),
    }


def switch_readings(request: HttpRequest, build_id: int) -> HttpResponse:
    """Readings between a switch's pins in each position; POST writes what they say into the loom."""
    build = get_object_or_404(Build, pk=build_id)
    typed = _typed(request)
    context = _switch_context(request, build, typed)
    if not _is_to_be_written(request):
        return render(request, "loom/switch_readings.html", context)
    switch = context["switch"]
    assert isinstance(switch, _Switch)
    wrong = switch.wrong or next((f"{cell.says}: {cell.wrong}" for cell in switch.cells if cell.wrong), "")
    if not wrong and switch.found is not None:
        at = typed.get("at", "") or switch.positions[0]
        try:
            record = write_switch(build, switch.found, at=at, **_which(build, typed, "switch"), who=who(request))  # type: ignore[arg-type]
        except BadInput as problem:
            wrong = f"{problem}".rstrip(".") + "."
        else:
            messages.success(request, f"{record.ident} stands in the loom as its readings show it.")
            return redirect(record)
    return render(request, "loom/switch_readings.html", context | {"wrong": wrong}, status=422)


def switch_found(request: HttpRequest, build_id: int) -> HttpResponse:
    """The answer alone, for the page to take in while readings are typed."""
    build = get_object_or_404(Build, pk=build_id)
    return render(request, "loom/switch_found.html", _switch_context(request, build, _typed(request)))
