"""Spoken remarks: the sound as the browser recorded it, kept whole under the hash of its content."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from django.conf import settings

from tickover.records.kept_files import beside, copy_in, settle, sweep
from tickover.units import BadInput

KINDS = "WebM, Ogg, MP4, MP3 or WAV"
ENDINGS = {"webm": ".webm", "ogg": ".ogg", "mp4": ".m4a", "mpeg": ".mp3", "wav": ".wav"}
MOST_BYTES = 10 * 2**20
"""Two minutes are one megabyte as browsers record them; a recorder of its own may write ten."""


@dataclass(frozen=True, slots=True)
class KeptSound:
    sha256: str
    kind: str


def path_of(sha256: str, kind: str) -> Path:
    """Where a sound lies: two letters of its hash are its folder."""
    return Path(settings.SOUNDS) / sha256[:2] / (sha256 + ENDINGS[kind])


def keep(upload: BinaryIO, name: str) -> KeptSound:
    """Keep a recorded sound; ``BadInput`` in one sentence, and nothing kept, when it cannot be used."""
    folder = Path(settings.SOUNDS)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        sweep(folder)
        with beside(folder) as (file, part):
            sha256 = copy_in(upload, file, name, most=MOST_BYTES, right=f"record it again in {KINDS}")
            kind = _kind(part)
            if kind is None:
                raise BadInput(f"“{name}” is no sound in {KINDS}; record it again, or type the remark.")
            place = path_of(sha256, kind)
            if not place.exists():
                settle(file, part, place)
    except OSError as problem:
        says = problem.strerror or str(problem)
        raise BadInput(f"“{name}” could not be kept: {says}; see to the disk and send it again.") from problem
    return KeptSound(sha256, kind)


def _kind(path: Path) -> str | None:
    """By its first bytes: EBML with a WebM or Matroska type (RFC 9559), Ogg (RFC 3533), MP4 (ISO/IEC 14496-12),
    MP3 (an ID3 tag or a frame's sync, ISO/IEC 11172-3), RIFF WAVE."""
    with path.open("rb") as file:
        head = file.read(64)
    if head.startswith(b"\x1a\x45\xdf\xa3") and (b"webm" in head or b"matroska" in head):
        return "webm"
    if head.startswith(b"OggS"):
        return "ogg"
    if head[4:8] == b"ftyp" and head[8:12] not in (b"heic", b"heix", b"mif1", b"avif", b"msf1"):
        return "mp4"
    if head.startswith(b"ID3") or (head[:1] == b"\xff" and len(head) > 3 and head[1] & 0xE6 == 0xE2):
        return "mpeg"
    if head.startswith(b"RIFF") and head[8:12] == b"WAVE":
        return "wav"
    return None
