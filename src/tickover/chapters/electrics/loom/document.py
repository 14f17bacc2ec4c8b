"""The loom document: what it may say, what is wrong with one, and the loom it describes.

:func:`check` finds every problem of a document at once; :func:`read` refuses one with errors and otherwise
returns a :class:`Loom`, plain frozen data that the solver and the fault-finding work on.
"""

from __future__ import annotations

import difflib
import json
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from tickover.chapters.electrics.loom.kinds import (
    CELSIUS,
    COLOURS,
    CONDITIONS,
    KINDS,
    WIRE_VALUES,
    Value,
)
from tickover.standards.wire import resistance
from tickover.units import BadInput

_ID = re.compile(r"[A-Za-z0-9_-]+")
_REMARKS = ("name", "condition", "reach_minutes", "behind", "says")
_ABSENT = object()


@dataclass(frozen=True)
class Component:
    """One component; ``values`` holds its numbers by key, defaults filled in."""

    id: str
    kind: str
    values: Mapping[str, float] = field(default_factory=dict)
    contact: str = ""
    inhibit: str = "none"
    positions: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)
    at: str = ""
    name: str = ""
    condition: str = "unknown"
    reach_minutes: float | None = None
    behind: tuple[str, ...] = ()
    says: str = ""

    @property
    def contacts(self) -> tuple[tuple[str, str], ...]:
        """Every pair of pins that some position of a switch joins, each once."""
        return tuple(dict.fromkeys(pair for pairs in self.positions.values() for pair in pairs))


@dataclass(frozen=True)
class Wire:
    """One wire between two pins, each written ``ID.pin``."""

    id: str
    start: str
    end: str
    mm2: float
    length_mm: float
    contact_ohms: float = 0.0
    colour: str = ""
    tag: str = ""
    name: str = ""
    condition: str = "unknown"
    reach_minutes: float | None = None
    behind: tuple[str, ...] = ()
    says: str = ""

    def ohms(self, celsius: float = 20.0) -> float:
        """Resistance in ohms: copper (IEC 60028), length over area, plus the contacts.

        Example: 1 m of 1 mm² at 20 °C.

        >>> round(Wire("W1", "A.1", "B.1", mm2=1.0, length_mm=1000.0).ohms(), 6)
        0.017241
        """
        copper = resistance(self.length_mm * 1e-3, self.mm2 * 1e-6, celsius + 273.15)
        return copper + self.contact_ohms


