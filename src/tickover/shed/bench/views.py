"""The bench: where a build stopped, what is next, what stands in the way. Stints, search, and the guided start."""

from __future__ import annotations

from urllib.parse import quote

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from tickover.records import history
from tickover.records.as_plan import plan_of
from tickover.records.find import MOST
from tickover.records.find import find as find_records
from tickover.records.models import (
    Build,
    Change,
    ChangeLine,
    FastenerSet,
    FaultSearch,
    Limit,
    MilestoneReached,
    Part,
    Photo,
    Reading,
    Record,
    Stint,
    Store,
    WireTag,
)
from tickover.records.models.words import Milestone
from tickover.records.remembered import as_long_as_nothing_changes
from tickover.records.where_it_stands import some, standing
from tickover.shed.base.pages import back, record_form, running_stint, who, writing
from tickover.shed.base.templatetags.workshop import quantity
from tickover.shed.bench.forms import BuildForm, EndStintForm, NewBuildForm, StartStintForm, StintForm
from tickover.units import BadInput

A_PAGE = 40
PHOTOS = 24
"""Photos of a stint on one page."""


def home(request: HttpRequest) -> HttpResponse:
    """The one build's bench; the list of builds where there are several; the guided start where there is none."""
    builds = list(Build.objects.all()[:200])
    if not builds:
        return redirect("new_build")
    if len(builds) == 1:
        return redirect(builds[0])
    return render(request, "bench/builds.html", {"builds": builds})


