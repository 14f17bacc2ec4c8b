"""Addresses of the capture pages."""

from django.urls import URLPattern, path

from tickover.shed.capture import photos, receive, remarks, web_app

urlpatterns: list[URLPattern] = [
    path("b/<int:build_id>/remarks", remarks.new_remark, name="new_remark"),
    path("m/<int:remark_id>", remarks.remark, name="remark"),
    path("m/<int:remark_id>/edit", remarks.edit_remark, name="edit_remark"),
    path("m/<int:remark_id>/strike-out", remarks.strike_out_remark, name="strike_out_remark"),
    path("m/<int:remark_id>/sound", remarks.remark_sound, name="remark_sound"),
    path("b/<int:build_id>/photos/one", photos.send_photo, name="send_photo"),
    path("b/<int:build_id>/receive", receive.receive, name="receive"),
    path("token", receive.token, name="token"),
    path("manifest.webmanifest", web_app.manifest, name="manifest"),
    path("icon-<int:size>.png", web_app.icon, name="icon"),
    path("sw.js", web_app.service_worker, name="service_worker"),
    path("kept", web_app.kept, name="kept"),
    path("no-connection", web_app.no_connection, name="no_connection"),
]
