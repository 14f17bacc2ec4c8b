"""Drawn photos of a bench with QR labels on it."""

from __future__ import annotations

import io
import random

import segno
from PIL import Image, ImageEnhance, ImageFilter


def label(says: str, scale: int = 6) -> Image.Image:
    out = io.BytesIO()
    segno.make(says, error="m").save(out, kind="png", scale=scale, border=4)
    return Image.open(io.BytesIO(out.getvalue())).convert("RGB")


def scene(
    *labels: tuple[Image.Image, tuple[float, float], float], size: tuple[int, int] = (2400, 1800), light: float = 1.0
) -> Image.Image:
    """A photo of a bench: noise, a few shapes, and labels glued on, each at a middle and turned by an angle."""
    noise = Image.frombytes("L", (240, 180), random.Random(3).randbytes(240 * 180)).resize(size)
    photo = Image.merge("RGB", [noise.point(lambda shade, to=to: 60 + shade * to // 500) for to in (140, 120, 90)])
    for piece, (x, y), turn in labels:
        turned = piece.convert("RGBA").rotate(turn, Image.Resampling.BICUBIC, expand=True)
        photo.paste(turned, (int(x * size[0]) - turned.width // 2, int(y * size[1]) - turned.height // 2), turned)
    return ImageEnhance.Brightness(photo.filter(ImageFilter.GaussianBlur(1.0))).enhance(light)
