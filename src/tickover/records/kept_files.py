"""Files that are kept: written beside their place, flushed to the disk, and only then named by their content's hash."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from tickover.units import BadInput


@contextlib.contextmanager
def beside(folder: Path) -> Iterator[tuple[BinaryIO, Path]]:
    """A new file in ``folder`` that is gone afterwards unless it was given another name."""
    number, named = tempfile.mkstemp(prefix="unfinished-", dir=folder)
    part = Path(named)
    try:
        with os.fdopen(number, "wb") as file:
            yield file, part
    finally:
        part.unlink(missing_ok=True)


def copy_in(upload: BinaryIO, file: BinaryIO, name: str, *, most: int, right: str) -> str:
    """Write an upload into ``file``; its SHA-256. ``BadInput`` where it is empty (``right`` says what would be
    right) or has more than ``most`` bytes."""
    seen, size = hashlib.sha256(), 0
    while piece := upload.read(2**20):
        size += len(piece)
        if size > most:
            raise BadInput(f"“{name}” is larger than {most // 2**20} MB; send it smaller.")
        seen.update(piece)
        file.write(piece)
    if not size:
        raise BadInput(f"“{name}” is empty; {right}.")
    file.flush()
    return seen.hexdigest()


def settle(file: BinaryIO, part: Path, place: Path) -> None:
    """Put a written file at its place for good: it, its name and its folder's name are on the disk afterwards."""
    os.fsync(file.fileno())
    file.close()
    place.parent.mkdir(parents=True, exist_ok=True)
    os.replace(part, place)
    _flush_folder(place.parent)
    _flush_folder(place.parent.parent)


def _flush_folder(folder: Path) -> None:
    """Put a folder's new names on the disk, where the system can."""
    if os.name != "nt":
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def sweep(folder: Path) -> None:
    """Clear what a break-off in the middle of an upload left a day ago or more."""
    for left in folder.glob("unfinished-*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > 86_400:
                left.unlink()
