"""An inspection: begun from a pattern, its lines with their verdicts, what is worked out from them, what follows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from urllib.parse import urlencode

from tickover import sheets, units
from tickover.planning import card_templates
from tickover.planning.inspections import Derived, Group, Pattern, all_patterns, group_of, spread
from tickover.planning.matching import is_one, nearest
from tickover.records.from_template import names_on, parts_for, parts_like, write_card
from tickover.records.models import (
    Build,
    Inspection,
    InspectionLine,
    JobCard,
    JobPart,
    JobStep,
    Limit,
    NeededReading,
    Part,
    Purchase,
)
from tickover.records.models.words import Bought, Condition, ToDo
from tickover.records.verdicts import verdict_of
from tickover.standards.instruments import INSTRUMENTS, Instrument, good_enough
from tickover.units import BadInput, Measure

WORST_FIRST = ("outside", "too close to call", "not measured", "no limit", "inside")


# -- beginning one -------------------------------------------------------------------------------------------


def limit_of(group: Group, limits: Iterable[Limit]) -> Limit | None:
    """The limit on record that a group of places belongs to, by its name."""
    by_name = {limit.name: limit for limit in limits if limit.dimension == group.dimension}
    found = nearest(group.limit, by_name)
    return by_name[found] if found is not None else None


def part_of(group: Group, each: str, parts: Iterable[Part]) -> Part | None:
    """The part that a group's places are on: the first of its names that one of the build's parts has."""
    parts = list(parts)
    for wanted in group.part.split("|"):
        found = next((part for part in parts if is_one(spread(wanted, each), part.name)), None)
        if found is not None:
            return found
    return None


def begin(build: Build, pattern: Pattern, each: Sequence[str], name: str, limits: Sequence[Limit | None]) -> Inspection:
    """Write an inspection with its lines; ``limits`` in the order of the pattern's groups. In one `writing` block."""
    inspection = Inspection(build=build, name=name, chapter=pattern.chapter)
    inspection.save()
    parts = parts_like(build, *(spread(group.part, "") for group in pattern.groups))
    limit_by_group = dict(zip(pattern.groups, limits, strict=True))
    for number, (group, place, one) in enumerate(pattern.places(each), start=1):
        limit = limit_by_group[group]
        part = part_of(group, one, parts) or (limit.part if limit else None)
        InspectionLine(build=build, inspection=inspection, number=number, name=place, limit=limit, part=part).save()
    return inspection


# -- its lines -----------------------------------------------------------------------------------------------


@dataclass
class Row:
    """One line with its verdict. ``better`` are instruments that would settle one that is too close to call."""

    line: InspectionLine
    group: Group | None
    verdict: sheets.Verdict | None
    better: list[Instrument] = field(default_factory=list)

    @property
    def word(self) -> str:
        if self.verdict is not None:
            return self.verdict.verdict
        return "not measured" if self.line.reading_id is None else "no limit"

    @property
    def dimension(self) -> str:
        return dimension_of(self.line, self.group)

    @property
    def read_with(self) -> str:
        """The name of the instrument it was read with."""
        reading = self.line.reading
        instrument = INSTRUMENTS.get(reading.instrument) if reading is not None else None
        return instrument.name if instrument else ""


def dimension_of(line: InspectionLine, group: Group | None) -> str:
    """What kind of quantity a line asks for: its limit's, its reading's, its pattern's, else a length."""
    if line.limit is not None:
        return line.limit.dimension
    if line.reading is not None:
        return line.reading.dimension
    return group.dimension if group is not None else "length"


def rows_of(inspection: Inspection) -> list[Row]:
    """Every line in its order, with its verdict; one query however many there are."""
    rows = []
    for line in inspection.lines.select_related("limit", "reading", "part"):
        if line.limit is not None:
            line.limit.build = inspection.build
        group = group_of(line.name)
        read_with = group.read_with if group is not None else ()
        row = Row(line, group, verdict_of(line.limit, line.reading, read_with))
        if row.word == "too close to call":
            row.better = _better(row, read_with)
        rows.append(row)
    return rows


def worst_first(rows: Iterable[Row]) -> list[Row]:
    """The rows by their verdict; among equals, in their own order."""
    return sorted(rows, key=lambda row: (WORST_FIRST.index(row.word), row.line.number))


