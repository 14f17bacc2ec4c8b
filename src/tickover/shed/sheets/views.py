"""The calculation sheets. Every form, answer and drawing here is made from the sheet's own declaration."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover import sheets as rooms
from tickover.chapters import CHAPTERS
from tickover.drawing import to_dxf, to_pdf, to_svg
from tickover.records.models import Build, Reading, SavedSheet
from tickover.shed.base.pages import writing
from tickover.shed.base.strike_out import strike_out
from tickover.units import BadInput, Measure


@dataclass
class Line:
    """One input on the page: what is asked, what was typed, which readings could stand there."""

    name: str
    asked: rooms.Input
    typed: str = ""
    taken_from: str = ""
    readings: list[Reading] = field(default_factory=list)

    @property
    def label(self) -> str:
        return self.name.replace("_", " ")

    @property
    def hint(self) -> str:
        """What stands where nothing is typed."""
        asked = self.asked
        if asked.required or asked.default is None:
            return ""
        return asked.quantity.show(float(asked.default)) if asked.quantity else str(asked.default)


def _sheet(sheet_id: str) -> rooms.Sheet:
    try:
        return rooms.get(sheet_id)
    except BadInput as problem:
        raise Http404(str(problem)) from problem


def _lines(build: Build, this: rooms.Sheet, typed: dict[str, str]) -> list[Line]:
    """The inputs with what was typed; a reading of the build can stand for any input of its dimension."""
    dimensions = {asked.quantity.dimension for asked in this.inputs.values() if asked.quantity and not asked.whole}
    readings = list(
        Reading.objects.filter(build=build, dimension__in=dimensions).select_related("part").order_by("-taken_at")[:200]
    )
    lines = []
    for name, asked in this.inputs.items():
        fitting = [
            r for r in readings if asked.quantity and not asked.whole and r.dimension == asked.quantity.dimension
        ]
        lines.append(Line(name, asked, typed.get(name, ""), typed.get(f"{name}__from", ""), fitting))
    return lines


def _work(build: Build, this: rooms.Sheet, lines: list[Line]) -> tuple[rooms.Worked, dict[str, Reading]]:
    """Work the sheet on what is typed and on the readings chosen, which bring their own uncertainty."""
    given: dict[str, str | float | Measure | None] = {}
    used: dict[str, Reading] = {}
    for line in lines:
        if line.taken_from:
            chosen = next((r for r in line.readings if str(r.pk) == line.taken_from), None)
            if chosen is None or line.asked.quantity is None:
                raise BadInput(
                    f"{line.name}: that reading is not on record for this build; choose another or type the figure."
                )
            used[line.name] = chosen
            given[line.name] = Measure(chosen.value, chosen.plus_minus, chosen.dimension)
        else:
            given[line.name] = line.typed
    return rooms.work(this.id, given, build.system), used  # type: ignore[arg-type]


def answer(build: Build, this: rooms.Sheet, typed: dict[str, str]) -> dict[str, object]:
    """Context of the answer's fragment: the worked sheet, or the one sentence that says what is wrong or missing."""
    lines = _lines(build, this, typed)
    context: dict[str, object] = {"build": build, "this": this, "lines": lines, "wrong": "", "worked": None}
    blank = [line.label for line in lines if line.asked.required and not line.typed.strip() and not line.taken_from]
    if blank:
        context["missing"] = ", ".join(blank)
        return context
    try:
        worked, context["used"] = _work(build, this, lines)
    except BadInput as problem:
        context["wrong"] = str(problem)
        return context
    verdicts = {verdict.on: verdict for verdict in worked.verdicts}
    context["worked"] = worked
    context["rows"] = [
        {
            "name": name.replace("_", " "),
            "says": quantity.says,
            "shown": _shown(quantity, worked.results[name], build),
            "verdict": verdicts.get(name),
            "shares": _shares(worked, name),
        }
        for name, quantity in this.results.items()
    ]
    context["verdicts"] = worked.verdicts
    context["svg"] = to_svg(worked.drawing) if worked.drawing is not None else ""
    return context


def _shown(quantity: rooms.Quantity, result: Measure | None, build: Build) -> str:
    return "–" if result is None else quantity.show(result.value, result.plus_minus, build.system)  # type: ignore[arg-type]


def _shares(worked: rooms.Worked, name: str) -> str:
    """Which inputs the result's uncertainty comes from, the largest first, in per cent of its variance."""
    shares = {key: part**2 for key, part in worked.shares.get(name, {}).items() if part}
    total = sum(shares.values())
    if not total:
        return ""
    largest = sorted(shares.items(), key=lambda item: -item[1])[:3]
    return ", ".join(f"{key.replace('_', ' ')} {100 * part / total:.0f} %" for key, part in largest)


