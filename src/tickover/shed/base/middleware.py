"""Bad input that no form caught is still one clear sentence, never a traceback."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tickover.units import BadInput


class BadInputMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, BadInput):
            return render(request, "base/bad_input.html", {"says": str(exception)}, status=400)
        return None
