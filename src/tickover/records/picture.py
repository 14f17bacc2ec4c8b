"""A picture file looked into: what its head says, and the picture itself, the right way up and not too large.

The server's memory is what this guards. A head is read before anything is decoded, so a small file that unfolds
into a huge picture is refused by what it says of itself. One picture is decoded at a time, at a reduced scale where
its format allows that, else in strips that are reduced one after the other.
"""

from __future__ import annotations

import contextlib
import ctypes
import struct
import threading
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pillow_heif
from django.utils import timezone as workshop_time
from PIL import Image

from tickover.units import BadInput

pillow_heif.register_heif_opener()

KINDS = "JPEG, HEIC, PNG or WebP"
_FORMATS = {"JPEG": "jpeg", "MPO": "jpeg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}

MOST_PIXELS = {"jpeg": 110_000_000, "heic": 51_000_000, "png": 51_000_000, "webp": 17_000_000}
"""What some 300 MB of memory hold while a picture of a kind is decoded; a phone's largest pictures are 50 million
pixels and, in JPEG, 108 million. A JPEG is decoded at a reduced scale; WebP needs 16 bytes a pixel."""
MOST_PROGRESSIVE = 51_000_000
"""A progressive JPEG holds six bytes a pixel until its last line is read."""

LONGEST = 4096
"""Longest side of the picture that is worked with, in pixels."""

_EXIF_DETAILS, _ORIENTATION = 0x8769, 0x0112
_TAKEN, _TAKEN_OFFSET = 0x9003, 0x9011
_UNREADABLE = (OSError, ValueError, SyntaxError, EOFError, RuntimeError, struct.error)

_one_at_a_time = threading.Lock()


def _give_back_at_once() -> None:
    """Large pieces of memory go back to the system when a picture is let go of, not into each thread's own reserve.

    The GNU C library raises its threshold with every piece given back (mallopt(3), M_MMAP_THRESHOLD); set, it stays.
    """
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).mallopt(-3, 2**20)


_give_back_at_once()


@dataclass(frozen=True, slots=True)
class Head:
    """What a picture's file says before it is decoded. Width and height are as it is looked at."""

    kind: str
    width: int
    height: int
    orientation: int
    taken_at: datetime | None


def head_of(path: Path, name: str) -> Head:
    """``BadInput`` in one sentence where the file is no picture, or has more pixels than can be held."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            image = Image.open(path, formats=("JPEG", "PNG", "WEBP", "HEIF"))
    except Image.DecompressionBombError:
        raise BadInput(_too_many(name, max(MOST_PIXELS.values()))) from None
    except _UNREADABLE:
        raise BadInput(f"“{name}” is not a whole picture in {KINDS}; choose one that is.") from None
    with image:
        kind = _FORMATS[image.format or ""]
        most = MOST_PROGRESSIVE if image.info.get("progressive") else MOST_PIXELS[kind]
        if image.width * image.height > most:
            raise BadInput(_too_many(name, most))
        orientation, taken_at = _camera_data(image)
        if kind == "heic":
            orientation = 1 if _turned_by_its_container(path) else image.info.get("original_orientation") or 1
        width, height = image.size
        if orientation in (5, 6, 7, 8):
            width, height = height, width
        return Head(kind, width, height, orientation, taken_at)


@contextlib.contextmanager
def decoded(path: Path, head: Head, name: str, most: int = LONGEST) -> Iterator[Image.Image]:
    """The picture, decoded to its last line, in 8 bits a colour, with its colour profile; at most ``most`` long."""
    with _one_at_a_time:
        try:
            image = _strips(path, most) if head.kind == "heic" else _at_scale(path, most)
        except _UNREADABLE:
            raise BadInput(f"“{name}” is damaged or cut short; send it again.") from None
        profile = _profile(image)
        upright = _for_the_page(_turned(image, head.orientation))
        upright.info = profile
        yield upright


def _at_scale(path: Path, most: int) -> Image.Image:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        image = Image.open(path)
    with image:
        scale = _scale(image.size, most)
        image.draft("RGB", (image.width // scale or 1, image.height // scale or 1))
        image.load()
        profile = _profile(image)
        plain = image if image.mode in ("L", "LA", "RGB", "RGBA", "CMYK") else _for_the_page(image)
        small = plain.reduce(_scale(plain.size, most))
    small.info = profile
    return small


def _profile(image: Image.Image) -> dict[str, object]:
    """The picture's own colour profile, where its copies are in the same colours."""
    profile = image.info.get("icc_profile") if image.mode in ("RGB", "RGBA") else None
    return {"icc_profile": profile} if profile else {}


def _strips(path: Path, most: int) -> Image.Image:
    """A HEIC picture; the library turns it as its container says."""
    heic = pillow_heif.open_heif(path)
    data = memoryview(heic.data)
    (width, height), mode, stride = heic.size, heic.mode, heic.stride
    scale = _scale((width, height), most)
    small = Image.new(mode, (-(-width // scale), -(-height // scale)))
    rows = 128 * scale
    for top in range(0, height, rows):
        count = min(rows, height - top)
        strip = data[top * stride : (top + count) * stride]
        small.paste(
            Image.frombuffer(mode, (width, count), strip, "raw", mode, stride, 1).reduce(scale), (0, top // scale)
        )
    small.info = heic.info
    return small


def _turned_by_its_container(path: Path) -> bool:
    """Whether a HEIC says by its own properties (irot, imir: ISO/IEC 23008-12, 6.5.10 and 6.5.12) how it lies.

    Then the library has turned it, and the camera's data repeat what is already done."""
    boxes = memoryview(path.read_bytes())
    for kind, before in ((b"meta", 4), (b"iprp", 0), (b"ipco", 0)):
        boxes = next((body[before:] for name, body in _boxes(boxes) if name == kind), boxes[:0])
    return any(name in (b"irot", b"imir") for name, _ in _boxes(boxes))


def _boxes(data: memoryview) -> Iterator[tuple[bytes, memoryview]]:
    """Kind and body of each box (ISO/IEC 14496-12, 4.2): length, kind, and a long length where it is 1."""
    at = 0
    while at + 8 <= len(data):
        length, head = int.from_bytes(data[at : at + 4], "big"), 8
        if length == 1:
            length, head = int.from_bytes(data[at + 8 : at + 16], "big"), 16
        end = at + length if length >= head else len(data)
        yield bytes(data[at + 4 : at + 8]), data[at + head : end]
        at = end


def _scale(size: tuple[int, int], most: int) -> int:
    """By how much a picture is reduced so that it is no longer than ``most``."""
    return max(1, -(-max(size) // most))


_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""EXIF 2.32, 4.6.4: what brings the picture of each orientation the right way up."""


def _turned(image: Image.Image, orientation: int) -> Image.Image:
    return image.transpose(_TURNS[orientation]) if orientation in _TURNS else image


def _too_many(name: str, most: int) -> str:
    return f"“{name}” has more than {most // 10**6} million pixels; send it smaller."


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
