from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from tickover.records.models import Build


def stores(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    return render(request, "base/base.html", {"build": build, "chapter": "stores"})
