"""Addresses of the capture pages."""

from django.urls import URLPattern, path

from tickover.shed.capture import photos

urlpatterns: list[URLPattern] = [
    path("b/<int:build_id>/photos/one", photos.send_photo, name="send_photo"),
]
