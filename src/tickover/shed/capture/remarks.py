"""Remarks on any record, typed or spoken: written down, shown, played back, put right, struck out."""

from __future__ import annotations

from typing import BinaryIO, cast

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from tickover.records import sounds
from tickover.records.by_kind import record_of
from tickover.records.models import Build, Record, Remark
from tickover.shed.base.pages import record_form, running_stint, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.capture.forms import RemarkForm, RemarkTextForm
from tickover.shed.capture.ranges import file_in_ranges
from tickover.shed.capture.uploads import dropped
from tickover.units import BadInput


@require_POST
def new_remark(request: HttpRequest, build_id: int) -> HttpResponse:
    """Fields: ``text`` and ``sound``, one of them at least; ``on_kind`` and ``on_record``."""
    build = get_object_or_404(Build, pk=build_id)
    on = record_of(build, request.POST.get("on_kind", ""), request.POST.get("on_record", ""))
    form = RemarkForm(request.POST, request.FILES)
    if dropped(request):
        form.add_error("sound", f"The sound is larger than {sounds.MOST_BYTES // 2**20} MB; make two of it.")
    elif form.is_valid():
        remark = Remark(build=build, on_kind=on._meta.model_name, on_record=on.pk, text=form.cleaned_data["text"])
        upload = form.cleaned_data["sound"]
        try:
            if upload is not None:
                kept = sounds.keep(cast(BinaryIO, upload), upload.name or "sound")
                remark.sound, remark.sound_kind = kept.sha256, kept.kind
        except BadInput as problem:
            form.add_error("sound", str(problem))
        else:
            remark.stint = running_stint(build)
            with writing(request, f"A remark on {on}"[:300]):
                remark.save()
            return redirect(f"{on.get_absolute_url()}#remarks")
    context = {"build": build, "chapter": "", "on": on, "form": form}
    return render(request, "capture/new_remark.html", context, status=422)


def _get(remark_id: int) -> Remark:
    return get_object_or_404(Remark.objects.select_related("build", "stint"), pk=remark_id)


def _about(remark: Remark) -> Record | None:
    """What a remark is about; ``None`` where that was struck out."""
    try:
        return record_of(remark.build, remark.on_kind, remark.on_record)
    except BadInput:
        return None


def remark(request: HttpRequest, remark_id: int) -> HttpResponse:
    record = _get(remark_id)
    return render(request, "capture/remark.html", {"build": record.build, "record": record, "on": _about(record)})


def edit_remark(request: HttpRequest, remark_id: int) -> HttpResponse:
    record = _get(remark_id)
    return record_form(request, RemarkTextForm, record.build, record=record, title="A remark")


def strike_out_remark(request: HttpRequest, remark_id: int) -> HttpResponse:
    record = _get(remark_id)
    on = _about(record)
    then = (on or record.build).get_absolute_url()
    return strike_out(request, record, chapter="", then=f"{then}#remarks" if on else then)


def remark_sound(request: HttpRequest, remark_id: int) -> HttpResponse | FileResponse:
    """The sound as it was recorded; a browser that plays it may ask for a piece of it."""
    record = get_object_or_404(Remark, pk=remark_id)
    if not record.sound:
        raise Http404
    path = sounds.path_of(record.sound, record.sound_kind)
    return file_in_ranges(request, path, f"audio/{record.sound_kind}", record.sound)
