"""Chapter 2, the strip-down: what came off, in order; fastener sets, wire tags and photos beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Exists, F, Max, OuterRef, QuerySet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from tickover.records.access import guess_cover
from tickover.records.models import Balloon, Build, FastenerSet, Part, Photo, Record, WireTag
from tickover.records.models.parts import came_off_late
from tickover.records.models.words import Chapter, Condition, Joint, Now, ToDo
from tickover.records.remembered import as_long_as_nothing_changes
from tickover.shed.base.pages import writing
from tickover.shed.strip_down import tag_lists
from tickover.shed.strip_down.balloons import target_of
from tickover.shed.strip_down.forms import CameOffForm

A_PAGE = 24
NEWEST = (F("taken_at").desc(nulls_last=True), "-pk")

Choices = list[tuple[str, str]]


@dataclass(frozen=True)
class Filter:
    """One question the list can be asked, and its answers."""

    name: str
    says: str
    choices: Choices
    narrow: Callable[[QuerySet, str], QuerySet]  # type: ignore[type-arg]


@dataclass(frozen=True)
class Shown:
    """One of the strip-down's four lists."""

    says: str
    template: str
    rows: Callable[[Build], QuerySet]  # type: ignore[type-arg]
    filters: tuple[Filter, ...]


def _field(name: str, says: str, choices: Choices, lookup: str = "") -> Filter:
    return Filter(name, says, choices, lambda rows, value: rows.filter(**{lookup or name: value}))


def in_order_of_removal(parts: QuerySet[Part]) -> QuerySet[Part]:
    return parts.order_by(came_off_late(), "pk")


_CHAPTER = _field("chapter", "chapter", list(Chapter.choices))
LISTS = {
    "parts": Shown(
        "Parts",
        "strip_down/parts.html",
        lambda build: in_order_of_removal(build.parts.select_related("place")),
        (
            _CHAPTER,
            _field("now", "now", list(Now.choices)),
            _field("condition", "as found", list(Condition.choices)),
            _field("to_do", "to do", list(ToDo.choices)),
            Filter(
                "order",
                "order",
                [("last", "last off first")],
                lambda rows, value: rows.order_by(F("came_off_order").desc(nulls_last=True), "-pk"),
            ),
        ),
    ),
    "fasteners": Shown(
        "Fastener sets",
        "strip_down/fasteners.html",
        lambda build: build.fastenersets.select_related("holds", "place"),
        (
            _field("joint", "joint", list(Joint.choices)),
            _field("chapter", "chapter", list(Chapter.choices), "holds__chapter"),
        ),
    ),
    "tags": Shown(
        "Wire tags",
        "strip_down/tags.html",
        tag_lists.tags_of,
        (
            Filter(
                "tags",
                "ends",
                list(tag_lists.GAPS.items()),
                tag_lists.narrowed,
            ),
            _field("condition", "as found", list(Condition.choices)),
        ),
    ),
    "photos": Shown(
        "Photos",
        "strip_down/photos.html",
        lambda build: build.photos.order_by(*NEWEST),
        (
            Filter(
                "balloons",
                "balloons",
                [("none", "without a balloon")],
                lambda rows, value: rows.filter(~Exists(Balloon.objects.filter(photo=OuterRef("pk")))),
            ),
        ),
    ),
}


def strip_down(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    form = CameOffForm(request.POST or None, build=build)
    if request.method == "POST" and form.is_valid():
        return _came_off(request, build, form)
    name = request.GET.get("show", "parts")
    shown = LISTS.get(name, LISTS["parts"])
    rows = shown.rows(build)
    chosen = QueryDict(mutable=True)
    filters = []
    for asked in shown.filters:
        value = request.GET.get(asked.name, "")
        if value in dict(asked.choices):
            rows = asked.narrow(rows, value)
            chosen[asked.name] = value
        filters.append((asked, value))
    narrowed = bool(chosen)
    of = target_of(build, request.GET.get("of", "")) if name == "photos" else None
    if of is not None:
        chosen["of"] = request.GET["of"]
        rows = rows.filter(pk__in=of.balloons.values("photo"))
    chosen["show"] = name if name in LISTS else "parts"
    page_of = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    last_off = build.parts.exclude(came_off_order=None).order_by("-came_off_order").first()
    counts = as_long_as_nothing_changes((build.pk, "strip-down"), lambda: _counts(build))
    context = {
        "build": build,
        "chapter": "strip_down",
        "form": form,
        "last_off": last_off,
        "question": last_off and last_off.covered_by.filter(guessed=True).select_related("cover", "covered").first(),
        "shown": shown,
        "show": chosen["show"],
        "filters": filters,
        "narrowed": narrowed,
        "of": of,
        "page_of": page_of,
        "query": chosen.urlencode() + "&",
        "counts": [(name, listed.says, counts[name]) for name, listed in LISTS.items()],
    }
    if chosen["show"] == "tags":
        gap = chosen.get("tags", "")
        context["gap"] = gap
        context["gaps"] = as_long_as_nothing_changes((build.pk, "tag gaps"), lambda: tag_lists.counts(build))
        if gap:
            page_of.object_list = tag_lists.with_mends(build, list(page_of.object_list), gap)
    return render(request, "strip_down/strip_down.html", context, status=422 if form.is_bound else 200)


def _counts(build: Build) -> dict[str, int]:
    kinds: dict[str, type[Record]] = {"parts": Part, "fasteners": FastenerSet, "tags": WireTag, "photos": Photo}
    return {name: model._default_manager.filter(build=build).count() for name, model in kinds.items()}


def next_number(build: Build) -> int:
    """The number of the next part to come off."""
    highest: int | None = build.parts.aggregate(highest=Max("came_off_order"))["highest"]
    return (highest or 0) + 1


def _came_off(request: HttpRequest, build: Build, form: CameOffForm) -> HttpResponse:
    """Write down a part that has just come off: it has the next number and lies where it was put."""
    last = build.parts.order_by("-pk").first()
    with writing(request, f"Came off: {form.cleaned_data['name']}"):
        part = Part(
            build=build,
            name=form.cleaned_data["name"],
            place=form.cleaned_data["place"],
            chapter=last.chapter if last else Chapter.ENGINE,
            now=Now.IN_STORES,
            came_off=timezone.localdate(),
            came_off_order=next_number(build),
        )
        part.save()
        guess_cover(part)
    messages.success(request, f"Came off as number {part.came_off_order}: {part}.")
    return redirect("strip_down", build.pk)
