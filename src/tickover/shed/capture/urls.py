"""Addresses of the capture pages."""

from django.urls import URLPattern, path

from tickover.shed.capture import photos, receive, web_app

urlpatterns: list[URLPattern] = [
    path("b/<int:build_id>/photos/one", photos.send_photo, name="send_photo"),
    path("b/<int:build_id>/receive", receive.receive, name="receive"),
    path("token", receive.token, name="token"),
    path("manifest.webmanifest", web_app.manifest, name="manifest"),
    path("icon-<int:size>.png", web_app.icon, name="icon"),
    path("sw.js", web_app.service_worker, name="service_worker"),
    path("kept", web_app.kept, name="kept"),
    path("no-connection", web_app.no_connection, name="no_connection"),
]