def bench(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    now = as_long_as_nothing_changes((build.pk, "standing"), lambda: standing(build))
    plan = plan_of(build)
    first = plan.next or next(iter(plan.needed), None)
    behind = [planned for planned in plan.needed if planned is not first][:2]
    context = {
        "build": build,
        "chapter": "bench",
        "now": now,
        "plan": plan,
        "next_three": [first, *behind] if first else [],
        "reached": {row.milestone: row for row in MilestoneReached.objects.filter(build=build)},
        "search": FaultSearch.objects.filter(build=build, mended_at=None).order_by("-started").first(),
        "milestones": Milestone.values,
        "first_steps": now.is_empty and not Part.objects.filter(build=build).exists(),
        "latest_photos": Photo.objects.filter(build=build)[:4],
    }
    return render(request, "bench/bench.html", context)


def find(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    typed = request.GET.get("q", "").strip()[:200]
    found = find_records(build, typed)
    context = {
        "build": build,
        "q": typed,
        "found": [(row, _beside(row.record, build)) for row in found],
        "more": len(found) >= MOST,
    }
    return render(request, "bench/find.html", context)


def _beside(record: Record, build: Build) -> str:
    """What is said of a record beside its name, each after a comma."""
    says: list[object] = []
    if isinstance(record, FastenerSet):
        says.append(f"{record.count} × {record.thread or 'size unknown'}")
        if record.length is not None:
            says.append(f"{quantity(record.length, 'length', build)} long")
        says += [quantity(record.torque, "torque", build), record.joint, record.holds and f"holds {record.holds}"]
    elif isinstance(record, Part):
        says.append(record.now)
    elif isinstance(record, WireTag):
        says.append(record.function)
    elif isinstance(record, (Limit, Reading)):
        says.append(record.part)
    return "".join(f", {text}" for text in says if text)


def changes(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    before = request.GET.get("before", "")
    rows = Change.objects.filter(build=build)
    kind, number = request.GET.get("kind", ""), request.GET.get("record", "")
    if number.isdecimal() and len(number) < 19:
        rows = rows.filter(pk__in=ChangeLine.objects.filter(kind=kind, record=number).values("change"))
    if before.isdecimal() and len(before) < 19:
        rows = rows.filter(pk__lt=before)
    shown = list(rows[: A_PAGE + 1])
    context = {
        "build": build,
        "chapter": "bench",
        "changes": shown[:A_PAGE],
        "older": shown[A_PAGE - 1].pk if len(shown) > A_PAGE else None,
        "newest": not before,
        "of": f"kind={quote(kind)}&record={number}&" if number else "",
    }
    return render(request, "bench/changes.html", context)


@require_POST
def take_back(request: HttpRequest, change_id: int) -> HttpResponse:
    change = get_object_or_404(Change, pk=change_id)
    taken_back = history.take_back(change, who(request))
    messages.success(request, f"Taken back: {change.says}")
    if taken_back is None:
        return redirect("home")
    return back(request, change.build.get_absolute_url())


def edit_build(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    return record_form(request, BuildForm, build, record=build, title="The bike", chapter="bench")


@require_POST
def choose_milestone(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    chosen = request.POST.get("milestone", "")
    if chosen not in Milestone.values:
        raise BadInput(f"“{chosen}” is no milestone; choose {', '.join(Milestone.values)}.")
    build.milestone = chosen
    with writing(request, f"Working towards {chosen}"):
        build.save()
    return redirect(build)


def stints(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    page = Paginator(Stint.objects.filter(build=build), 30).get_page(request.GET.get("page"))
    return render(request, "bench/stints.html", {"build": build, "chapter": "bench", "page": page})


def stint(request: HttpRequest, stint_id: int) -> HttpResponse:
    record = get_object_or_404(Stint.objects.select_related("build"), pk=stint_id)
    context = {
        "build": record.build, "chapter": "bench", "record": record,
        "photos": Paginator(record.photos.all(), PHOTOS).get_page(request.GET.get("page")),
        "readings": some(record.readings.all()),
    }  # fmt: skip
    return render(request, "bench/stint.html", context)


def edit_stint(request: HttpRequest, stint_id: int) -> HttpResponse:
    record = get_object_or_404(Stint.objects.select_related("build"), pk=stint_id)
    return record_form(request, StintForm, record.build, record=record, title="Stint", chapter="bench")


def start_stint(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    running = running_stint(build)
    if running is not None:
        messages.info(request, "A stint is running already; end it before the next one starts.")
        return redirect("end_stint", running.pk)
    if request.method == "POST":
        request.session["who"] = request.POST.get("who", "").strip()[:80]
    return record_form(
        request, StartStintForm, build, title="Start a stint", button="Start", chapter="bench",
        initial={"who": who(request)}, done="The stint has started. Photos and readings go with it.",
    )  # fmt: skip


def end_stint(request: HttpRequest, stint_id: int) -> HttpResponse:
    record = get_object_or_404(Stint.objects.select_related("build"), pk=stint_id)
    if record.ended is not None:
        messages.info(request, "This stint has ended already; its handover can be changed here.")
        return redirect("edit_stint", record.pk)
    form = EndStintForm(request.POST or None, instance=record, build=record.build)
    if request.method == "POST" and form.is_valid():
        form.instance.ended = timezone.now()
        with writing(request, "Stint ended"):
            form.save()
        messages.success(request, "The handover is kept. It stands first on the bench.")
        return redirect(record.build)
    context = {
        "build": record.build,
        "chapter": "bench",
        "form": form,
        "record": record,
        "now": standing(record.build),
    }
    return render(request, "bench/end_stint.html", context, status=422 if form.is_bound else 200)


PLACES = "Shelf by the window\nBox 1\nBox 2\nTray for bolts"


def new_build(request: HttpRequest) -> HttpResponse:
    """The guided start: the bike, then where things are kept and what is there."""
    form = NewBuildForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        request.session["who"] = form.cleaned_data["who"]
        with history.writing(form.cleaned_data["who"], f"A new build: {form.cleaned_data['name']}"):
            build = form.save()
        return redirect("first_things", build.pk)
    return render(request, "bench/new_build.html", {"form": form}, status=422 if form.is_bound else 200)


def first_things(request: HttpRequest, build_id: int) -> HttpResponse:
    """Second page of the guided start: places and parts, one a line; both may stay empty."""
    build = get_object_or_404(Build, pk=build_id)
    typed = {"places": request.POST.get("places", PLACES), "parts": request.POST.get("parts", "")}
    wrong = ""
    if request.method == "POST":
        try:
            _write_first_things(request, build, typed["places"], typed["parts"])
        except BadInput as problem:
            wrong = str(problem)
        else:
            return redirect("start_stint", build.pk)
    return render(
        request,
        "bench/first_things.html",
        {"build": build, "typed": typed, "wrong": wrong},
        status=422 if wrong else 200,
    )


def _write_first_things(request: HttpRequest, build: Build, places: str, parts: str) -> None:
    """Lines of places; lines of parts, each “name” or “name, place”. All of it is kept or nothing is."""
    with writing(request, "First places and parts"):
        stores = {store.name.lower(): store for store in Store.objects.filter(build=build)}
        for line in filter(None, map(str.strip, places.splitlines())):
            if len(line) > 120:
                raise BadInput(f"The place “{line[:30]}…” has {len(line)} letters; at most 120 fit.")
            if line.lower() not in stores:
                stores[line.lower()] = Store.objects.create(build=build, name=line)
        for number, line in enumerate(filter(None, map(str.strip, parts.splitlines())), 1):
            name, _, place = (piece.strip() for piece in line.rpartition(",")) if "," in line else (line, "", "")
            if place and place.lower() not in stores:
                raise BadInput(
                    f"Line {number} of the parts says “{place}”, which is none of the places above; "
                    "add it there or leave it out here."
                )
            if not name or len(name) > 120:
                raise BadInput(f"Line {number} of the parts needs a name of 1 to 120 letters.")
            Part.objects.create(build=build, name=name, place=stores.get(place.lower()))
