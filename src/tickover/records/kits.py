"""What came in a kit held against what came out and against the book; and what a difference does, by its sheet."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

from tickover import sheets, units
from tickover.planning.matching import fits
from tickover.records.models import Kit, KitItem, Reading
from tickover.units import BadInput, Measure

USUAL_EFFECTS = (
    ("jet", "fuel.jet_flow", "jet"),
    ("needle seat|valve seat", "fuel.jet_flow", "jet"),
    ("gearbox sprocket|front sprocket", "final_drive.road_speed", "front"),
    ("rear sprocket|wheel sprocket", "final_drive.road_speed", "rear"),
    ("master cylinder", "brakes.lever_force", "master_bore"),
    ("calliper piston|caliper piston|brake piston", "brakes.lever_force", "piston_bore"),
    ("tyre", "final_drive.road_speed", "rolling"),
    ("piston", "engine.piston_clearance", "piston"),
)
"""Words of an item's name, with the sheet and its input that say what another size of it does."""

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_TIMES = re.compile(r"^(?P<name>.*?)\s+[x×]\s*(?P<count>\d{1,4})$", re.IGNORECASE)


def usual_effect(name: str) -> tuple[str, str] | None:
    """The sheet and the input that usually say what another size of a thing of this name does.

    >>> usual_effect("main jet, left")
    ('fuel.jet_flow', 'jet')
    >>> usual_effect("bowl gasket") is None
    True
    """
    return next(((sheet, given) for words, sheet, given in USUAL_EFFECTS if fits(words, name)), None)


def things_of(lines: str) -> list[tuple[str, int]]:
    """What a kit holds, one a line, with how many behind an x.

    >>> things_of("main jet x 2\\nbowl gasket")
    [('main jet', 2), ('bowl gasket', 1)]
    """
    found = []
    for line in lines.splitlines():
        text = " ".join(line.split())
        if text:
            counted = _TIMES.match(text)
            found.append((counted["name"], int(counted["count"])) if counted else (text, 1))
    return found


@dataclass(frozen=True, slots=True)
class Said:
    """One sentence about an item, and whether it is about a difference."""

    says: str
    differs: bool


@dataclass(frozen=True, slots=True)
class Figure:
    """A sheet's result with what was there before, with the new, and the difference, also in per cent of before."""

    name: str
    before: str
    after: str
    difference: str
    share: str


@dataclass
class Effect:
    """What the new does against what came out or against the book; or why that cannot be said."""

    against: str
    before: str = ""
    after: str = ""
    figures: list[Figure] = field(default_factory=list)
    says: list[str] = field(default_factory=list)
    wrong: str = ""
    waits_for: str = ""


@dataclass
class Compared:
    """An item with everything that is to be said about it."""

    item: KitItem
    said: list[Said]
    verdict: sheets.Verdict | None
    effects: list[Effect]
    sheet: sheets.Sheet | None

    @property
    def differs(self) -> bool:
        return any(one.differs for one in self.said) or (
            self.verdict is not None and self.verdict.verdict in ("outside", "too close to call")
        )


def compared(kit: Kit) -> list[Compared]:
    """Every item of a kit with its differences and their effects; one query."""
    rows = []
    for item in kit.items.select_related("part", "old", "new", "limit"):
        item.kit, item.build = kit, kit.build
        rows.append(compare(item))
    return rows


def compare(item: KitItem) -> Compared:
    """Count, stamped number and size of one item held against each other."""
    said = [*_counts(item), *_stamps(item), *_sizes(item)]
    wrong = ""
    this = None
    if item.sheet:
        try:
            this = sheets.get(item.sheet)
        except BadInput as problem:
            wrong = str(problem)
    found = [Effect("the sheet", wrong=wrong)] if wrong else effects(item) if this is not None else []
    return Compared(item, said, _verdict(item), found, this)


def _counts(item: KitItem) -> list[Said]:
    out, came = item.count_out, item.count_in
    if came < out:
        return [Said(f"{out - came} too few: {out} came out, {came} in the kit", True)]
    if came > out:
        return [Said(f"{came - out} more than came out: find out where they belong", True)]
    return [Said(f"as many as came out: {out}", False)]


def _stamps(item: KitItem) -> list[Said]:
    new = item.stamped_new.strip()
    said = []
    for other, what in ((item.stamped_old.strip(), "what came out"), (item.stamped_book.strip(), "the book")):
        if other and new:
            same = other.casefold() == new.casefold()
            said.append(Said(f"stamped {new}{', as' if same else f'; {other} is stamped on'} {what}", not same))
    if item.stamped_book and item.stamped_old and item.stamped_book.casefold() != item.stamped_old.casefold():
        said.append(Said(f"what came out ({item.stamped_old}) was not what the book says ({item.stamped_book})", True))
    return said


def _sizes(item: KitItem) -> list[Said]:
    if item.old is None or item.new is None or item.old.dimension != item.new.dimension:
        return []
    system = item.build.system
    difference = item.new.value - item.old.value
    spread = math.hypot(item.new.plus_minus, item.old.plus_minus)
    dimension = item.new.dimension
    kind = "temperature_difference" if dimension == "temperature" else dimension
    shown = units.show(abs(difference), kind, spread, system=system)  # type: ignore[arg-type]
    if abs(difference) <= sheets.COVERAGE * spread:
        return [Said(f"no difference in size that these readings can tell ({shown})", False)]
    if difference == 0:
        return [Said("of the same size as what came out", False)]
    return [Said(f"{'larger' if difference > 0 else 'smaller'} than what came out by {shown}", True)]


