"""Refitting joint by joint: the torque very large, in the unit on the wrench, and one press for the next state."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover import units
from tickover.records import loose_counts
from tickover.records.models import Build, FastenerSet, Part
from tickover.records.models.words import Joint, Now, System
from tickover.shed.base.cautions import caution_for
from tickover.shed.base.pages import back
from tickover.units import BadInput

THEN = {Joint.APART: Joint.FINGER_TIGHT, Joint.FINGER_TIGHT: Joint.TORQUED, Joint.TORQUED: Joint.WITNESS_MARKED}
"""What one press makes of a joint."""


def tighten(request: HttpRequest, set_id: int) -> HttpResponse:
    """One joint, to be read from a metre away."""
    record = get_object_or_404(FastenerSet.objects.select_related("build", "holds", "place"), pk=set_id)
    system = _wrench(request, record.build)
    other = System.INCH_POUND if system == System.METRIC else System.METRIC
    following = _following(record)
    then = THEN.get(Joint(record.joint))
    own = record.get_absolute_url() if then is None else reverse("tighten", args=[record.pk])
    onward = _address(following, record)
    context = {
        "build": record.build,
        "chapter": "strip_down",
        "record": record,
        "part": record.holds,
        "figure": None if record.torque is None else _split(record.torque, system),
        "other": other,
        "other_unit": _split(1.0, other)[1],
        "then": then,
        "next": onward if then == Joint.WITNESS_MARKED else own,
        "following": following,
        "onward": onward,
        "uneven": loose_counts.of(record.holds.loose_counts.all()) if record.holds else [],
        "to_count": _to_count(record.holds),
        "siblings": _siblings(record),
        "caution": caution_for(record.holds.chapter) if record.holds else "",
    }
    return render(request, "refitting/tighten.html", context)


def tighten_part(request: HttpRequest, part_id: int) -> HttpResponse:
    """To the first joint of a part that is not finished; to the part where none is left."""
    part = get_object_or_404(Part.objects.select_related("build"), pk=part_id)
    first = next((joint for joint in part.fasteners.order_by("pk") if joint.joint in THEN), None)
    if first is None:
        messages.info(request, f"No joint of the {part} is left to tighten.")
        return redirect(part)
    return redirect("tighten", first.pk)


@require_POST
def wrench(request: HttpRequest, build_id: int) -> HttpResponse:
    """Which unit the wrench in hand shows; kept for this device until it is pressed again."""
    build = get_object_or_404(Build, pk=build_id)
    chosen = request.POST.get("wrench", "")
    if chosen not in System.values:
        raise BadInput(f"“{chosen}” is no unit of a wrench; it is one of {', '.join(System.values)}.")
    request.session["wrench"] = chosen
    return back(request, reverse("refitting", args=[build.pk]))


def _wrench(request: HttpRequest, build: Build) -> str:
    chosen = str(request.session.get("wrench", build.system))
    return chosen if chosen in System.values else build.system


def _split(value: float, system: str) -> tuple[str, str]:
    """Figure and unit of a torque; no wrench is set to more than three figures."""
    return units.split(value, "torque", system="metric" if system == System.METRIC else "inch-pound", digits=3)


def _siblings(record: FastenerSet) -> list[FastenerSet]:
    """All joints of the same part, in the order in which they are gone through."""
    return list(FastenerSet.objects.filter(holds=record.holds_id).order_by("pk")) if record.holds_id else [record]


def _following(record: FastenerSet) -> FastenerSet | None:
    """The next joint of the same part that is not finished; then one that is loose on another part that is on."""
    own = [joint for joint in _siblings(record) if joint.joint in THEN and joint != record]
    if own:
        return next((joint for joint in own if joint.pk > record.pk), own[0])
    loose = FastenerSet.objects.filter(
        build=record.build_id,
        joint__in=(Joint.APART, Joint.FINGER_TIGHT),
        holds__now__in=(Now.ON_THE_BIKE, Now.FITTED),
    ).exclude(pk=record.pk)
    return loose.filter(pk__gt=record.pk).order_by("pk").first() or loose.order_by("pk").first()


def _address(following: FastenerSet | None, record: FastenerSet) -> str:
    if following is None:
        return reverse("refitting", args=[record.build_id])
    return reverse("tighten", args=[following.pk])


def _to_count(part: Part | None) -> list[object]:
    """Loose things of the part that have to be counted in."""
    return list(part.loose_counts.filter(counted_in=None)) if part else []
