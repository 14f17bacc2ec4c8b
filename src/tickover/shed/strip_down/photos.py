"""Photos: taken in, shown with their balloons, and pointed at what they show."""

from __future__ import annotations

from typing import BinaryIO, cast

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover.records import photo_files
from tickover.records.models import Balloon, Build, Photo
from tickover.records.taking_in import take_in
from tickover.shed.base.outbox import may_wait
from tickover.shed.base.pages import record_form, running_stint, writing
from tickover.shed.base.strike_out import strike_out
from tickover.shed.capture.photos import in_words
from tickover.shed.capture.uploads import dropped, too_large
from tickover.shed.strip_down import balloons
from tickover.shed.strip_down.balloons import BalloonForm
from tickover.shed.strip_down.forms import PhotoForm
from tickover.units import BadInput


def _get(photo_id: int) -> Photo:
    return get_object_or_404(Photo.objects.select_related("build", "stint"), pk=photo_id)


def new_photos(request: HttpRequest, build_id: int) -> HttpResponse:
    """Take photos in, several at once. Each good one is kept; each that is not has its own sentence."""
    build = get_object_or_404(Build, pk=build_id)
    shows = request.POST.get("shows", "").strip()
    target = request.POST.get("target") or request.GET.get("target", "")
    wrong: list[str] = []
    if request.method == "POST":
        files = [file for file in request.FILES.getlist("photos") if file]
        too_much = [too_large(name) for name in dropped(request)]
        if not files and not too_much:
            wrong.append("No picture was chosen; choose one or more, or take one with the camera.")
        if len(shows) > 200 or "\0" in shows:
            wrong.append("What it shows is longer than 200 letters; say it shorter.")
        if not wrong:
            taken, known, wrong = _take_in(request, build, files, shows)
            for photo in known:
                messages.info(request, f"The same picture is already here as “{photo}”; it was not kept twice.")
            wrong += too_much
            if taken:
                messages.success(request, f"{len(taken)} photo{'s' if len(taken) > 1 else ''} kept.")
            if not wrong:
                return _after(build, taken + known, target)
    context = {
        "build": build,
        "chapter": "strip_down",
        "wrong": wrong,
        "shows": shows,
        "target": target,
        "stint": running_stint(build),
    }
    return render(request, "strip_down/new_photos.html", context, status=422 if wrong else 200)


def _take_in(
    request: HttpRequest, build: Build, files: list[UploadedFile], shows: str
) -> tuple[list[Photo], list[Photo], list[str]]:
    """Photos newly kept, photos that were here already, and what is wrong with the rest."""
    taken: list[Photo] = []
    known: list[Photo] = []
    wrong: list[str] = []
    files_kept = []
    for file in files:
        try:
            files_kept.append(photo_files.keep(cast(BinaryIO, file), file.name or "photo"))
        except BadInput as problem:
            wrong.append(str(problem))
    with writing(request, f"{len(files_kept)} photos" if len(files_kept) != 1 else "A photo"):
        for kept in files_kept:
            photo = take_in(build, kept, shows=shows)
            if photo.labels:
                messages.info(request, in_words(photo))
            if photo.is_new:
                taken.append(photo.photo)
            elif photo.photo not in taken + known:
                known.append(photo.photo)
    return taken, known, wrong


def _after(build: Build, photos: list[Photo], target: str) -> HttpResponse:
    """To the photo, ready to point at what it was taken for; to the list when there are several."""
    if len(photos) == 1:
        return redirect(
            f"{photos[0].get_absolute_url()}{f'?target={target}#place' if balloons.target_of(build, target) else ''}"
        )
    return redirect(reverse("strip_down", args=[build.pk]) + "?show=photos")


def photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    record = _get(photo_id)
    return _show(request, record, balloons.empty_form(record.build, request.GET.get("target", "")))