@dataclass(frozen=True)
class Loom:
    """A whole loom, checked: every wire ends on a pin that exists."""

    components: tuple[Component, ...]
    wires: tuple[Wire, ...]
    name: str = ""
    celsius: float = 20.0

    @cached_property
    def by_id(self) -> dict[str, Component | Wire]:
        items: tuple[Component | Wire, ...] = (*self.components, *self.wires)
        return {item.id: item for item in items}

    @cached_property
    def pins(self) -> dict[str, tuple[str, ...]]:
        """The pins of every component, as ``ID.pin``, fixed pins first, then in the order they are used."""
        pins: dict[str, dict[str, None]] = {}
        for part in self.components:
            own = dict.fromkeys(f"{part.id}.{pin}" for pin in KINDS[part.kind].pins)
            own.update(dict.fromkeys(f"{part.id}.{pin}" for pair in part.contacts for pin in pair))
            pins[part.id] = own
        for wire in self.wires:
            for end in (wire.start, wire.end):
                pins[end.partition(".")[0]][end] = None
        return {part: tuple(own) for part, own in pins.items()}

    @cached_property
    def wires_at(self) -> dict[str, tuple[Wire, ...]]:
        """The wires on each wired pin."""
        wires: dict[str, list[Wire]] = {}
        for wire in self.wires:
            for end in dict.fromkeys((wire.start, wire.end)):
                wires.setdefault(end, []).append(wire)
        return {pin: tuple(on) for pin, on in wires.items()}

    def component(self, component_id: str) -> Component:
        """The component of this id; :class:`BadInput` where there is none."""
        found = self.by_id.get(component_id)
        if not isinstance(found, Component):
            raise no_such("component", component_id, [part.id for part in self.components])
        return found

    def pin(self, pin: str) -> str:
        """``pin`` itself when the loom has it; :class:`BadInput` where it does not."""
        own = self.pins.get(pin.partition(".")[0], ())
        if pin not in own:
            raise no_such("pin", pin, own or [p for pins in self.pins.values() for p in pins])
        return pin

    def positions(self, settings: Mapping[str, str]) -> dict[str, str]:
        """Where every switch stands: as ``settings`` says, otherwise as its ``at`` says."""
        stands = {part.id: part.at for part in self.components if part.kind == "switch"}
        for switch, position in settings.items():
            if switch not in stands:
                raise no_such("switch", switch, list(stands))
            known = self.component(switch).positions
            if position not in known:
                raise BadInput(f"{switch} has no position {position!r}; it has {_either(known)}.")
            stands[switch] = position
        return stands


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a document: where, what, and what would be right."""

    where: str
    what: str
    right: str
    error: bool = True

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; {self.right}."


class LoomProblems(BadInput):
    """A loom document that cannot be used; ``problems`` holds everything found, errors first."""

    def __init__(self, problems: Iterable[Problem], source: str = "loom document") -> None:
        self.problems = tuple(problems)
        errors = [problem for problem in self.problems if problem.error]
        more = f" ({len(errors) - 1} more errors: see tickover loom check.)" if len(errors) > 1 else ""
        super().__init__(f"{source}: {errors[0]}{more}")


def load(path: str | Path) -> Loom:
    """The loom in a file; :class:`BadInput` when it cannot be read, :class:`LoomProblems` when wrong."""
    return read(parse_file(path), source=str(path))


def parse_file(path: str | Path) -> object:
    """The JSON of a file, not yet checked as a loom."""
    try:
        content = Path(path).read_bytes()
    except OSError as problem:
        reason = (problem.strerror or "cannot be opened").lower()
        raise BadInput(f"{path} cannot be read ({reason}); give the path of a loom document.") from None
    return parse_bytes(content, str(path))


def parse_bytes(content: bytes, source: str) -> object:
    """The JSON in a file's content, not yet checked as a loom; ``source`` names it where it cannot be used."""
    try:
        return json.loads(content.decode("utf-8-sig"), object_pairs_hook=_no_key_twice)
    except UnicodeDecodeError:
        raise BadInput(f"{source} is not UTF-8 text; a loom document is JSON in UTF-8.") from None
    except json.JSONDecodeError as problem:
        raise BadInput(
            f"{source} is not JSON at line {problem.lineno}, column {problem.colno}: {problem.msg.lower()}; "
            "a loom document is one JSON object."
        ) from None
    except RecursionError:
        raise BadInput(f"{source} is nested too deeply; a loom document is one flat JSON object.") from None
    except _KeyTwice as problem:
        raise BadInput(f"{source} gives the key {problem} twice in one object; give it once.") from None


def read(data: object, source: str = "loom document") -> Loom:
    """The loom that ``data`` (parsed JSON) describes; :class:`LoomProblems` when it has errors."""
    reader = _Reader()
    loom = reader.document(data)
    if loom is None or any(problem.error for problem in reader.problems):
        raise LoomProblems(reader.sorted(), source)
    return loom


def check(data: object) -> list[Problem]:
    """Everything wrong with ``data`` (parsed JSON), errors first, then what is odd but can be solved."""
    from tickover.chapters.electrics.loom.advice import advice

    reader = _Reader()
    loom = reader.document(data)
    problems = reader.sorted()
    if loom is not None and not any(problem.error for problem in problems):
        problems += advice(loom)
    return problems


def as_json(loom: Loom) -> dict[str, object]:
    """The document of a loom; :func:`read` gives the same loom back."""
    document: dict[str, object] = {"loom": 1}
    if loom.name:
        document["name"] = loom.name
    if loom.celsius != CELSIUS.default:
        document["celsius"] = loom.celsius
    document["components"] = [_component_json(part) for part in loom.components]
    document["wires"] = [_wire_json(wire) for wire in loom.wires]
    return document


def _component_json(part: Component) -> dict[str, object]:
    kind = KINDS[part.kind]
    item: dict[str, object] = {"id": part.id, "kind": part.kind}
    if part.kind == "switch":
        item["positions"] = {at: [list(pair) for pair in pairs] for at, pairs in part.positions.items()}
        item["at"] = part.at
    for key, _, default in kind.words:
        if getattr(part, key) != default:
            item[key] = getattr(part, key)
    for value in kind.values:
        if part.values[value.key] != value.default:
            item[value.key] = part.values[value.key]
    return item | _remarks_json(part)


def _wire_json(wire: Wire) -> dict[str, object]:
    item: dict[str, object] = {"id": wire.id, "from": wire.start, "to": wire.end}
    item |= {"mm2": wire.mm2, "length_mm": wire.length_mm}
    item |= {key: getattr(wire, key) for key in ("colour", "tag", "contact_ohms") if getattr(wire, key)}
    return item | _remarks_json(wire)