def sheets(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    chapters: dict[str, list[rooms.Sheet]] = {}
    for this in rooms.all_sheets().values():
        chapters.setdefault(CHAPTERS[this.chapter], []).append(this)
    saved = list(SavedSheet.objects.filter(build=build)[:50])
    stale = _stale(saved)
    context = {
        "build": build, "chapter": "sheets", "by_chapter": chapters,
        "saved": [(row, rooms.get(row.sheet).title, row.pk in stale) for row in saved],
    }  # fmt: skip
    return render(request, "sheets/sheets.html", context)


def _stale(saved: list[SavedSheet]) -> set[int]:
    """Worked sheets that stand on a reading which has another value now, or is gone."""
    numbers = {taken["reading"] for row in saved for taken in row.readings.values()}
    now = dict(Reading.objects.filter(pk__in=numbers).values_list("pk", "value"))
    return {row.pk for row in saved if any(now.get(t["reading"]) != t["value"] for t in row.readings.values())}


def sheet(request: HttpRequest, build_id: int, sheet_id: str) -> HttpResponse:
    """A sheet's page; POST keeps the worked sheet."""
    build = get_object_or_404(Build, pk=build_id)
    this = _sheet(sheet_id)
    typed = {key: str(value)[:200] for key, value in (request.POST or request.GET).items()}
    context = answer(build, this, typed) | {"chapter": "sheets", "name": typed.get("name", "")}
    if request.method == "POST" and context["worked"] is not None:
        saved = SavedSheet(build=build, sheet=this.id, name=typed.get("name", "").strip()[:160])
        keep(request, saved, context)
        messages.success(request, "The worked sheet is kept.")
        return redirect(saved)
    if request.method == "POST" and not context["wrong"]:
        context["wrong"] = f"Not all that it needs is given: {context.get('missing')}."
    return render(request, "sheets/sheet.html", context, status=422 if request.method == "POST" else 200)


def keep(request: HttpRequest, saved: SavedSheet, context: dict[str, object]) -> None:
    worked, used, lines = context["worked"], context["used"], context["lines"]
    assert isinstance(worked, rooms.Worked)
    assert isinstance(used, dict)
    assert isinstance(lines, list)
    saved.inputs = {line.name: line.typed for line in lines if line.typed and line.name not in used}
    saved.readings = {name: {"reading": r.pk, "value": r.value} for name, r in used.items()}
    saved.answer = worked.as_json()
    saved.worked_at = timezone.now()
    with writing(request, f"Worked: {worked.sheet.title}{f' for {saved.name}' if saved.name else ''}"):
        saved.save()


def worked(request: HttpRequest, build_id: int, sheet_id: str) -> HttpResponse:
    """The answer alone, for the page to take in while figures are typed."""
    build = get_object_or_404(Build, pk=build_id)
    typed = {key: value[:200] for key, value in request.GET.items()}
    return render(request, "sheets/answer.html", answer(build, _sheet(sheet_id), typed))


def drawing(request: HttpRequest, build_id: int, sheet_id: str, form: str) -> HttpResponse:
    """The drawing for what is typed, to keep: DXF, SVG, or PDF with a check scale, at 1:1 or with ``fits`` reduced."""
    build = get_object_or_404(Build, pk=build_id)
    this = _sheet(sheet_id)
    typed = {key: value[:200] for key, value in request.GET.items()}
    answer, _ = _work(build, this, _lines(build, this, typed))
    if answer.drawing is None or form not in ("dxf", "pdf", "svg"):
        raise Http404("There is no such drawing.")
    scale = answer.drawing.scale if request.GET.get("fits") else 1.0
    kinds = {
        "dxf": ("image/vnd.dxf", lambda: to_dxf(answer.drawing)),
        "pdf": ("application/pdf", lambda: to_pdf(answer.drawing, title=f"{this.title}, {build}", scale=scale)),
        "svg": ("image/svg+xml", lambda: to_svg(answer.drawing).encode()),
    }
    kind, made = kinds[form]
    response = HttpResponse(made(), content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{this.id}.{form}"'
    return response


def saved_sheet(request: HttpRequest, saved_id: int) -> HttpResponse:
    saved = get_object_or_404(SavedSheet.objects.select_related("build"), pk=saved_id)
    this = _sheet(saved.sheet)
    typed = dict(saved.inputs) | {f"{name}__from": str(taken["reading"]) for name, taken in saved.readings.items()}
    context = answer(saved.build, this, typed) | {
        "chapter": "sheets", "record": saved, "out_of_date": bool(_stale([saved])),
        "kept": [
            {"name": name.replace("_", " "), "shown": _kept(this, name, result, saved.build)}
            for name, result in saved.answer.get("results", {}).items()
        ],
    }  # fmt: skip
    return render(request, "sheets/saved.html", context)


def _kept(this: rooms.Sheet, name: str, result: dict[str, float | None], build: Build) -> str:
    value = result.get("value")
    if value is None or name not in this.results:
        return "–"
    return this.results[name].show(value, result.get("plus_minus") or 0.0, build.system)  # type: ignore[arg-type]


@require_POST
def work_again(request: HttpRequest, saved_id: int) -> HttpResponse:
    """Work a kept sheet again on the readings as they are now."""
    saved = get_object_or_404(SavedSheet.objects.select_related("build"), pk=saved_id)
    typed = dict(saved.inputs) | {f"{name}__from": str(taken["reading"]) for name, taken in saved.readings.items()}
    context = answer(saved.build, _sheet(saved.sheet), typed)
    if context["worked"] is None:
        raise BadInput(str(context["wrong"] or f"Not all that it needs is given: {context.get('missing')}."))
    keep(request, saved, context)
    return redirect(saved)


def strike_out_sheet(request: HttpRequest, saved_id: int) -> HttpResponse:
    saved = get_object_or_404(SavedSheet.objects.select_related("build"), pk=saved_id)
    return strike_out(request, saved, chapter="sheets", then=reverse("sheets", args=[saved.build_id]))
