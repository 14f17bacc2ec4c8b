"""A kept picture becomes a photo on record: under its stint, once, pointing at what its labels name."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from tickover.records.codes import record_named
from tickover.records.models import Balloon, Build, FastenerSet, Part, Photo, Record, Store, WireTag
from tickover.records.photo_files import KeptPhoto
from tickover.records.stint_at import stint_at

POINTED_AT: dict[type[Record], str] = {Part: "part", FastenerSet: "fasteners", WireTag: "tag", Store: "place"}
"""What a balloon can point at, and the field that says so."""


@dataclass(frozen=True, slots=True)
class Taken:
    """The photo on record, whether it is new, and the records whose labels were read in it."""

    photo: Photo
    is_new: bool
    labels: tuple[Record, ...]


def take_in(
    build: Build, kept: KeptPhoto, *, shows: str = "", of: Record | None = None, when: datetime | None = None
) -> Taken:
    """Write the photo down, inside the change that the caller has opened. The same picture is not kept twice.

    It is filed under the stint that ran ``when`` it was given to the phone (now, unless it waited there).
    """
    photo = Photo.objects.filter(build=build, sha256=kept.sha256).first()
    is_new = photo is None
    if photo is None:
        stint = stint_at(build, when or timezone.now())
        photo = Photo(
            build=build,
            sha256=kept.sha256,
            kind=kept.kind,
            width=kept.width,
            height=kept.height,
            taken_at=kept.taken_at,
            stint=stint,
            shows=shows,
        )
        photo.save()
    labels = []
    for code in kept.codes:
        record = record_named(build, code.says)
        if record is not None:
            labels.append(record)
            point_at(photo, record, code.x, code.y)
    if of is not None:
        point_at(photo, of)
    return Taken(photo, is_new, tuple(labels))


def point_at(photo: Photo, record: Record, x: float = 0.5, y: float = 0.5) -> Balloon | None:
    """A balloon on the photo that points at ``record``; ``None`` where one does already, or none can."""
    field = POINTED_AT.get(type(record))
    if field is None or photo.balloons.filter(**{field: record}).exists():
        return None
    last = photo.balloons.order_by("-number").first()
    balloon = Balloon(
        build=photo.build, photo=photo, number=last.number + 1 if last else 1, x=x, y=y, **{field: record}
    )
    balloon.save()
    return balloon
