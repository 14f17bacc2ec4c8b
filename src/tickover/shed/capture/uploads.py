"""What comes in at most: a file is dropped while it arrives, a whole request before any of it is written down."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render


class StopAtMost(FileUploadHandler):
    """Lets go of a file as soon as it is larger than a photo may be; the others of the same form still arrive."""

    chunk_size = 2**18

    def new_file(self, *args: object, **kwargs: object) -> None:
        super().new_file(*args, **kwargs)
        self.size = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        self.size += len(raw_data)
        if self.size > settings.PHOTO_MOST_BYTES:
            dropped(self.request).append(str(self.file_name))
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> UploadedFile | None:
        return None


def dropped(request: HttpRequest | None) -> list[str]:
    """Names of the files that were too large to take."""
    names: list[str] = request.__dict__.setdefault("dropped_files", []) if request is not None else []
    return names


def too_large(name: str) -> str:
    return f"“{name}” is larger than {settings.PHOTO_MOST_BYTES // 2**20} MB; send it smaller."


class RefuseTooMuch:
    """Middleware: a request that says it is larger than everything together may be is answered without being read."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdecimal() or int(length) <= settings.MOST_BYTES_AT_ONCE:
            return self.get_response(request)
        says = (
            f"That was {int(length) // 2**20} MB at once; send at most {settings.MOST_BYTES_AT_ONCE // 2**20} MB, "
            f"and no photo of more than {settings.PHOTO_MOST_BYTES // 2**20} MB."
        )
        if "json" in request.headers.get("Accept", ""):
            return JsonResponse({"says": says}, status=413)
        return render(request, "base/bad_input.html", {"says": says}, status=413)
