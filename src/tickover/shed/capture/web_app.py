"""The pages as a web app that a phone keeps on its home screen: manifest, icons, service worker, its two pages."""

from __future__ import annotations

import hashlib
import io
import json
from functools import cache

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import get_template, render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET
from PIL import Image, ImageDraw

PAPER, INK, OXIDE = "#fbf8f1", "#26221d", "#8f3b2c"
ICON_SIZES = (180, 192, 512)
NO_CONNECTION = "capture/no_connection.html"

LAID_DOWN = (
    "shed/manual.css",
    "shed/mark.svg",
    "shed/pages.js",
    "django_htmx/htmx-2.min.js",
    "capture/outbox.js",
    "capture/kept.js",
    "capture/photo_now.js",
)
"""Files that the phone has from the first visit on; others it keeps as it meets them."""


@require_GET
def manifest(request: HttpRequest) -> JsonResponse:
    """W3C Web Application Manifest."""
    icons = [
        {"src": reverse("icon", args=[size]), "sizes": f"{size}x{size}", "type": "image/png", "purpose": "any maskable"}
        for size in ICON_SIZES[1:]
    ]
    return JsonResponse(
        {
            "id": "/",
            "name": "tickover",
            "short_name": "tickover",
            "lang": "en-GB",
            "start_url": reverse("home"),
            "scope": "/",
            "display": "standalone",
            "background_color": PAPER,
            "theme_color": PAPER,
            "icons": [*icons, {"src": static("shed/mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
        },
        content_type="application/manifest+json",
    )


@require_GET
def icon(request: HttpRequest, size: int) -> HttpResponse:
    if size not in ICON_SIZES:
        raise Http404
    answer = HttpResponse(_drawn(size), content_type="image/png")
    answer["Cache-Control"] = "max-age=86400"
    return answer


@cache
def _drawn(size: int) -> bytes:
    """The mark of ``shed/mark.svg``, with room around it for a home screen that cuts its icons round."""
    big = 4 * size
    unit = big / 32 * 0.72
    image = Image.new("RGB", (big, big), PAPER)
    pen = ImageDraw.Draw(image)

    def at(x: float, y: float) -> tuple[float, float]:
        return big / 2 + (x - 16) * unit, big / 2 + (y - 16) * unit

    pen.ellipse([at(4, 4), at(28, 28)], outline=INK, width=round(2 * unit))
    pen.line([at(16, 16), at(22, 9)], fill=OXIDE, width=round(3 * unit))
    pen.line([at(6, 22), at(26, 22)], fill=INK, width=round(2 * unit))
    file = io.BytesIO()
    image.resize((size, size), Image.Resampling.LANCZOS).save(file, "PNG", optimize=True)
    return file.getvalue()


@require_GET
@never_cache
def service_worker(request: HttpRequest) -> HttpResponse:
    """The worker, told which files belong to this version; another version throws the copies of this one away."""
    code = render_to_string("capture/worker.js")
    files = [*map(static, LAID_DOWN), reverse("kept"), reverse("no_connection")]
    pages = [get_template(name).template.source for name in ("base/base.html", "capture/kept.html", NO_CONNECTION)]
    version = hashlib.sha256(json.dumps([code, files, pages]).encode()).hexdigest()[:12]
    head = f"const VERSION = {json.dumps(version)};\nconst LAID_DOWN = {json.dumps(files)};\n"
    answer = HttpResponse(head + code, content_type="text/javascript")
    answer["Service-Worker-Allowed"] = "/"
    return answer


@require_GET
def kept(request: HttpRequest) -> HttpResponse:
    """What this phone keeps and has not sent yet; the list is the phone's own."""
    return render(request, "capture/kept.html")


@require_GET
def no_connection(request: HttpRequest) -> HttpResponse:
    """Shown in place of a page that cannot be had now and that this phone has no copy of."""
    return render(request, NO_CONNECTION)
