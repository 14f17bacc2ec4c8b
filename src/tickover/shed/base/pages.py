"""What the page areas share: who is writing, and the one way a form is shown, checked and saved."""

from __future__ import annotations

from contextlib import AbstractContextManager

from django.contrib import messages
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme

from tickover.records import history
from tickover.records.models import Build, Record, Stint
from tickover.shed.base.forms import RecordForm


def running_stint(build: Build) -> Stint | None:
    return Stint.objects.filter(build=build, ended=None).order_by("-started").first()


def who(request: HttpRequest) -> str:
    """The name given when the stint was started on this device."""
    return str(request.session.get("who", ""))


def writing(request: HttpRequest, says: str = "") -> AbstractContextManager[None]:
    """All that is saved inside is one change, in the name of whoever is at this device, of when it was made there."""
    return history.writing(who(request), says, when=getattr(request, "made_at", None))


def back(request: HttpRequest, otherwise: str) -> HttpResponse:
    """To the page named by ``next`` when it is one of ours, else to ``otherwise``."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    if wanted and url_has_allowed_host_and_scheme(wanted, allowed_hosts=None):
        return redirect(wanted)
    return redirect(otherwise)


def record_form(
    request: HttpRequest,
    form_class: type[RecordForm],
    build: Build,
    *,
    record: Record | None = None,
    title: str,
    button: str = "Keep",
    template: str = "base/record_form.html",
    chapter: str = "",
    initial: dict[str, object] | None = None,
    caution: str = "",
    done: str = "",
) -> HttpResponse:
    """Show a record's form; on POST check it whole, then save it as one change and go to the record's page."""
    form = form_class(request.POST or None, request.FILES or None, instance=record, build=build, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            with writing(request):
                saved = form.save()
        except IntegrityError:
            form.add_error(None, "Something else was saved here in the meantime; look at the record and try again.")
        else:
            if done:
                messages.success(request, done)
            return back(request, saved.get_absolute_url())
    context = {
        "build": build,
        "form": form,
        "record": record,
        "title": title,
        "button": button,
        "chapter": chapter,
        "caution": caution,
        "next": request.POST.get("next") or request.GET.get("next") or "",
    }
    return render(request, template, context, status=422 if form.is_bound else 200)
