"""The loom: its switches set, volts and amps by pin and wire; its components; documents in and out."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from tickover.chapters.electrics.loom import document as documents
from tickover.chapters.electrics.loom import faults as fault_rooms
from tickover.chapters.electrics.loom.circuit import Circuit
from tickover.records.as_loom import loom_document
from tickover.records.as_loom import read_in as read_in_records
from tickover.records.models import Build, LoomComponent, WireTag
from tickover.shed.base.pages import record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.loom.forms import ComponentForm, ReadInForm
from tickover.units import BadInput


def loom(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    return render(request, "loom/loom.html", _solved(request, build) | {"chapter": "loom"})


def solved(request: HttpRequest, build_id: int) -> HttpResponse:
    """The answer alone, for the page to take in when a switch is set."""
    build = get_object_or_404(Build, pk=build_id)
    return render(request, "loom/solved.html", _solved(request, build))


def _solved(request: HttpRequest, build: Build) -> dict[str, object]:
    context: dict[str, object] = {
        "build": build,
        "components": list(LoomComponent.objects.filter(build=build).select_related("part")),
        "tag_count": WireTag.objects.filter(build=build).count(),
    }
    if not context["components"]:
        return context
    data = loom_document(build)
    context["problems"] = problems = documents.check(data)
    if any(problem.error for problem in problems):
        return context
    bike = documents.read(data)
    switches = [part for part in bike.components if part.kind == "switch"]
    settings = {part.id: request.GET[part.id] for part in switches if request.GET.get(part.id) in part.positions}
    turning = request.GET.get("turning") == "on"
    fault = request.GET.get("fault", "").strip()
    faults = [fault_rooms.parse(fault, bike)] if fault else []
    sound = Circuit(bike).solve(settings, turning=turning)
    solution = Circuit(bike, faults).solve(settings, turning=turning, blow_fuses=True) if faults else sound
    tags = {tag.ident: tag for tag in WireTag.objects.filter(build=build).exclude(ident="")}
    ids = {part.ident: part for part in context["components"]}  # type: ignore[attr-defined]
    context |= {
        "switches": [
            {"part": part, "record": ids.get(part.id), "at": settings.get(part.id, part.at)} for part in switches
        ],
        "turning": turning,
        "fault": fault,
        "solution": solution,
        "parts": [
            {
                "part": part,
                "record": ids.get(part.id),
                "state": _state(solution, part.id),
                "pins": [
                    (pin.partition(".")[2], solution.volts.get(pin), sound.volts.get(pin) if faults else None)
                    for pin in bike.pins[part.id]
                ],
            }
            for part in bike.components
            if part.kind not in ("splice", "ground")
        ],
        "wires": [
            {"wire": wire, "tag": tags.get(wire.id), "amps": solution.amps.get(wire.id),
             "ends": (solution.volts.get(wire.start), solution.volts.get(wire.end))}
            for wire in bike.wires
        ],
    }  # fmt: skip
    return context


def _state(solution: object, ident: str) -> str:
    relays, blown = getattr(solution, "relays", {}), getattr(solution, "blown", ())
    if ident in blown:
        return "blown"
    if getattr(solution, "firing", {}).get(ident):
        return "firing"
    return str(relays.get(ident, ""))


def document(request: HttpRequest, build_id: int) -> HttpResponse:
    """The loom document of this build, to keep."""
    build = get_object_or_404(Build, pk=build_id)
    response = JsonResponse(loom_document(build), json_dumps_params={"indent": 1, "ensure_ascii": False})
    response["Content-Disposition"] = 'attachment; filename="loom.json"'
    return response


def read_in(request: HttpRequest, build_id: int) -> HttpResponse:
    """Read a loom document in: whole, or not at all."""
    build = get_object_or_404(Build, pk=build_id)
    form = ReadInForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            with writing(request, "A loom document read in"):
                read_in_records(build, form.cleaned_data["file"])
        except BadInput as problem:
            form.add_error("file", str(problem))
        else:
            messages.success(request, "The loom is read in: its wires are wire tags now.")
            return redirect("loom", build.pk)
    context = {
        "build": build,
        "chapter": "loom",
        "form": form,
        "title": "Read in a loom document",
        "button": "Read in",
    }
    return render(request, "base/record_form.html", context, status=422 if form.is_bound else 200)


def component(request: HttpRequest, component_id: int) -> HttpResponse:
    record = get_object_or_404(LoomComponent.objects.select_related("build", "part"), pk=component_id)
    ends = record.wire_ends.select_related("tag").prefetch_related("tag__ends__component").order_by("pin", "tag_id")
    rows = [
        {"end": end, "other": next((other for other in end.tag.ends.all() if other.pk != end.pk), None)} for end in ends
    ]
    context = {"build": record.build, "chapter": "loom", "record": record, "rows": rows}
    return render(request, "loom/component.html", context)


def new_component(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    return record_form(request, ComponentForm, build, title="A component of the loom", chapter="loom")


def edit_component(request: HttpRequest, component_id: int) -> HttpResponse:
    record = get_object_or_404(LoomComponent.objects.select_related("build"), pk=component_id)
    return record_form(request, ComponentForm, record.build, record=record, title=str(record), chapter="loom")


def strike_out_component(request: HttpRequest, component_id: int) -> HttpResponse:
    record = get_object_or_404(LoomComponent.objects.select_related("build"), pk=component_id)
    return strike_out(request, record, chapter="loom", then=reverse("loom", args=[record.build_id]))
