"""What a calculation sheet is: one typed function, declared once, from which every face is made.

A sheet is a plain function from SI numbers to a frozen dataclass. Its parameters and the dataclass's fields
are ``Annotated[float, Quantity(...)]``; the decorator `sheet` adds title, sources and cautions. From that
declaration come the command-line call, the JSON, the form, the page in the book and the entry in the manual.

Uncertainty is propagated by the framework: to first order, inputs independent, through the plain function,
which knows nothing of it (JCGM 100:2008, GUM, 5.1.2; each input's share by 5.1.3, note 2: half the difference
of the results one standard uncertainty above and below).
"""

from __future__ import annotations

import importlib
import inspect
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeVar, cast, get_args, get_origin, get_type_hints

from tickover.standards.instruments import good_enough
from tickover.units import DIMENSIONS, BadInput, Measure, System, parse, show

if TYPE_CHECKING:
    from tickover.drawing import Drawing

CHAPTERS = "tickover.chapters"
"""The package whose sub-packages are the chapters; each names its sheets in a ``SHEETS`` mapping."""

COVERAGE = 2.0
"""A verdict is called at this many standard uncertainties off the limit or more (about 95 %, GUM 6.3.3)."""

Word = Literal["inside", "outside", "too close to call", "not measured"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a number of a sheet is: dimension, units shown, sane range (SI), and what it says to a reader.

    ``low`` and ``high`` bound what is possible: beyond them is an error. ``usual`` bounds what is common:
    beyond it is a warning. ``read_with`` names the instruments (`standards.instruments`) that can take this
    reading. ``assumed`` is the standard uncertainty of the default where the input is left out. Results are
    shown to ``digits`` significant digits where no uncertainty sets them.
    """

    dimension: str
    metric: str | None = None
    inch_pound: str | None = None
    low: float = -math.inf
    high: float = math.inf
    says: str = ""
    usual: tuple[float, float] = (-math.inf, math.inf)
    read_with: tuple[str, ...] = ()
    assumed: float = 0.0
    digits: int = 4

    def unit(self, system: System) -> str:
        """The symbol of the unit shown in this system."""
        named = self.metric if system == "metric" else self.inch_pound
        return named if named is not None else DIMENSIONS[self.dimension].default(system).symbol

    def show(self, value: float, plus_minus: float = 0.0, system: System = "metric", digits: int | None = None) -> str:
        """The value as a person reads it, with its unit."""
        named = self.metric if system == "metric" else self.inch_pound
        return show(value, self.dimension, plus_minus, system, unit=named, digits=digits or self.digits)

    def show_spread(self, spread: float, system: System = "metric") -> str:
        """An uncertainty alone as a person reads it, to two digits; of a temperature it is a difference."""
        if self.dimension == "temperature":
            return show(spread, "temperature_difference", system=system, digits=2)
        return self.show(spread, 0.0, system, digits=2)


@dataclass(frozen=True, slots=True)
class Choice:
    """What a word input of a sheet says to a reader: ``Annotated[Literal["in", "out"], Choice("...")]``."""

    says: str


@dataclass(frozen=True, slots=True)
class Limit:
    """The bounds a result is held against (SI, None where there is none), and what they are called."""

    low: float | None = None
    high: float | None = None
    called: str = "limit"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A result held against its limit: the word, and a sentence that says why."""

    on: str
    verdict: Word
    why: str


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a sheet, as declared."""

    name: str
    quantity: Quantity | None
    choices: tuple[str, ...]
    says: str
    required: bool
    default: float | str | None
    whole: bool = False


@dataclass(frozen=True)
class Sheet:
    """A calculation sheet: its function and all that was declared of it."""

    id: str
    chapter: str
    title: str
    function: Callable[..., Any]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    draws: Callable[..., Drawing | None] | None

    @property
    def says(self) -> str:
        """The help: the function's docstring without its doctests."""
        text = inspect.getdoc(self.function) or ""
        return "\n\n".join(p for p in text.split("\n\n") if not p.lstrip().startswith(">>>")).strip()

    @cached_property
    def inputs(self) -> dict[str, Input]:
        """The inputs by name, in the order they are asked for."""
        hints = get_type_hints(self.function, include_extras=True)
        parameters = inspect.signature(self.function).parameters
        return {name: _input(name, hints[name], p.default) for name, p in parameters.items()}

    @cached_property
    def results(self) -> dict[str, Quantity]:
        """The quantities of the result by name."""
        result = get_type_hints(self.function)["return"]
        hints = get_type_hints(result, include_extras=True)
        found = {name: _annotation(hint)[1] for name, hint in hints.items()}
        return {name: extra for name, extra in found.items() if isinstance(extra, Quantity)}

    def describe(self) -> dict[str, object]:
        """The declaration as plain JSON data (SI)."""
        return {
            "sheet": self.id,
            "title": self.title,
            "chapter": self.chapter,
            "says": self.says,
            "inputs": {name: _describe_input(i) for name, i in self.inputs.items()},
            "results": {name: _describe_quantity(q) for name, q in self.results.items()},
            "cautions": list(self.cautions),
            "sources": list(self.sources),
            "draws": self.draws is not None,
        }


F = TypeVar("F", bound=Callable[..., Any])

_declared: dict[str, Sheet] = {}


def sheet(
    *,
    title: str,
    sources: list[str],
    cautions: list[str] | None = None,
    draws: Callable[..., Drawing | None] | None = None,
) -> Callable[[F], F]:
    """Declare a function as a calculation sheet. The function itself stays as it is.

    Its id is the chapter's folder and the function's name. ``draws`` takes the result and then the function's
    own inputs by name, and returns a `Drawing`, or None where these inputs give nothing to draw.
    """

    def declare(function: F) -> F:
        chapter = function.__module__.removeprefix(CHAPTERS + ".").partition(".")[0]
        sheet_id = f"{chapter}.{function.__name__}"
        _declared[sheet_id] = Sheet(sheet_id, chapter, title, function, tuple(sources), tuple(cautions or ()), draws)
        return function

    return declare


def index() -> dict[str, str]:
    """Every sheet's id with the module it stands in, without importing any of those modules."""
    found: dict[str, str] = {}
    for chapter in importlib.import_module(CHAPTERS).CHAPTERS:
        package = f"{CHAPTERS}.{chapter}"
        sheets: Mapping[str, str] = getattr(importlib.import_module(package), "SHEETS", {})
        found |= {f"{chapter}.{name}": f"{package}.{module}" for name, module in sheets.items()}
    return found


def get(sheet_id: str) -> Sheet:
    """The sheet of this id; only its own module is imported. `BadInput` names the nearest ones."""
    known = index()
    if sheet_id not in known:
        from difflib import get_close_matches

        by_name = [i for i in known if i.partition(".")[2] == sheet_id.rpartition(".")[2]]
        near = by_name or get_close_matches(sheet_id, known, n=3, cutoff=0.5) or list(known)
        raise BadInput(f"there is no sheet '{sheet_id}'; there is {', '.join(near)}")
    importlib.import_module(known[sheet_id])
    return _declared[sheet_id]


def all_sheets() -> dict[str, Sheet]:
    """Every sheet by its id, in the order of the chapters."""
    return {sheet_id: get(sheet_id) for sheet_id in index()}


@dataclass(frozen=True)
class Worked:
    """A sheet worked once: what went in, what came out, and all that is to be said about it.

    ``inputs`` holds measures (or words, or None where an optional input was not given), ``results`` measures
    (or None where one could not be had). ``shares`` gives, for each result, how much of its standard
    uncertainty comes from each input (SI, signed); ``assumed`` names the inputs that took their default.
    """

    sheet: Sheet
    system: System
    inputs: dict[str, Measure | str | None]
    results: dict[str, Measure | None]
    verdicts: tuple[Verdict, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    shares: dict[str, dict[str, float]]
    assumed: frozenset[str]
    values: dict[str, Any] = field(repr=False)
    result: Any = field(repr=False)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What can happen where this work is done, and what to do about it."""
        return self.sheet.cautions

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the formulas come from."""
        return self.sheet.sources

    @cached_property
    def drawing(self) -> Drawing | None:
        """The sheet's drawing for these inputs, or None where it has none."""
        drawn = self.sheet.draws(self.result, **self.values) if self.sheet.draws else None
        return drawn and replace(drawn, system=self.system)

    @property
    def holds(self) -> bool:
        """Whether no verdict is `outside`."""
        return all(v.verdict != "outside" for v in self.verdicts)

    def as_json(self) -> dict[str, object]:
        """The contract's object, in SI units."""
        return {
            "sheet": self.sheet.id,
            "inputs": {name: _json(value) for name, value in self.inputs.items() if value is not None},
            "results": {name: _json(value) for name, value in self.results.items()},
            "verdicts": [{"on": v.on, "verdict": v.verdict, "why": v.why} for v in self.verdicts],
            "warnings": list(self.warnings),
            "cautions": list(self.cautions),
            "sources": list(self.sources),
            "notes": list(self.notes),
            "assumed": [name for name in self.inputs if name in self.assumed],
        }


def work(
    sheet_id: str,
    inputs: Mapping[str, str | float | Measure | None],
    system: System = "metric",
    *,
    coverage: float = COVERAGE,
) -> Worked:
    """Work a sheet. A text is read as a person types it, a bare number in the input's unit of ``system``; a
    float is SI. `BadInput` says in one sentence what is wrong with the first input that cannot be used.
    """
    this = get(sheet_id)
    measures = _read(this, inputs, system)
    assumed = frozenset(n for n, m in measures.items() if m is not None and _left_out(inputs.get(n)))
    values: dict[str, Any] = {n: m.value if isinstance(m, Measure) else m for n, m in measures.items()}
    for name, given in this.inputs.items():
        value = values[name]
        if given.whole and isinstance(value, float):
            values[name] = int(value)
    result = _run(this, values)
    shares = _shares(this, measures, values, result)
    results: dict[str, Measure | None] = {}
    for name, quantity in this.results.items():
        value = getattr(result, name)
        spread = math.hypot(*shares[name].values())
        results[name] = None if value is None else Measure(float(value), spread, quantity.dimension)
    warnings = [w for name, m in measures.items() if (w := _unusual(this, name, m, system))]
    verdicts = tuple(
        _hold(this, on, limit, result, measures, shares, assumed, system, coverage)
        for on, limit in getattr(result, "limits", {}).items()
    )
    return Worked(
        sheet=this,
        system=system,
        inputs=measures,
        results=results,
        verdicts=verdicts,
        warnings=(*warnings, *getattr(result, "warnings", ())),
        notes=tuple(getattr(result, "notes", ())),
        shares={name: shares[name] for name in this.results},
        assumed=assumed,
        values=values,
        result=result,
    )


def verdict(
    value: float | None,
    plus_minus: float = 0.0,
    low: float | None = None,
    high: float | None = None,
    *,
    on: str = "reading",
    quantity: Quantity | None = None,
    called: str = "limit",
    system: System = "metric",
    coverage: float = COVERAGE,
) -> Verdict:
    """Hold one reading (SI, with its standard uncertainty) against exact limits.

    ``plus_minus`` is also what a better instrument would bring down. See `Verdict` for the words.

    >>> bore = Quantity("length", read_with=("telescopic_gauge", "bore_gauge"))
    >>> verdict(0.06109, 12e-6, high=0.06110, on="bore", quantity=bore).verdict
    'too close to call'
    >>> verdict(0.06109, 4e-6, high=0.06110, on="bore", quantity=bore).verdict
    'inside'
    """
    if value is None:
        return Verdict(on, "not measured", f"{_plain(on)} has not been measured")
    quantity = quantity or Quantity("ratio")
    sides = {
        side: (distance, plus_minus)
        for side, distance in (
            ("low", None if low is None else value - low),
            ("high", None if high is None else high - value),
        )
        if distance is not None
    }
    parts = [_Again(on, quantity, value, plus_minus, plus_minus)]
    return _call(on, value, plus_minus, Limit(low, high, called), sides, quantity, system, coverage, parts)


@dataclass(frozen=True, slots=True)
class _Again:
    """An input that may be worth measuring again, and its share of the uncertainty in question."""

    name: str
    quantity: Quantity
    value: float
    plus_minus: float
    share: float
    assumed: bool = False


def _call(
    on: str,
    value: float,
    plus_minus: float,
    limit: Limit,
    sides: Mapping[str, tuple[float, float]],
    quantity: Quantity,
    system: System,
    coverage: float,
    parts: Sequence[_Again],
) -> Verdict:
    """The verdict from the distances to the limits, each with its uncertainty; positive is inside."""
    if not sides:
        return Verdict(on, "not measured", f"there is no {limit.called} to hold {_plain(on)} against")
    side = min(sides, key=lambda s: sides[s][0])
    distance, spread = sides[side]
    bound = limit.low if side == "low" else limit.high
    assert bound is not None
    reading = f"{_plain(on)} {quantity.show(value, plus_minus, system)}"
    where = f"{limit.called} {quantity.show(bound, 0.0, system)} at {'least' if side == 'low' else 'most'}"
    if spread == 0:
        word: Word = "inside" if distance >= 0 else "outside"
        return Verdict(on, word, f"{reading} against {where}; no uncertainty was given")
    off = abs(distance) / spread
    if off < coverage:
        why = f"{reading} against {where} is less than {coverage:g} standard uncertainties away"
        settle = _settle(parts, distance, spread, system, coverage)
        return Verdict(on, "too close to call", f"{why}; {settle}")
    far = f"{off:.2g}" if off < 100 else "more than 100"
    word = "inside" if distance > 0 else "outside"
    return Verdict(on, word, f"{reading} against {where}, {far} standard uncertainties away")


def _settle(parts: Sequence[_Again], distance: float, spread: float, system: System, coverage: float) -> str:
    """What to measure again, and with what, so that the verdict can be called.

    All readings that matter are taken to be refined by the same factor; what was assumed stays as it is.
    """
    parts = sorted(parts, key=lambda part: -abs(part.share))
    read = [part for part in parts if not part.assumed and part.share**2 >= 0.1 * spread**2]
    weight = sum(part.share**2 for part in read)
    allowed = (distance / coverage) ** 2 - (spread**2 - weight)
    if not read or allowed <= 0:
        if parts and parts[0].assumed:
            return f"most of the doubt is in {_plain(parts[0].name)}, which is only assumed"
        return "it stands so near the limit that no reading settles it"
    finer = math.sqrt(allowed / weight)
    wanted = []
    for part in read:
        needed = finer * part.plus_minus
        tools = good_enough(part.quantity.dimension, part.value, needed, part.quantity.read_with)
        with_ = f" (as with: {' or '.join(tool.name for tool in tools[:2])})" if tools else ""
        wanted.append(f"{_plain(part.name)} to ± {part.quantity.show_spread(needed, system)}{with_}")
    return f"measure again, with a standard uncertainty no larger than said: {', '.join(wanted)}"


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _hold(
    this: Sheet,
    on: str,
    limit: Limit,
    result: Any,
    measures: Mapping[str, Measure | str | None],
    shares: Mapping[str, Mapping[str, float]],
    assumed: frozenset[str],
    system: System,
    coverage: float,
) -> Verdict:
    """The verdict on one result. Its limit may depend on inputs too: the distance has its own spread."""
    value = getattr(result, on)
    quantity = this.results[on]
    if value is None:
        return Verdict(on, "not measured", f"{_plain(on)} has not been measured")
    sides = {
        side: (distance, math.hypot(*shares[f"{on} {side}"].values()))
        for side, distance in _distances(on, limit, result).items()
    }
    plus_minus = math.hypot(*shares[on].values())
    parts: list[_Again] = []
    if sides:
        worst = min(sides, key=lambda side: sides[side][0])
        for name, share in shares[f"{on} {worst}"].items():
            measure, its = measures[name], this.inputs[name].quantity
            if isinstance(measure, Measure) and its is not None and share:
                parts.append(_Again(name, its, measure.value, measure.plus_minus, share, name in assumed))
    return _call(on, value, plus_minus, limit, sides, quantity, system, coverage, parts)


def _distances(on: str, limit: Limit, result: Any) -> dict[str, float]:
    value = getattr(result, on)
    if value is None:
        return {}
    low = {} if limit.low is None else {"low": float(value - limit.low)}
    high = {} if limit.high is None else {"high": float(limit.high - value)}
    return low | high


def _outputs(this: Sheet, result: Any) -> dict[str, float | None]:
    """Everything whose uncertainty is wanted: the results, and the distances to their limits."""
    found: dict[str, float | None] = {name: getattr(result, name) for name in this.results}
    for on, limit in getattr(result, "limits", {}).items():
        found |= {f"{on} {side}": distance for side, distance in _distances(on, limit, result).items()}
    return found


def _shares(
    this: Sheet, measures: Mapping[str, Measure | str | None], values: Mapping[str, Any], result: Any
) -> dict[str, dict[str, float]]:
    """For each output, each uncertain input's share: ½ [f(x + u) − f(x − u)], GUM 5.1.3 note 2.

    Where the function refuses one of the two (the edge of its range), the difference to the middle stands in.
    """
    middle = _outputs(this, result)
    shares: dict[str, dict[str, float]] = {name: {} for name in middle}
    for name, measure in measures.items():
        if not isinstance(measure, Measure) or measure.plus_minus == 0:
            continue
        ends: list[dict[str, float | None] | None] = []
        for value in (measure.value + measure.plus_minus, measure.value - measure.plus_minus):
            try:
                ends.append(_outputs(this, this.function(**{**values, name: value})))
            except (ArithmeticError, ValueError):
                ends.append(None)
        if ends == [None, None]:
            raise BadInput(f"{name}: its ± is too wide here, the sheet has no answer at either end of it")
        half = 1.0 if None in ends else 0.5
        upper, lower = (middle if end is None else end for end in ends)
        for output in middle:
            above, below = upper.get(output), lower.get(output)
            if above is not None and below is not None:
                shares[output][name] = half * (above - below)
    return shares


def _run(this: Sheet, values: Mapping[str, Any]) -> Any:
    try:
        result = this.function(**values)
    except BadInput:
        raise
    except ArithmeticError:
        raise BadInput(f"{this.id}: these inputs together have no answer; check the figures and units") from None
    for name in this.results:
        value = getattr(result, name)
        if value is not None and not math.isfinite(value):
            raise BadInput(f"{this.id}: these inputs together have no answer for {name}; check the figures and units")
    return result


def _read(
    this: Sheet, given: Mapping[str, str | float | Measure | None], system: System
) -> dict[str, Measure | str | None]:
    """The inputs as measures and words, each checked against its declaration."""
    for name in given:
        if name not in this.inputs:
            from difflib import get_close_matches

            near = get_close_matches(name, this.inputs, n=1) or list(this.inputs)
            raise BadInput(f"{this.id} has no input '{name}'; it has {', '.join(near)}")
    return {name: _read_one(this, i, given.get(name), system) for name, i in this.inputs.items()}


def _left_out(given: object) -> bool:
    return given is None or (isinstance(given, str) and not given.strip())


def _read_one(this: Sheet, wanted: Input, given: str | float | Measure | None, system: System) -> Measure | str | None:
    name, quantity = wanted.name, wanted.quantity
    if given is None or _left_out(given):
        if wanted.required:
            what = f"one of {', '.join(wanted.choices)}" if wanted.choices else f"in {_units(quantity)}"
            raise BadInput(f"{this.id} needs {name}: {wanted.says or name}, {what}")
        if quantity is None or wanted.default is None:
            return cast("str | None", wanted.default)
        return Measure(float(wanted.default), quantity.assumed, quantity.dimension)
    if quantity is None:
        if isinstance(given, str) and given.strip() in wanted.choices:
            return given.strip()
        raise BadInput(f"{name}: '{given}' is not known; write one of {', '.join(wanted.choices)}")
    if isinstance(given, str):
        try:
            measure = parse(given, quantity.dimension, unit=quantity.unit(system))
        except BadInput as error:
            raise BadInput(f"{name}: {error}") from None
    elif isinstance(given, Measure):
        measure = given
        if given.dimension != quantity.dimension:
            raise BadInput(f"{name}: a {given.dimension} was given; it takes a {quantity.dimension}")
    else:
        measure = Measure(float(given), 0.0, quantity.dimension)
    if not math.isfinite(measure.value) or not 0 <= measure.plus_minus < math.inf:
        raise BadInput(f"{name}: the figure is not a number; write a number and a unit")
    slack = 1e-12 * abs(measure.value)
    if not quantity.low - slack <= measure.value <= quantity.high + slack:
        low, high = (_bound(quantity, b, system) for b in (quantity.low, quantity.high))
        span = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}"
        raise BadInput(f"{name}: {quantity.show(measure.value, 0.0, system)} is out of range; it takes {span}")
    if wanted.whole and (measure.value != round(measure.value) or measure.plus_minus):
        raise BadInput(f"{name}: {measure.value:g} is not a whole number; a count is whole and has no ±")
    return measure


def _bound(quantity: Quantity, bound: float, system: System) -> str:
    return quantity.show(bound, 0.0, system) if math.isfinite(bound) else ""


def _units(quantity: Quantity | None) -> str:
    return DIMENSIONS[quantity.dimension].examples or "a plain number" if quantity else "words"


def _unusual(this: Sheet, name: str, measure: Measure | str | None, system: System) -> str:
    quantity = this.inputs[name].quantity
    if not isinstance(measure, Measure) or quantity is None:
        return ""
    if measure.plus_minus > (quantity.high - quantity.low) / 4:
        return f"{name}: its ± spans most of what is possible; check it, what comes of it is a guess"
    low, high = quantity.usual
    if low <= measure.value <= high:
        return ""
    shown, bound = quantity.show(measure.value, 0.0, system), low if measure.value < low else high
    beyond = "below" if measure.value < low else "above"
    return f"{name} {shown} is {beyond} the usual {quantity.show(bound, 0.0, system)}; check it"


def _input(name: str, hint: Any, default: Any) -> Input:
    required = default is inspect.Parameter.empty
    base, extra = _annotation(hint)
    if isinstance(extra, Quantity):
        return Input(name, extra, (), extra.says, required, None if required else default, base is int)
    choices = tuple(str(c) for c in get_args(base))
    says = extra.says if isinstance(extra, Choice) else ""
    return Input(name, None, choices, says, required, None if required else default)


def _annotation(hint: Any) -> tuple[Any, object]:
    """The bare type and the `Quantity` or `Choice` of a hint, seen through ``| None``."""
    if get_origin(hint) is Annotated:
        base, *extras = get_args(hint)
        return base, extras[0]
    for part in get_args(hint):
        if get_origin(part) is Annotated:
            return _annotation(part)
    return hint, None


def _json(value: Measure | str | None) -> object:
    if not isinstance(value, Measure):
        return {"value": value}
    return {"value": value.value, "unit": DIMENSIONS[value.dimension].si, "plus_minus": value.plus_minus}


def _describe_input(given: Input) -> dict[str, object]:
    told: dict[str, object] = {"says": given.says, "required": given.required}
    if given.quantity is not None:
        told |= _describe_quantity(given.quantity)
    if given.choices:
        told["choices"] = list(given.choices)
    if not given.required:
        told["default"] = given.default
        told["plus_minus"] = given.quantity.assumed if given.quantity is not None else 0.0
    return told


def _describe_quantity(quantity: Quantity) -> dict[str, object]:
    return {
        "dimension": quantity.dimension,
        "unit": DIMENSIONS[quantity.dimension].si,
        "metric": quantity.unit("metric"),
        "inch_pound": quantity.unit("inch-pound"),
        "low": quantity.low if math.isfinite(quantity.low) else None,
        "high": quantity.high if math.isfinite(quantity.high) else None,
        "says": quantity.says,
    }


def describe() -> list[dict[str, object]]:
    """Every sheet's declaration, for ``tickover sheets --json``."""
    return [s.describe() for s in all_sheets().values()]


def describe_as_text() -> str:
    """Every sheet with its inputs, units and ranges, as plain lines for ``tickover sheets``."""
    lines: list[str] = []
    for this in all_sheets().values():
        lines += [f"{this.id}  {this.title}"]
        width = max(len(name) for name in this.inputs) + 2
        for name, i in this.inputs.items():
            what = f"{i.says} ({', '.join(i.choices)})" if i.quantity is None else _span(i)
            may = "" if i.required else "; may be left out"
            lines.append(f"    {name.ljust(width)}{what}{may}")
        lines += [f"    from: {source}" for source in this.sources]
        lines.append("")
    return "\n".join(lines).rstrip()


def _span(given: Input) -> str:
    quantity = given.quantity
    assert quantity is not None
    units = " or ".join(u for u in dict.fromkeys((quantity.unit("metric"), quantity.unit("inch-pound"))) if u)
    low, high = (_bound(quantity, b, "metric") for b in (quantity.low, quantity.high))
    span = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}" if high else ""
    return f"{given.says} ({', '.join(part for part in (units, span) if part)})"