def _remarks_json(item: Component | Wire) -> dict[str, object]:
    remarks: dict[str, object] = {}
    if item.name:
        remarks["name"] = item.name
    if item.condition != "unknown":
        remarks["condition"] = item.condition
    if item.reach_minutes is not None:
        remarks["reach_minutes"] = item.reach_minutes
    if item.behind:
        remarks["behind"] = list(item.behind)
    if item.says:
        remarks["says"] = item.says
    return remarks


class _KeyTwice(ValueError):
    pass


def _no_key_twice(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        raise _KeyTwice(repr(next(key for key in keys if keys.count(key) > 1)))
    return found


def _either(words: Iterable[str]) -> str:
    listed = list(words)
    return listed[0] if len(listed) == 1 else f"{', '.join(listed[:-1])} or {listed[-1]}" if listed else "none"


def _near(word: str, known: Iterable[str]) -> str:
    """What would be right in place of ``word``: the nearest known one, or all of them."""
    known = list(known)
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    if close:
        return f"the nearest is {close[0]}"
    return f"it may be {_either(known)}" if 0 < len(known) <= 16 else "name one that the loom has"


def no_such(what: str, word: str, known: Iterable[str]) -> BadInput:
    """The refusal of a name that the loom does not have."""
    return BadInput(f"The loom has no {what} {word!r}; {_near(word, known)}.")


def _shown(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 40 else f"{text[:37]}..."


class _Reader:
    """Reads a document and collects what is wrong with it as it goes."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def sorted(self) -> list[Problem]:
        return sorted(self.problems, key=lambda problem: not problem.error)

    def wrong(self, where: str, what: str, right: str) -> None:
        self.problems.append(Problem(where, what, right))

    # -- the document ------------------------------------------------------------------------------------

    def document(self, data: object) -> Loom | None:
        where = "document"
        if not isinstance(data, dict):
            self.wrong(where, "is not a JSON object", 'write {"loom": 1, "components": [...], "wires": [...]}')
            return None
        self.keys(where, data, ("loom", "name", "celsius", "components", "wires"))
        version = data.get("loom", _ABSENT)
        if isinstance(version, bool) or version != 1:
            said = "is missing" if version is _ABSENT else f"is {_shown(version)}"
            self.wrong(where, f"loom {said}", "write 1, the version of the document")
        name = self.text(where, data, "name")
        celsius = self.number(where, data, CELSIUS)
        components = [self.component(f"component {n}", item) for n, item in self.items(data, "components")]
        wires = [self.wire(f"wire {n}", item) for n, item in self.items(data, "wires")]
        self.unique([*components, *wires])
        loom = Loom(
            components=tuple(part for part in components if part is not None),
            wires=tuple(wire for wire in wires if wire is not None),
            name=name,
            celsius=celsius if celsius is not None else 20.0,
        )
        ids = [item.get("id") for _, item in self._raw(data, "components")]
        self.ends(loom, [part_id for part_id in ids if isinstance(part_id, str)])
        return loom

    def _raw(self, data: dict[str, object], key: str) -> Iterator[tuple[int, dict[str, object]]]:
        listed = data.get(key)
        if isinstance(listed, list):
            for number, item in enumerate(listed, 1):
                if isinstance(item, dict):
                    yield number, item

    def items(self, data: dict[str, object], key: str) -> list[tuple[int, dict[str, object]]]:
        listed = data.get(key, _ABSENT)
        if not isinstance(listed, list):
            said = "is missing" if listed is _ABSENT else "is not a list"
            self.wrong("document", f"{key} {said}", f"write a list of {key}, empty if there are none yet")
            return []
        for number, item in enumerate(listed, 1):
            if not isinstance(item, dict):
                self.wrong(f"{key[:-1]} {number}", "is not an object", f"write a {key[:-1]} as {{...}} with an id")
        return list(self._raw(data, key))

    def unique(self, items: Iterable[Component | Wire | None]) -> None:
        seen: dict[str, str] = {}
        for item in items:
            if item is None or not item.id:
                continue
            what = "wire" if isinstance(item, Wire) else "component"
            if item.id in seen:
                self.wrong(
                    f"{what} {item.id}",
                    f"the id is already taken by a {seen[item.id]}",
                    "give each its own id",
                )
            seen.setdefault(item.id, what)

    def ends(self, loom: Loom, ids: list[str]) -> None:
        """Each end of each wire is on a component that is there, on a pin that it has."""
        kinds = {part.id: part.kind for part in loom.components}
        for wire in loom.wires:
            for key, end in (("from", wire.start), ("to", wire.end)):
                if not end:
                    continue
                part, _, pin = end.partition(".")
                where = f"wire {wire.id}" if wire.id else "a wire"
                if part not in ids:
                    self.wrong(where, f"{key} is {end}, and there is no component {part}", _near(part, ids))
                elif part in kinds and not KINDS[kinds[part]].has_pin(pin):
                    kind = KINDS[kinds[part]]
                    pins = {"ignition_coil": ("4", "4a", "4b"), "igniter": ("1a", "1b")}.get(kinds[part], ())
                    has = _either((*kind.pins, *pins)) if kind.pins else "letters, digits, _, + and -"
                    self.wrong(
                        where,
                        f"{key} is {end}, and a {kinds[part]} has no pin {pin or '(empty)'}",
                        f"its pins are {has}",
                    )

    # -- components and wires ----------------------------------------------------------------------------

    def component(self, place: str, item: dict[str, object]) -> Component | None:
        part_id = self.identity(place, item)
        where = f"component {part_id}" if part_id else place
        kind_name = item.get("kind", _ABSENT)
        if not isinstance(kind_name, str) or kind_name not in KINDS:
            said = "has no kind" if kind_name is _ABSENT else f"is of the unknown kind {_shown(kind_name)}"
            self.wrong(where, said, _near(str(kind_name) if kind_name is not _ABSENT else "", KINDS))
            return None
        kind = KINDS[kind_name]
        own = [value.key for value in kind.values] + [key for key, _, _ in kind.words]
        own += ["positions", "at"] if kind_name == "switch" else []
        self.keys(where, item, ("id", "kind", *own, *_REMARKS))
        values = {value.key: self.number(where, item, value) for value in kind.values}
        words = {key: self.word(where, item, key, may, default) for key, may, default in kind.words}
        positions, at = self.positions(where, item) if kind_name == "switch" else ({}, "")
        pull, drop = values.get("pull_in_volts"), values.get("drop_out_volts")
        if pull is not None and drop is not None and drop > pull:
            self.wrong(
                where,
                f"drop_out_volts {drop:g} is above pull_in_volts {pull:g}",
                "a relay lets go at a lower voltage than it pulls in at",
            )
        return Component(
            id=part_id,
            kind=kind_name,
            values={key: value for key, value in values.items() if value is not None},
            contact=words.get("contact", ""),
            inhibit=words.get("inhibit", "none"),
            positions=positions,
            at=at,
            **self.remarks(where, item),  # type: ignore[arg-type]
        )

    def wire(self, place: str, item: dict[str, object]) -> Wire | None:
        wire_id = self.identity(place, item)
        where = f"wire {wire_id}" if wire_id else place
        own = [value.key for value in WIRE_VALUES]
        self.keys(where, item, ("id", "from", "to", *own, "colour", "tag", *_REMARKS))
        start, end = self.pin(where, item, "from"), self.pin(where, item, "to")
        values = {value.key: self.number(where, item, value) for value in WIRE_VALUES}
        colour = self.text(where, item, "colour")
        if colour and not (all(code in COLOURS for code in colour.split("/")) and 1 <= len(colour.split("/")) <= 2):
            wanted = "/".join(code.strip().upper() for code in colour.split("/")[:2])
            right = wanted if all(code in COLOURS for code in wanted.split("/")) else _either(COLOURS)
            self.wrong(
                where,
                f"colour {_shown(colour)} is not a code of IEC 60757",
                f"write {right}" if right == wanted else f"use {right}, or two as in GN/YE",
            )
        return Wire(
            id=wire_id,
            start=start,
            end=end,
            mm2=values["mm2"] or 1.0,
            length_mm=values["length_mm"] or 1.0,
            contact_ohms=values["contact_ohms"] or 0.0,
            colour=colour,
            tag=self.text(where, item, "tag"),
            **self.remarks(where, item),  # type: ignore[arg-type]
        )

    def identity(self, where: str, item: dict[str, object]) -> str:
        given = item.get("id", _ABSENT)
        if isinstance(given, str) and _ID.fullmatch(given):
            return given
        said = "has no id" if given is _ABSENT else f"id {_shown(given)} cannot be used"
        self.wrong(where, said, "an id is text of letters, digits, _ and -")
        return ""

    def pin(self, where: str, item: dict[str, object], key: str) -> str:
        given = item.get(key, _ABSENT)
        if isinstance(given, str) and given.count(".") == 1 and all(given.split(".")):
            return given
        said = "is missing" if given is _ABSENT else f"is {_shown(given)}"
        self.wrong(where, f"{key} {said}", 'write a pin as "ID.pin"')
        return ""

    def positions(self, where: str, item: dict[str, object]) -> tuple[dict[str, tuple[tuple[str, str], ...]], str]:
        given = item.get("positions", _ABSENT)
        right = 'write {"off": [], "on": [["30", "15"]]}, one entry a position'
        if not isinstance(given, dict) or not given:
            said = "missing" if given is _ABSENT else "empty" if given == {} else "not an object"
            self.wrong(where, f"positions is {said}", right)
            return {}, ""
        positions: dict[str, tuple[tuple[str, str], ...]] = {}
        for position, pairs in given.items():
            if not _ID.fullmatch(position):
                self.wrong(
                    where,
                    f"the position {position!r} cannot be used",
                    "a position is letters, digits, _ and -",
                )
            good: list[tuple[str, str]] = []
            for pair in pairs if isinstance(pairs, list) else [pairs]:
                if not (isinstance(pair, list) and len(pair) == 2 and all(isinstance(pin, str) for pin in pair)):
                    self.wrong(where, f"position {position} holds {_shown(pair)}, not a pair of pins", right)
                elif not all(KINDS["switch"].has_pin(pin) for pin in pair):
                    self.wrong(
                        where,
                        f"position {position} names a pin that cannot be used in {_shown(pair)}",
                        "a pin is letters, digits, _, + and -",
                    )
                elif pair[0] == pair[1]:
                    self.wrong(where, f"position {position} joins pin {pair[0]} to itself", "join two different pins")
                elif tuple(pair) in good or (pair[1], pair[0]) in good:
                    self.wrong(
                        where,
                        f"position {position} joins {pair[0]} and {pair[1]} twice",
                        "name the pair once",
                    )
                else:
                    good.append((pair[0], pair[1]))
            positions[position] = tuple(good)
        at = item.get("at", next(iter(given)))
        if not isinstance(at, str) or at not in given:
            self.wrong(where, f"at is {_shown(at)}, not one of its positions", f"it may be {_either(given)}")
            at = next(iter(given))
        return positions, at

    # -- single keys -------------------------------------------------------------------------------------

    def keys(self, where: str, item: dict[str, object], known: tuple[str, ...]) -> None:
        for key in item:
            if key not in known:
                self.wrong(where, f"unknown key {_shown(key)}", _near(key, known))

    def number(self, where: str, item: dict[str, object], value: Value) -> float | None:
        given = item.get(value.key, _ABSENT)
        unit = f" {value.unit}" if value.unit else ""
        span = f"between {value.low:g} and {value.high:g}{unit}"
        if given is _ABSENT:
            if value.default is None:
                self.wrong(where, f"{value.key} is missing", f"give a number {span}")
            return value.default
        if isinstance(given, bool) or not isinstance(given, int | float):
            self.wrong(where, f"{value.key} is {_shown(given)}, not a number", f"give a number {span}")
            return None
        if not (math.isfinite(given) and value.low <= given <= value.high):
            self.wrong(where, f"{value.key} is {_shown(given)}{unit}, out of range", f"give a number {span}")
            return None
        return float(given)

    def word(self, where: str, item: dict[str, object], key: str, may: tuple[str, ...], default: str | None) -> str:
        given = item.get(key, _ABSENT)
        if given is _ABSENT and default is not None:
            return default
        if given not in may:
            said = "is missing" if given is _ABSENT else f"is {_shown(given)}"
            self.wrong(where, f"{key} {said}", f"it may be {_either(may)}")
            return may[0]
        return str(given)

    def text(self, where: str, item: dict[str, object], key: str) -> str:
        given = item.get(key, "")
        if isinstance(given, str):
            return given
        self.wrong(where, f"{key} is {_shown(given)}, not text", f'write it in quotes, as in "{key}": "7"')
        return ""

    def remarks(self, where: str, item: dict[str, object]) -> dict[str, object]:
        behind = item.get("behind", [])
        if not isinstance(behind, list) or not all(isinstance(cover, str) for cover in behind):
            self.wrong(where, f"behind is {_shown(behind)}", "give a list of what must come off first, as text")
            behind = []
        reach = self.number(where, item, Value("reach_minutes", "min", 0.0, 10000.0, 0.0))
        return {
            "name": self.text(where, item, "name"),
            "condition": self.word(where, item, "condition", CONDITIONS, "unknown"),
            "reach_minutes": reach if "reach_minutes" in item else None,
            "behind": tuple(behind),
            "says": self.text(where, item, "says"),
        }
