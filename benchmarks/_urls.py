"""The workshop's pages, and the empty page that they are measured against."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path


def empty(request: HttpRequest) -> HttpResponse:
    return HttpResponse("<!doctype html><title>Empty</title>")


urlpatterns = [path("empty", empty), path("", include("tickover.shed.urls"))]