def _better(row: Row, read_with: tuple[str, ...]) -> list[Instrument]:
    """Instruments whose uncertainty would let the verdict be called where the reading stands."""
    reading, limit = row.line.reading, row.line.limit
    assert reading is not None
    assert limit is not None
    service = limit.service_low is not None or limit.service_high is not None
    bounds = (limit.service_low, limit.service_high) if service else (limit.standard_low, limit.standard_high)
    distance = min(abs(reading.value - bound) for bound in bounds if bound is not None)
    return good_enough(reading.dimension, reading.value, distance / sheets.COVERAGE, read_with)[:2]


# -- what is worked out --------------------------------------------------------------------------------------


@dataclass
class Figure:
    """One result of a sheet that stands on an inspection's readings."""

    name: str
    shown: str
    verdict: sheets.Verdict | None


@dataclass
class Shape:
    """What a sheet works out from an inspection's readings, or what it still waits for."""

    name: str
    sheet: str
    title: str
    figures: list[Figure] = field(default_factory=list)
    waits_for: list[str] = field(default_factory=list)
    notes: tuple[str, ...] = ()
    wrong: str = ""
    query: str = ""


def shapes_of(inspection: Inspection, rows: Sequence[Row], limits: Sequence[Limit]) -> list[Shape]:
    """What the sheets say about each thing whose places all stand in this inspection."""
    by_name = {row.line.name.casefold(): row for row in rows}
    found = []
    for pattern in all_patterns().values():
        for derived in pattern.derived:
            for each in derived.each_of(by_name):
                found.append(_shape(inspection, derived, each, by_name, limits))
    return found


def _shape(
    inspection: Inspection, derived: Derived, each: str, by_name: dict[str, Row], limits: Sequence[Limit]
) -> Shape:
    system = inspection.build.system
    this = sheets.get(derived.sheet)
    name = spread(derived.name, each)
    shape = Shape(name[0].upper() + name[1:], derived.sheet, this.title)
    given: dict[str, str | float | Measure | None] = {}
    typed: dict[str, str] = {}
    for input_name, place in derived.inputs.items():
        row = by_name[spread(place, each).casefold()]
        reading = row.line.reading
        if reading is None:
            shape.waits_for.append(row.line.name)
        else:
            given[input_name] = Measure(reading.value, reading.plus_minus, reading.dimension)
            typed[f"{input_name}__from"] = str(reading.pk)
    for input_name, (wanted, bound) in derived.limits.items():
        by_limit = {limit.name: limit for limit in limits}
        near = nearest(wanted, by_limit)
        value = getattr(by_limit[near], bound) if near is not None else None
        if near is not None and value is not None:
            given[input_name] = Measure(value, 0.0, by_limit[near].dimension)
            typed[input_name] = units.show(value, by_limit[near].dimension, system=system, digits=7)  # type: ignore[arg-type]
    if shape.waits_for:
        return shape
    shape.query = urlencode(typed | {"name": name})
    try:
        worked = sheets.work(derived.sheet, given, system)  # type: ignore[arg-type]
    except BadInput as problem:
        shape.wrong = str(problem)
        return shape
    verdicts = {verdict.on: verdict for verdict in worked.verdicts}
    for on, quantity in this.results.items():
        result = worked.results[on]
        if result is not None:
            shown = quantity.show(result.value, result.plus_minus, system)  # type: ignore[arg-type]
            shape.figures.append(Figure(on.replace("_", " "), shown, verdicts.get(on)))
    shape.notes = (*worked.warnings, *worked.notes)
    return shape


# -- what follows --------------------------------------------------------------------------------------------


@dataclass
class Failed:
    """A part (or a line without one) that is outside its limit, and what of its consequences is written already."""

    key: str
    name: str
    part: Part | None
    rows: list[Row]
    template: card_templates.CardTemplate | None
    card: JobCard | None = None
    purchase: Purchase | None = None

    @property
    def title(self) -> str:
        """What its job card is called."""
        return self.template.title if self.template is not None else f"Put right: {self.name}"[:160]

    @property
    def marked(self) -> bool:
        """Whether the part is on record as worn and to be put right."""
        return (
            self.part is not None
            and self.part.condition in (Condition.WORN, Condition.DAMAGED)
            and self.part.to_do in (ToDo.REPLACE, ToDo.REFURBISH, ToDo.MAKE)
        )

    @property
    def done(self) -> bool:
        """Whether all that follows is written."""
        bought = self.purchase is not None or self.part is None or (self.marked and self.part.to_do != ToDo.REPLACE)
        return self.card is not None and bought and (self.part is None or self.marked)

    @property
    def why(self) -> str:
        """Which readings are outside, in a sentence each."""
        sentences = (f"{row.line.name}: {row.verdict.why}" for row in self.rows if row.verdict is not None)
        return "\n".join(f"{says[0].upper()}{says[1:]}." for says in sentences)