def _show(request: HttpRequest, record: Photo, form: BalloonForm, anew: Balloon | None = None) -> HttpResponse:
    """The photo's page; with ``anew`` its form points that balloon at something else."""
    later, earlier = _neighbours(record)
    context = {
        "build": record.build,
        "chapter": "strip_down",
        "record": record,
        "form": form,
        "anew": anew,
        "balloons": record.balloons.select_related("part", "fasteners", "tag", "place"),
        "later": later,
        "earlier": earlier,
    }
    return render(request, "strip_down/photo.html", context, status=422 if form.is_bound else 200)


def _neighbours(record: Photo) -> tuple[int | None, int | None]:
    """The numbers of the photos taken next and before; those of unknown time stand behind all others."""
    photos = Photo.objects.filter(build_id=record.build_id)
    dated, undated = photos.filter(taken_at__isnull=False), photos.filter(taken_at=None)
    same = {"taken_at": record.taken_at}
    if record.taken_at is None:
        later = [undated.filter(pk__gt=record.pk).order_by("pk"), dated.order_by("taken_at", "pk")]
        earlier = [undated.filter(pk__lt=record.pk).order_by("-pk")]
    else:
        after, before = dated.filter(taken_at__gte=record.taken_at), dated.filter(taken_at__lte=record.taken_at)
        later = [after.exclude(pk__lte=record.pk, **same).order_by("taken_at", "pk")]
        earlier = [before.exclude(pk__gte=record.pk, **same).order_by("-taken_at", "-pk"), undated.order_by("-pk")]
    return _first_of(later), _first_of(earlier)


def _first_of(queries: list[QuerySet[Photo]]) -> int | None:
    """The number of the first record of the first query that has one."""
    return next((number for rows in queries for number in rows.values_list("pk", flat=True)[:1]), None)


@may_wait("balloon")
@require_POST
def add_balloon(request: HttpRequest, photo_id: int) -> HttpResponse:
    record = _get(photo_id)
    form = BalloonForm(request.POST, build=record.build)
    if not form.is_valid():
        return _show(request, record, form)
    balloons.keep(request, form, Balloon(build=record.build, photo=record))
    return redirect(f"{record.get_absolute_url()}#picture")


@may_wait("balloon")
def edit_balloon(request: HttpRequest, photo_id: int, number: int) -> HttpResponse:
    """A balloon pointed anew, or moved by another tap."""
    balloon = balloons.get_balloon(photo_id, number)
    record = _get(photo_id)
    if request.method != "POST":
        return _show(request, record, balloons.form_of(balloon), balloon)
    form = BalloonForm(request.POST, build=record.build)
    if not form.is_valid():
        return _show(request, record, form, balloon)
    balloons.keep(request, form, balloon)
    return redirect(f"{record.get_absolute_url()}#picture")


def edit_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    record = _get(photo_id)
    return record_form(request, PhotoForm, record.build, record=record, title=str(record), chapter="strip_down")


def strike_out_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    record = _get(photo_id)
    then = reverse("strip_down", args=[record.build_id]) + "?show=photos"
    return strike_out(request, record, chapter="strip_down", then=then)


def photo_file(request: HttpRequest, photo_id: int, size: int) -> HttpResponse | FileResponse:
    """A smaller copy, for the page."""
    record = get_object_or_404(Photo, pk=photo_id)
    if size not in photo_files.SIZES:
        raise Http404
    return _send(request, record, f"{record.sha256}.{size}", size)


def photo_original(request: HttpRequest, photo_id: int) -> HttpResponse | FileResponse:
    """The picture as the camera wrote it."""
    record = get_object_or_404(Photo, pk=photo_id)
    return _send(request, record, record.sha256, None)


def _send(request: HttpRequest, record: Photo, tag: str, size: int | None) -> HttpResponse | FileResponse:
    """The file; a browser that already has it is told so by its hash."""
    etag = f'"{tag}"'
    response: HttpResponse | FileResponse
    if request.headers.get("If-None-Match") == etag:
        response = HttpResponseNotModified()
    else:
        try:
            if size is None:
                path, kind = photo_files.path_of(record.sha256, record.kind), record.kind
            else:
                path, kind = photo_files.preview(record.sha256, record.kind, size), "jpeg"
            response = FileResponse(path.open("rb"), content_type=f"image/{kind}")
        except FileNotFoundError:
            raise Http404 from None
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return response
