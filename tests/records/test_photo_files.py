"""Photo files: what is kept, what is refused, and that a refusal leaves nothing behind."""

from __future__ import annotations

import io
import random
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from tickover.records import photo_files
from tickover.units import BadInput


@pytest.fixture(autouse=True)
def photos(settings: object, tmp_path: Path) -> Path:
    settings.PHOTOS = tmp_path / "photos"  # type: ignore[attr-defined]
    return tmp_path / "photos"


def picture(kind: str = "JPEG", size: tuple[int, int] = (640, 400), exif: dict[int, object] | None = None) -> bytes:
    """Noise, so that a file cut short cannot decode by luck; its top left quarter is red."""
    image = Image.frombytes("RGB", size, random.Random(1).randbytes(size[0] * size[1] * 3))
    image.paste((200, 0, 0), (0, 0, size[0] // 2, size[1] // 2))
    data = Image.Exif()
    for tag, value in (exif or {}).items():
        if tag > 0x9000:
            data.get_ifd(0x8769)[tag] = value
        else:
            data[tag] = value
    out = io.BytesIO()
    if kind.endswith("container"):  # as phones write it: irot and imir beside the camera's data
        image.info["exif"] = data.tobytes()
        image.save(out, "HEIF")
    else:
        image.save(out, kind, exif=data)
    return out.getvalue()


def everything_in(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def originals_in(folder: Path) -> list[Path]:
    return [path for path in everything_in(folder) if not path.name.endswith((".480.jpg", ".1600.jpg"))]


@pytest.mark.parametrize(("kind", "ending"), [("JPEG", ".jpg"), ("PNG", ".png"), ("WEBP", ".webp"), ("HEIF", ".heic")])
def test_an_original_is_kept_whole_under_its_hash(photos: Path, kind: str, ending: str) -> None:
    data = picture(kind)
    kept = photo_files.keep(io.BytesIO(data), "left side." + kind.lower())
    assert (kept.width, kept.height, kept.is_new, kept.taken_at) == (640, 400, True, None)
    [path] = originals_in(photos)
    assert path == photos / kept.sha256[:2] / (kept.sha256 + ending) == photo_files.path_of(kept.sha256, kept.kind)
    assert path.read_bytes() == data


def test_the_same_picture_twice_is_one_file(photos: Path) -> None:
    data = picture()
    first, second = (photo_files.keep(io.BytesIO(data), "a.jpg") for _ in range(2))
    assert (first.sha256, first.is_new, second.is_new) == (second.sha256, True, False)
    assert len(originals_in(photos)) == 1


@pytest.mark.parametrize("kind", ["JPEG", "HEIF", "PNG", "WEBP"])
def test_a_phone_held_upright(photos: Path, kind: str) -> None:
    """Orientation 6: the sensor's left top stands right top when looked at (EXIF 2.32, 4.6.4)."""
    exif = {0x0112: 6, 0x010F: "maker", 0x9003: "2023:05:14 18:02:11", 0x9011: "+02:00"}
    kept = photo_files.keep(io.BytesIO(picture(kind, exif=exif)), "upright." + kind.lower())
    assert (kept.width, kept.height) == (400, 640)
    assert kept.taken_at == datetime(2023, 5, 14, 16, 2, 11, tzinfo=UTC)
    with Image.open(photo_files.preview(kept.sha256, kept.kind, 480)) as small:
        assert small.size == (300, 480)
        assert not small.getexif()
        red, green, _ = small.convert("RGB").getpixel((280, 40))
        assert red > 150
        assert green < 60


@pytest.mark.parametrize("kind", ["JPEG", "HEIF", "HEIF turned by its container"])
@pytest.mark.parametrize(
    ("orientation", "red_at"),
    [(1, (0, 0)), (2, (1, 0)), (3, (1, 1)), (4, (0, 1)), (5, (0, 0)), (6, (1, 0)), (7, (1, 1)), (8, (0, 1))],
)
def test_every_way_of_holding_the_camera(kind: str, orientation: int, red_at: tuple[int, int]) -> None:
    """Where row 0 and column 0 of the picture stand when it is looked at (EXIF 2.32, 4.6.4): the red corner."""
    kept = photo_files.keep(io.BytesIO(picture(kind, exif={0x0112: orientation})), "a picture")
    assert (b"irot" in photo_files.path_of(kept.sha256, kept.kind).read_bytes()) == (
        "container" in kind and orientation in (3, 5, 6, 7, 8)
    )
    assert (kept.width, kept.height) == ((640, 400) if orientation < 5 else (400, 640))
    with Image.open(photo_files.preview(kept.sha256, kept.kind, 1600)) as small:
        assert small.size == (kept.width, kept.height)
        corners = {}
        for x in (0, 1):
            for y in (0, 1):
                at = (10 + x * (small.width - 20), 10 + y * (small.height - 20))
                red, green, _ = small.convert("RGB").getpixel(at)
                corners[x, y] = red - green
    assert max(corners, key=lambda corner: corners[corner]) == red_at


def test_the_copies_are_made_at_once_and_again_when_they_are_gone(photos: Path) -> None:
    out = io.BytesIO()
    Image.new("RGB", (2000, 1000), "grey").save(out, "HEIF")
    kept = photo_files.keep(io.BytesIO(out.getvalue()), "a.heic")
    copies = [path for path in everything_in(photos) if path.suffix == ".jpg"]
    assert len(copies) == 2
    for copy in copies:
        copy.unlink()
    with Image.open(photo_files.preview(kept.sha256, kept.kind, 1600)) as small:
        assert small.size == (1600, 800)


def test_a_large_heic_is_put_together_from_its_strips() -> None:
    """Reduced strip by strip, it looks as when it is reduced whole: a shade that rises from top to bottom."""
    shade = Image.linear_gradient("L").resize((300, 9001))
    out = io.BytesIO()
    shade.convert("RGB").save(out, "HEIF", quality=90)
    kept = photo_files.keep(io.BytesIO(out.getvalue()), "tall.heic")
    assert (kept.width, kept.height) == (300, 9001)
    with Image.open(photo_files.preview(kept.sha256, kept.kind, 1600)) as small:
        assert small.size == (53, 1600)
        for y in range(20, 1600, 50):
            assert small.convert("L").getpixel((26, y)) == pytest.approx(255 * y / 1600, abs=4)


def test_a_preview_is_never_larger_than_the_original() -> None:
    kept = photo_files.keep(io.BytesIO(picture("PNG")), "a.png")
    with Image.open(photo_files.preview(kept.sha256, kept.kind, 1600)) as same:
        assert same.size == (640, 400)


def test_a_clear_picture_is_laid_on_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (50, 50), (0, 0, 0, 0)).save(out, "PNG")
    kept = photo_files.keep(io.BytesIO(out.getvalue()), "clear.png")
    with Image.open(photo_files.preview(kept.sha256, kept.kind, 480)) as small:
        assert min(small.convert("RGB").getpixel((25, 25))) > 250


@pytest.mark.parametrize("taken", ["0000:00:00 00:00:00", "yesterday", "2023:02:31 10:00:00", ""])
def test_a_time_that_is_none_is_not_kept(taken: str) -> None:
    assert photo_files.keep(io.BytesIO(picture(exif={0x9003: taken})), "a.jpg").taken_at is None


def test_a_time_without_zone_is_the_workshops(settings: object) -> None:
    settings.TIME_ZONE = "Europe/London"  # type: ignore[attr-defined]
    kept = photo_files.keep(io.BytesIO(picture(exif={0x9003: "2023:07:01 12:00:00"})), "a.jpg")
    assert kept.taken_at == datetime(2023, 7, 1, 11, 0, tzinfo=UTC)


def _bomb() -> bytes:
    """A picture of 20000 by 20000 pixels in a few kilobytes."""
    out = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(out, "PNG")
    return out.getvalue()


def _bomb_in_heic() -> bytes:
    """A small HEIC whose head (the ispe box of ISO/IEC 23008-12, 6.5.3) says 30000 by 30000 pixels."""
    data = bytearray(picture("HEIF", (64, 64)))
    at = data.index(b"ispe") + 8
    while at > 7:
        data[at : at + 8] = (30_000).to_bytes(4, "big") * 2
        at = data.find(b"ispe", at) + 8
    return bytes(data)


def _large() -> bytes:
    """Between what the picture library warns of and what it refuses."""
    out = io.BytesIO()
    Image.new("1", (12_000, 10_000)).save(out, "PNG")
    return out.getvalue()


def _gif() -> bytes:
    out = io.BytesIO()
    Image.new("L", (8, 8)).save(out, "GIF")
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"these are only words", "is not a whole picture in JPEG, HEIC, PNG or WebP"),
        (b"\xff\xd8\xff\xe0 and nothing behind", "is not a whole picture"),
        (_gif(), "is not a whole picture in JPEG, HEIC, PNG or WebP"),
        (picture()[:-2000], "is damaged or cut short"),
        (picture("PNG")[:-2000], "is damaged or cut short"),
        (picture("WEBP")[:-2000], "is not a whole picture"),
        (picture("HEIF")[:-2000], "is (damaged or cut short|not a whole picture)"),
        (picture("HEIF")[:200], "is not a whole picture"),
        (_bomb(), "million pixels"),
        (_bomb_in_heic(), "million pixels"),
        (_large(), "million pixels"),
    ],
)
def test_what_is_no_picture_is_refused_and_leaves_nothing(photos: Path, data: bytes, says: str) -> None:
    with pytest.raises(BadInput, match=says) as refused:
        photo_files.keep(io.BytesIO(data), "side.jpg")
    assert str(refused.value).startswith("“side.jpg” ")
    assert str(refused.value).count(".") == 2
    assert not everything_in(photos)


