"""Addresses of the labels pages, and of what a label's code opens."""

from django.urls import path, re_path

from tickover.shed.labels import views

urlpatterns = [
    path("b/<int:build_id>/labels", views.labels, name="labels"),
    path("b/<int:build_id>/labels/page.svg", views.preview, name="labels_preview"),
    path("b/<int:build_id>/labels.pdf", views.pdf, name="labels_pdf"),
    path("b/<int:build_id>/labels/address", views.set_address, name="labels_address"),
    # A code's letter is a capital, which packs denser.
    re_path(r"^(?P<letter>[A-Z])/(?P<number>[0-9]+)$", views.from_code, name="from_code"),
]
