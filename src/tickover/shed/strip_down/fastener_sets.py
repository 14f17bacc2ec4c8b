"""Pages of a fastener set: its size, its torque shown large, and the state of its joint."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover import units
from tickover.records.models import Build, FastenerSet
from tickover.records.models.words import Joint, System
from tickover.shed.base.cautions import caution_for
from tickover.shed.base.outbox import may_wait, must_be_newest
from tickover.shed.base.pages import back, record_form, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.strip_down.balloons import newest_balloons
from tickover.shed.strip_down.forms import FastenerSetForm
from tickover.units import BadInput


def _get(set_id: int) -> FastenerSet:
    return get_object_or_404(FastenerSet.objects.select_related("build", "holds", "place", "torque_sheet"), pk=set_id)


def _caution(record: FastenerSet) -> str:
    return caution_for(record.holds.chapter) if record.holds else ""


def fastener_set(request: HttpRequest, set_id: int) -> HttpResponse:
    record = _get(set_id)
    other = System.INCH_POUND if record.build.system == System.METRIC else System.METRIC
    context = {
        "build": record.build,
        "chapter": "strip_down",
        "record": record,
        "torque": None if record.torque is None else _torque(record.torque, record.build.system),
        "other_torque": None if record.torque is None else _torque(record.torque, other),
        "joints": Joint.values,
        "balloons": newest_balloons(record),
        "target": f"fasteners:{record.pk}",
        "caution": _caution(record),
    }
    return render(request, "strip_down/fastener_set.html", context)


def _torque(value: float, system: str) -> str:
    """A torque as it is set on a wrench: no wrench is set to more than three figures."""
    return units.show(value, "torque", system="metric" if system == System.METRIC else "inch-pound", digits=3)


@may_wait("tick")
@require_POST
def set_joint(request: HttpRequest, set_id: int) -> HttpResponse:
    """One press: apart, finger-tight, torqued, witness-marked."""
    record = _get(set_id)
    joint = request.POST.get("joint", "")
    if joint not in Joint.values:
        raise BadInput(f"“{joint}” is no state of a joint; it is one of {', '.join(Joint.values)}.")
    must_be_newest(request, record, "joint")
    record.joint = joint
    if joint != Joint.APART:
        record.place = None
    with writing(request, f"{record}: {joint}"):
        record.save()
    messages.success(request, f"{record}: {joint}.")
    return back(request, record.get_absolute_url())


def new_fastener_set(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    initial = {name: number for name in ("holds", "place") if (number := request.GET.get(name, "")).isdecimal()}
    return record_form(
        request,
        FastenerSetForm,
        build,
        title="A fastener set",
        button="Write it down",
        chapter="strip_down",
        initial=dict(initial),
    )


def edit_fastener_set(request: HttpRequest, set_id: int) -> HttpResponse:
    record = _get(set_id)
    return record_form(
        request,
        FastenerSetForm,
        record.build,
        record=record,
        title=str(record),
        chapter="strip_down",
        caution=_caution(record),
    )


def strike_out_fastener_set(request: HttpRequest, set_id: int) -> HttpResponse:
    record = _get(set_id)
    then = reverse("strip_down", args=[record.build_id]) + "?show=fasteners"
    return strike_out(request, record, chapter="strip_down", then=then)
