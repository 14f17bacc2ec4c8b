"""Photo files: an original is kept whole under the hash of its content, smaller copies are made on demand.

An upload is written beside its place, checked by decoding it, flushed to the disk, and only then named, so a
photo's record can say that its file is safe. What is no picture leaves nothing behind.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import struct
import tempfile
import time
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.utils import timezone as workshop_time
from PIL import Image, ImageOps

from tickover.units import BadInput

ENDINGS = {"jpeg": ".jpg", "png": ".png", "webp": ".webp"}
FORMATS = {"JPEG": "jpeg", "MPO": "jpeg", "PNG": "png", "WEBP": "webp"}
SIZES = (480, 1600)
"""Longest sides of the smaller copies, in pixels: one for lists, one for a page."""

MOST_PIXELS = 110_000_000
"""More than the largest picture a phone takes (108 million); a laptop's memory still holds it."""

_EXIF_DETAILS, _ORIENTATION = 0x8769, 0x0112
_TAKEN, _TAKEN_OFFSET = 0x9003, 0x9011


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """A picture whose file is safe. Width and height are as it is looked at, turned the right way up."""

    sha256: str
    kind: str
    width: int
    height: int
    taken_at: datetime | None
    is_new: bool


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
    _sweep(folder)
    with _beside(folder) as (file, part):
        sha256 = _copy(upload, file, name)
        kind, width, height, taken_at = _look(part, name)
        place = path_of(sha256, kind)
        is_new = not place.exists()
        if is_new:
            os.fsync(file.fileno())
            file.close()
            place.parent.mkdir(exist_ok=True)
            os.replace(part, place)
            _flush_folder(place.parent)
            _flush_folder(folder)
    return KeptPhoto(sha256, kind, width, height, taken_at, is_new)


def preview(sha256: str, kind: str, size: int) -> Path:
    """The copy with ``size`` as its longest side: right way up, without the camera's data; made once."""
    original = path_of(sha256, kind)
    made = original.with_name(f"{sha256}.{size}.jpg")
    if not made.exists():
        with Image.open(original) as image, _beside(original.parent) as (file, part):
            image.draft("RGB", (2 * size, 2 * size))
            profile = image.info.get("icc_profile") if image.mode in ("RGB", "RGBA") else None
            small = ImageOps.exif_transpose(image)
            small.thumbnail((size, size), Image.Resampling.LANCZOS)
            _for_the_page(small).save(file, "JPEG", quality=82, progressive=True, icc_profile=profile)
            file.close()
            os.replace(part, made)
    return made


@contextlib.contextmanager
def _beside(folder: Path) -> Iterator[tuple[BinaryIO, Path]]:
    """A new file in ``folder`` that is gone afterwards unless it was given another name."""
    number, named = tempfile.mkstemp(prefix="unfinished-", dir=folder)
    part = Path(named)
    try:
        with os.fdopen(number, "wb") as file:
            yield file, part
    finally:
        part.unlink(missing_ok=True)


def _copy(upload: BinaryIO, file: BinaryIO, name: str) -> str:
    most = settings.PHOTO_MOST_BYTES
    seen, size = hashlib.sha256(), 0
    while piece := upload.read(2**20):
        size += len(piece)
        if size > most:
            raise BadInput(f"“{name}” is larger than {most // 2**20} MB; send it smaller.")
        seen.update(piece)
        file.write(piece)
    if not size:
        raise BadInput(f"“{name}” is empty; choose a picture in JPEG, PNG or WebP.")
    file.flush()
    return seen.hexdigest()


def _look(path: Path, name: str) -> tuple[str, int, int, datetime | None]:
    """Kind, width, height and time of a picture that decodes to its last line."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            image = Image.open(path, formats=("JPEG", "PNG", "WEBP"))
    except Image.DecompressionBombError:
        raise BadInput(_too_many(name)) from None
    except (OSError, ValueError, SyntaxError, struct.error):
        raise BadInput(f"“{name}” is not a whole picture in JPEG, PNG or WebP; choose one that is.") from None
    with image:
        if image.width * image.height > MOST_PIXELS:
            raise BadInput(_too_many(name))
        orientation, taken_at = _camera_data(image)
        width, height = image.size
        if orientation in (5, 6, 7, 8):
            width, height = height, width
        kind = FORMATS[image.format or ""]
        try:
            image.draft("RGB", (1, 1))
            image.load()
        except (OSError, ValueError, SyntaxError, EOFError, struct.error):
            raise BadInput(f"“{name}” is damaged or cut short; send it again.") from None
    return kind, width, height, taken_at


def _too_many(name: str) -> str:
    return f"“{name}” has more than {MOST_PIXELS // 10**6} million pixels; send it smaller."


def _camera_data(image: Image.Image) -> tuple[int, datetime | None]:
    """Orientation and time from the picture's EXIF; a camera that writes nonsense has said nothing."""
    try:
        exif = image.getexif()
        details = exif.get_ifd(_EXIF_DETAILS)
        orientation = int(exif.get(_ORIENTATION, 1))
        return orientation, _time(str(details.get(_TAKEN, "")), details.get(_TAKEN_OFFSET))
    except (OSError, ValueError, TypeError, KeyError, SyntaxError, OverflowError, struct.error):
        return 1, None


def _time(taken: str, offset: object) -> datetime | None:
    """EXIF 2.32: “YYYY:MM:DD HH:MM:SS”, in the zone the camera gives (“+01:00”), else the workshop's."""
    try:
        naive = datetime.strptime(taken.strip("\0 "), "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    text = str(offset or "").strip("\0 ")
    if len(text) == 6 and text[0] in "+-" and text[3] == ":" and (text[1:3] + text[4:]).isdigit():
        away = timedelta(hours=int(text[1:3]), minutes=int(text[4:]))
        if away < timedelta(hours=24):
            return naive.replace(tzinfo=timezone(-away if text[0] == "-" else away)).astimezone(UTC)
    return workshop_time.make_aware(naive)


def _for_the_page(image: Image.Image) -> Image.Image:
    """The picture in 8 bits a colour; what is clear in it is laid on white."""
    if image.mode.startswith("I;16"):
        return image.point(lambda shade: shade / 256).convert("L")
    if image.mode in ("RGB", "L"):
        return image
    if not image.has_transparency_data:
        return image.convert("RGB")
    clear = image.convert("RGBA")
    sheet = Image.new("RGB", clear.size, "white")
    sheet.paste(clear, mask=clear.getchannel("A"))
    return sheet


def _flush_folder(folder: Path) -> None:
    """Put a folder's new names on the disk, where the system can."""
    if os.name != "nt":
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def _sweep(folder: Path) -> None:
    """Clear what a break-off in the middle of an upload left a day ago or more."""
    for left in folder.glob("unfinished-*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > 86_400:
                left.unlink()