def _verdict(item: KitItem) -> sheets.Verdict | None:
    """The new size against the book's standard value, or its service limit where there is no other."""
    limit = item.limit
    if limit is None or item.new is None or item.new.dimension != limit.dimension:
        return None
    standard = limit.standard_low is not None or limit.standard_high is not None
    return sheets.verdict(
        item.new.value,
        item.new.plus_minus,
        limit.standard_low if standard else limit.service_low,
        limit.standard_high if standard else limit.service_high,
        on=item.name,
        quantity=sheets.Quantity(limit.dimension),
        called="standard value" if standard else "service limit",
        system=item.build.system,
    )


# -- the effect ----------------------------------------------------------------------------------------------


def effects(item: KitItem) -> list[Effect]:
    """What the new does against what came out, and against the book, by the item's sheet. `BadInput` is told in it."""
    this = sheets.get(item.sheet)
    given = this.inputs.get(item.sheet_input)
    if given is None or given.quantity is None:
        return [Effect("the sheet", wrong=f"{this.title} takes no size as “{item.sheet_input}”; choose another input.")]
    new = _size(given, item.new, item.stamped_new)
    befores: tuple[tuple[str, Measure | str | None], ...] = (
        ("what came out", _size(given, item.old, item.stamped_old)),
        ("the book", _size(given, _book(item), item.stamped_book)),
    )
    if new is None:
        return [Effect("what came out", waits_for="the new one’s stamped number or its size")]
    if befores[0][1] is not None and befores[0][1] == befores[1][1]:
        befores = (("what came out and the book", befores[0][1]),)
    found = [_effect(item, this, given, against, before, new) for against, before in befores if before is not None]
    return found or [Effect("what came out", waits_for="the old one’s stamped number or its size, or the book’s")]


def _size(given: sheets.Input, reading: Reading | Measure | None, stamped: str) -> Measure | str | None:
    """What goes into the sheet: the measured size where it is of the right kind, else the stamped number."""
    assert given.quantity is not None
    if reading is not None and reading.dimension == given.quantity.dimension and not given.whole:
        return Measure(reading.value, reading.plus_minus, reading.dimension)
    text = stamped.strip()
    if not text:
        return None
    numbers = _NUMBER.findall(text)
    plain = given.quantity.dimension in ("ratio", "count") and len(numbers) == 1
    return numbers[0].replace(",", ".") if plain else text


def _book(item: KitItem) -> Measure | None:
    """The middle of the book's standard value."""
    limit = item.limit
    if limit is None or limit.standard_low is None or limit.standard_high is None:
        return None
    return Measure((limit.standard_low + limit.standard_high) / 2, 0.0, limit.dimension)


def _effect(
    item: KitItem,
    this: sheets.Sheet,
    given: sheets.Input,
    against: str,
    before: Measure | str,
    after: Measure | str,
) -> Effect:
    system: units.System = item.build.system  # type: ignore[assignment]
    others = {name: str(typed) for name, typed in item.sheet_others.items()}
    effect = Effect(against)
    try:
        old = sheets.work(this.id, {**others, given.name: before}, system)
        new = sheets.work(this.id, {**others, given.name: after}, system)
    except BadInput as problem:
        effect.wrong = str(problem)
        return effect
    effect.before, effect.after = (_shown(given.quantity, one.inputs[given.name], system) for one in (old, new))
    for name, quantity in this.results.items():
        was, now = old.results[name], new.results[name]
        if was is not None and now is not None and was.value != now.value:
            effect.figures.append(
                Figure(
                    name.replace("_", " "),
                    quantity.show(was.value, was.plus_minus, system),
                    quantity.show(now.value, now.plus_minus, system),
                    _difference(quantity, was, now, _spread(given.name, old.shares[name], new.shares[name]), system),
                    _share(quantity, was, now),
                )
            )
    effect.says = [f"{one.verdict}: {one.why}" for one in new.verdicts if one.verdict != "not measured"]
    effect.says += new.warnings
    if not effect.figures:
        effect.says.append("It makes no difference to what this sheet works out.")
    return effect


def _shown(quantity: sheets.Quantity | None, value: Measure | str | None, system: units.System) -> str:
    if quantity is None or not isinstance(value, Measure):
        return str(value)
    return quantity.show(value.value, value.plus_minus, system)


def _spread(changed: str, was: dict[str, float], now: dict[str, float]) -> float:
    """Standard uncertainty of a difference of results: an input that stays shifts both alike (GUM, 5.2.2).

    Only the input that is changed has two readings of its own.
    """
    stays = [now.get(name, 0.0) - was.get(name, 0.0) for name in {*was, *now} if name != changed]
    return math.hypot(*stays, was.get(changed, 0.0), now.get(changed, 0.0))


def _difference(quantity: sheets.Quantity, was: Measure, now: Measure, spread: float, system: units.System) -> str:
    """The difference with its sign and its uncertainty."""
    difference = now.value - was.value
    return f"{'+' if difference > 0 else '−'}{quantity.show(abs(difference), spread, system, digits=3)}"


def _share(quantity: sheets.Quantity, was: Measure, now: Measure) -> str:
    """The difference in per cent of what it was; empty where that means nothing."""
    if was.value <= 0 or quantity.dimension == "temperature":
        return ""
    return f"{100 * (now.value - was.value) / was.value:+.1f} %".replace("-", "−")
