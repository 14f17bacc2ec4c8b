"""Photo files: an original is kept whole under the hash of its content, smaller copies are made on demand.

An upload is checked by decoding it before it is named (``kept_files.py``), so a photo's record can say that its file
is safe. What is no picture leaves nothing behind.

A picture is decoded once, in ``picture.py``: that one look says that it is whole, and makes the smaller copies.
"""

from __future__ import annotations

import contextlib
import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from PIL import Image

from tickover.records import picture
from tickover.records.codes import Code
from tickover.records.codes import read as read_codes
from tickover.records.kept_files import beside, copy_in, settle, sweep
from tickover.units import BadInput

ENDINGS = {"jpeg": ".jpg", "png": ".png", "webp": ".webp", "heic": ".heic"}
SIZES = (480, 1600)
"""Longest sides of the smaller copies, in pixels: one for lists, one for a page."""


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """A picture whose file is safe. Width and height are as it is looked at, turned the right way up."""

    sha256: str
    kind: str
    width: int
    height: int
    taken_at: datetime | None
    is_new: bool
    codes: tuple[Code, ...] = ()
    """The QR codes that it shows."""


def path_of(sha256: str, kind: str) -> Path:
    """Where an original lies: two letters of its hash are its folder."""
    return Path(settings.PHOTOS) / sha256[:2] / (sha256 + ENDINGS[kind])


def keep(upload: BinaryIO, name: str) -> KeptPhoto:
    """Keep an uploaded picture; ``BadInput`` in one sentence, and nothing kept, when it cannot be used."""
    try:
        return _keep(upload, name)
    except OSError as problem:
        says = problem.strerror or str(problem)
        raise BadInput(f"“{name}” could not be kept: {says}; see to the disk and send it again.") from problem


def _keep(upload: BinaryIO, name: str) -> KeptPhoto:
    folder = Path(settings.PHOTOS)
    folder.mkdir(parents=True, exist_ok=True)
    sweep(folder)
    with beside(folder) as (file, part):
        sha256 = copy_in(
            upload, file, name, most=settings.PHOTO_MOST_BYTES, right=f"choose a picture in {picture.KINDS}"
        )
        head = picture.head_of(part, name)
        place = path_of(sha256, head.kind)
        with picture.decoded(part, head, name) as whole:
            codes = read_codes(whole)
            is_new = not place.exists()
            if is_new:
                settle(file, part, place)
                with contextlib.suppress(OSError):  # a copy that is missing is made when it is asked for
                    for size in SIZES:
                        _keep_copy(whole, size, place)
    return KeptPhoto(sha256, head.kind, head.width, head.height, head.taken_at, is_new, codes)


def preview(sha256: str, kind: str, size: int) -> Path:
    """The copy with ``size`` as its longest side: right way up, without the camera's data; made once.

    ``FileNotFoundError`` where the original is gone."""
    original = path_of(sha256, kind)
    made = _copy_of(original, size)
    if not made.exists():
        original.stat()
        with picture.decoded(original, picture.head_of(original, original.name), original.name, most=2 * size) as whole:
            _keep_copy(whole, size, original)
    return made


def _copy_of(original: Path, size: int) -> Path:
    return original.with_name(f"{original.stem}.{size}.jpg")


def _keep_copy(whole: Image.Image, size: int, original: Path) -> None:
    small = whole.copy()
    small.thumbnail((size, size), Image.Resampling.LANCZOS)
    with beside(original.parent) as (file, part):
        small.save(file, "JPEG", quality=82, progressive=True, icc_profile=whole.info.get("icc_profile"))
        file.close()
        os.replace(part, _copy_of(original, size))