def test_too_large_a_file_is_refused(photos: Path, settings: object) -> None:
    settings.PHOTO_MOST_BYTES = 2**20  # type: ignore[attr-defined]
    with pytest.raises(BadInput, match="larger than 1 MB"):
        photo_files.keep(io.BytesIO(bytes(2**20 + 1)), "side.jpg")
    assert not everything_in(photos)


@pytest.mark.parametrize(
    ("mode", "kind"),
    [("1", "PNG"), ("L", "PNG"), ("LA", "PNG"), ("P", "PNG"), ("RGBA", "PNG"), ("I;16", "PNG"), ("CMYK", "JPEG"),
     ("L", "JPEG"), ("RGBA", "WEBP"), ("RGBA", "HEIF"), ("L", "HEIF")],
)  # fmt: skip
def test_every_way_of_keeping_colours_has_a_preview(mode: str, kind: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (600, 600), 20000 if mode == "I;16" else "white" if mode != "CMYK" else (0, 0, 0, 0)).save(
        out, kind
    )
    kept = photo_files.keep(io.BytesIO(out.getvalue()), "a picture")
    with Image.open(photo_files.preview(kept.sha256, kept.kind, 480)) as small:
        assert small.size == (480, 480)
        assert small.mode in ("L", "RGB")
        shade = small.convert("L").getpixel((240, 240))
        assert shade == pytest.approx(20000 / 65535 * 255 if mode == "I;16" else 255, abs=3)


def test_a_phones_picture_of_several_frames_is_a_jpeg() -> None:
    out = io.BytesIO()
    frames = [Image.new("RGB", (64, 48), shade) for shade in ("grey", "white")]
    frames[0].save(out, "MPO", save_all=True, append_images=frames[1:])
    assert photo_files.keep(io.BytesIO(out.getvalue()), "a.jpg").kind == "jpeg"


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_is_one_sentence_and_leaves_nothing(
    photos: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def full(*args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(f"tickover.records.photo_files.os.{step}", full)
    with pytest.raises(BadInput, match="could not be kept: No space left on device"):
        photo_files.keep(io.BytesIO(picture()), "side.jpg")
    assert not everything_in(photos)