def failed_of(inspection: Inspection, rows: Iterable[Row]) -> list[Failed]:
    """Every part that has a reading outside its limit, in the order of the lines. Two queries."""
    found: dict[str, Failed] = {}
    for row in rows:
        if row.word == "outside":
            part = row.line.part
            key = f"part-{part.pk}" if part is not None else f"line-{row.line.pk}"
            one = found.setdefault(key, Failed(key, str(part or row.line.name), part, [], None))
            one.rows.append(row)
            if row.group is not None and row.group.card:
                one.template = card_templates.get(row.group.card)
    if found:
        open_cards = {card.title: card for card in JobCard.objects.filter(build=inspection.build, signed_off_at=None)}
        wanted = {
            bought.part_id: bought
            for bought in Purchase.objects.filter(build=inspection.build, part__isnull=False).exclude(
                state=Bought.ARRIVED
            )
        }
        for one in found.values():
            one.card = open_cards.get(one.title)
            one.purchase = wanted.get(one.part.pk) if one.part is not None else None
    return list(found.values())


ADDS = ("replace", "refurbish", "card", "purchase", "all")


def add(inspection: Inspection, failed: Failed, what: str) -> None:
    """Write what follows from a reading outside: the part marked, a job card, a purchase, or ``all`` of them.

    What is written already is left as it is. Call it inside one `writing` block.
    """
    if what not in ADDS:
        raise BadInput(f"“{what}” is nothing that an inspection adds; it is one of {', '.join(ADDS)}.")
    part = failed.part
    if part is None and what in ("replace", "refurbish", "purchase"):
        raise BadInput(f"“{failed.name}” is on no part; say on which part it was read first.")
    if part is not None and (what in ("replace", "refurbish") or (what == "all" and not failed.marked)):
        part.to_do = ToDo.REFURBISH if what == "refurbish" else ToDo.REPLACE
        if part.condition not in (Condition.WORN, Condition.DAMAGED):
            part.condition = Condition.WORN
        part.save()
    if what in ("card", "all") and failed.card is None:
        failed.card = _write_card(inspection, failed)
    buys = what == "purchase" or (what == "all" and part is not None and part.to_do == ToDo.REPLACE)
    if buys and part is not None and failed.purchase is None:
        failed.purchase = Purchase(
            build=inspection.build,
            what=part.name,
            count=max(part.count, 1),
            part=part,
            card=failed.card,
            remark=f"{inspection}: {failed.why}",
        )
        failed.purchase.save()


def _write_card(inspection: Inspection, failed: Failed) -> JobCard:
    build, part = inspection.build, failed.part
    why = f"{inspection}, {inspection.begun_at:%d %b %Y}.\n{failed.why}"
    if failed.template is not None:
        template = failed.template
        sure = [(one.part, one.role) for one in parts_for(build, template) if one.sure]
        if part is not None and part.pk not in {one.pk for one, _ in sure}:
            sure.append((part, JobPart.Role.FITS))
        each = card_templates.names_of(names_on(build, template), template.each) if template.each else [""]
        card = write_card(build, template, each, parts=sure)
        card.remark = why
        card.save()
        return card
    card = JobCard(build=build, title=failed.title, chapter=inspection.chapter, why=why)
    card.save()
    steps = (
        "Take the readings that are outside once more, and look at the part, before anything is bought.",
        f"Put right or renew: {failed.name}.",
        "Take the readings again.",
    )
    for number, says in enumerate(steps, start=1):
        JobStep(build=build, card=card, number=number, says=says).save()
    if part is not None:
        JobPart(build=build, card=card, part=part).save()
    for row in failed.rows:
        NeededReading(build=build, card=card, name=row.line.name, dimension=row.dimension, limit=row.line.limit).save()
    return card
