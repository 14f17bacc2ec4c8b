"""Balloons: put where the picture was tapped, pointed at what was typed or tapped, pointed anew, struck out."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from tickover.records.find import find
from tickover.records.models import Balloon, Build, FastenerSet, Part, Photo, Record, Store, WireTag
from tickover.records.models.words import Chapter, Now
from tickover.records.taking_in import POINTED_AT
from tickover.records.where_it_stands import Some, some
from tickover.shed.base.choosing import label, resolve
from tickover.shed.base.forms import in_plain_words
from tickover.shed.base.pages import writing
from tickover.shed.base.strike_out import strike_out
from tickover.units import BadInput

OFFERED = 8
FIELDS: dict[str, type[Record]] = {field: model for model, field in POINTED_AT.items()}
"""“part:31” is a target: the balloon's field, and the record's number."""


def target_of(build: Build, text: str) -> Record | None:
    """The record that “part:31” means; ``None`` where there is none in the build."""
    field, _, number = text.partition(":")
    if field not in FIELDS or not number.isdecimal() or len(number) > 18:
        return None
    return FIELDS[field]._base_manager.filter(pk=number, build=build).first()


class BalloonForm(forms.Form):
    """Where a balloon stands on the picture, in per cent from its top left, and what it points at.

    Beside its fields it reads the button that was pressed: ``target`` (“part:31”), or ``new_part`` for a part of the
    name typed.
    """

    points_at = forms.CharField(label="points at", required=False, max_length=300)
    remark = forms.CharField(label="or a remark", max_length=200, required=False)
    x = forms.FloatField(
        label="from the left, in per cent",
        min_value=0,
        max_value=100,
        error_messages={"required": "Tap the picture, or give how far from the left, 0 to 100."},
    )
    y = forms.FloatField(
        label="from the top, in per cent",
        min_value=0,
        max_value=100,
        error_messages={"required": "Tap the picture, or give how far from the top, 0 to 100."},
    )

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build = build
        self.record: Record | None = None
        in_plain_words(self.fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "points_at" not in self.errors and "remark" not in self.errors:
            try:
                self.record = self._pointed_at(cleaned.get("points_at", ""))
            except BadInput as problem:
                self.add_error("points_at", str(problem))
            else:
                if self.record is None and not cleaned.get("remark") and not self.errors:
                    self.add_error("points_at", "Choose what the balloon points at, or write a remark.")
        return cleaned

    def _pointed_at(self, typed: str) -> Record | None:
        if target := self.data.get("target", ""):
            record = target_of(self.build, target)
            if record is None:
                raise BadInput(f"“{target[:40]}” is not in the list; choose one that is.")
            return record
        if not typed:
            return None
        if self.data.get("new_part"):
            if len(typed) > 120:
                raise BadInput("A part's name has at most 120 letters; name it shorter.")
            last = self.build.parts.order_by("-pk").first()
            return Part(
                build=self.build,
                name=typed,
                chapter=last.chapter if last else Chapter.ENGINE,
                now=Now.ON_THE_BIKE,
            )
        return resolve([model._base_manager.filter(build=self.build) for model in FIELDS.values()], typed)

    def in_words(self) -> str:
        """What the balloon points at, in words."""
        return str(self.record) if self.record else self.cleaned_data["remark"]

    def save(self, balloon: Balloon) -> None:
        """Point the balloon there, and write the part down if it is a new one; inside the change that does it."""
        if self.record is not None and self.record.pk is None:
            self.record.save()
        balloon.x, balloon.y = self.cleaned_data["x"] / 100, self.cleaned_data["y"] / 100
        balloon.remark = self.cleaned_data["remark"]
        for field, model in FIELDS.items():
            setattr(balloon, field, self.record if isinstance(self.record, model) else None)
        balloon.save()


def empty_form(build: Build, target: str) -> BalloonForm:
    """The form for a balloon to come, ready to point at ``target`` where that is one."""
    record = target_of(build, target)
    return BalloonForm(build=build, initial={"points_at": label(record) if record else ""})


def form_of(balloon: Balloon) -> BalloonForm:
    return BalloonForm(
        build=balloon.build,
        initial={
            "points_at": label(balloon.target) if balloon.target else "",
            "remark": balloon.remark,
            "x": round(100 * balloon.x, 1),
            "y": round(100 * balloon.y, 1),
        },
    )


def newest_balloons(record: Part | FastenerSet | WireTag | Store) -> Some:
    """The balloons that point at a record, those on the newest photos first."""
    return some(record.balloons.select_related("photo").order_by("-photo", "number"))


def new_number(photo: Photo) -> int:
    """The number after the last one; ask for it inside the change that uses it."""
    last = photo.balloons.order_by("-number").first()
    return last.number + 1 if last else 1


def offered(request: HttpRequest, photo_id: int) -> HttpResponse:
    """What may be meant by the letters typed so far, each a button; and a new part of that name."""
    photo = get_object_or_404(Photo.objects.select_related("build"), pk=photo_id)
    typed = request.GET.get("points_at", "").strip()[:120]
    found = find(photo.build, typed, among=list(FIELDS.values()), most=OFFERED) if typed else []
    rows = [(f"{POINTED_AT[type(row.record)]}:{row.record.pk}", row) for row in found]
    return render(request, "strip_down/offered.html", {"typed": typed, "rows": rows})


def get_balloon(photo_id: int, number: int) -> Balloon:
    return get_object_or_404(
        Balloon.objects.select_related("build", "photo", "part", "fasteners", "tag", "place"),
        photo=photo_id,
        number=number,
    )


def strike_out_balloon(request: HttpRequest, photo_id: int, number: int) -> HttpResponse:
    balloon = get_balloon(photo_id, number)
    return strike_out(request, balloon, chapter="strip_down", then=balloon.get_absolute_url())


def keep(request: HttpRequest, form: BalloonForm, balloon: Balloon) -> None:
    """Write a balloon, new or pointed anew, as one change."""
    what = f"Balloon {balloon.number}" if balloon.pk else "A balloon"
    with writing(request, f"{what} on {balloon.photo} points at {form.in_words()}"[:300]):
        balloon.number = balloon.number or new_number(balloon.photo)
        form.save(balloon)
