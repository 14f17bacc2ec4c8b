"""QR labels seen in a picture, and the records of this workshop that they name.

A label's code is an address of this workshop: any host, then a record's short address (``/s/4``, ``/w/17``). The
host is not compared: labels outlive the network that they were printed in. All other codes are ignored.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import zxingcpp
from PIL import Image, ImageOps

from tickover.records.models import Build, FastenerSet, Part, Record, Store, WireTag

REDUCED = 1600
"""Longest side of the copy that is looked at first, in pixels; the whole picture is only when it shows nothing."""

_LETTERS: dict[str, type[Record]] = {"p": Part, "f": FastenerSet, "w": WireTag, "s": Store}
_ADDRESS = re.compile(r"(?:https?://[^/\s]+)?/([pfws])/([0-9]{1,18})/?", re.IGNORECASE | re.ASCII)


@dataclass(frozen=True, slots=True)
class Code:
    """What a code says, and where its middle is: shares of the picture's width and height, from the top left."""

    says: str
    x: float
    y: float


def read(picture: Image.Image) -> tuple[Code, ...]:
    """The QR codes in a picture that is the right way up."""
    grey = picture.convert("L")
    small = grey.copy()
    small.thumbnail((REDUCED, REDUCED), Image.Resampling.BOX)
    for image in (small, grey) if small.size != grey.size else (grey,):
        for seen in (image, ImageOps.autocontrast(image, cutoff=1)):
            if codes := _read(seen):
                return codes
    return ()


def _read(image: Image.Image) -> tuple[Code, ...]:
    codes = []
    for found in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode):
        corners = found.position
        at = [corners.top_left, corners.top_right, corners.bottom_right, corners.bottom_left]
        x, y = sum(corner.x for corner in at) / 4 / image.width, sum(corner.y for corner in at) / 4 / image.height
        codes.append(Code(found.text, min(max(x, 0.0), 1.0), min(max(y, 0.0), 1.0)))
    return tuple(codes)


def record_named(build: Build, says: str) -> Record | None:
    """The build's record whose address a code holds; ``None`` where it holds anything else."""
    address = _ADDRESS.fullmatch(says.strip())
    if address is None:
        return None
    return _LETTERS[address[1].lower()]._base_manager.filter(pk=int(address[2]), build=build).first()