def as_text(worked: Worked, system: System | None = None) -> str:
    """A worked sheet as plain lines for the terminal."""
    shown_in = worked.system if system is None else system
    lines = [f"{worked.sheet.title}  ({worked.sheet.id})", ""]
    quantities = {n: i.quantity for n, i in worked.sheet.inputs.items()}
    width = max(len(n) for n in (*worked.inputs, *worked.results)) + 2
    for name, value in worked.inputs.items():
        if value is not None:
            mark = "  (assumed)" if name in worked.assumed else ""
            lines.append(f"  {name.ljust(width)}{_shown(value, quantities[name], shown_in, 6)}{mark}")
    lines.append("")
    for name, result in worked.results.items():
        lines.append(f"  {name.ljust(width)}{_shown(result, worked.sheet.results[name], shown_in)}")
    for head, sentences in (
        ("Verdict", [f"{v.verdict}: {v.why}" for v in worked.verdicts]),
        ("Warning", worked.warnings),
        ("Note", worked.notes),
        ("Caution", worked.cautions),
        ("Source", worked.sources),
    ):
        if sentences:
            lines += ["", *(f"{head}: {sentence}" for sentence in sentences)]
    return "\n".join(lines)


def _shown(value: Measure | str | None, quantity: Quantity | None, system: System, digits: int | None = None) -> str:
    if value is None:
        return "not known"
    if isinstance(value, str) or quantity is None:
        return str(value)
    return quantity.show(value.value, value.plus_minus, system, digits)
