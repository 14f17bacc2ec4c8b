"""A file, whole or the piece of it that a browser asks for: players jump in a sound by asking for pieces."""

from __future__ import annotations

import re
from pathlib import Path

from django.http import FileResponse, Http404, HttpRequest, HttpResponse

_RANGE = re.compile(r"bytes=([0-9]{0,18})-([0-9]{0,18})", re.ASCII)


def file_in_ranges(request: HttpRequest, path: Path, content_type: str, tag: str) -> HttpResponse | FileResponse:
    """200 with the whole, 206 with one range, 416 where it lies outside (RFC 9110, 14). Several ranges: the whole."""
    try:
        file = path.open("rb")
    except FileNotFoundError:
        raise Http404 from None
    size = path.stat().st_size
    etag = f'"{tag}"'
    asked = _RANGE.fullmatch(request.headers.get("Range", "").strip())
    whole = request.headers.get("If-Range", etag) != etag or asked is None or asked[1] == asked[2] == ""
    response: HttpResponse | FileResponse
    if whole:
        response = FileResponse(file, content_type=content_type)
    else:
        assert asked is not None
        first = int(asked[1]) if asked[1] else max(0, size - int(asked[2]))
        last = min(int(asked[2]), size - 1) if asked[1] and asked[2] else size - 1
        with file:
            if first > last:
                response = HttpResponse(status=416, headers={"Content-Range": f"bytes */{size}"})
            else:
                file.seek(first)
                response = HttpResponse(file.read(last - first + 1), status=206, content_type=content_type)
                response["Content-Range"] = f"bytes {first}-{last}/{size}"
    response["Accept-Ranges"] = "bytes"
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return response
