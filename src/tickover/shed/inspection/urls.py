"""Addresses of the inspection pages."""

from django.urls import path

from tickover.shed.inspection import following, starting, taking, views

urlpatterns = [
    path("b/<int:build_id>/inspections", views.inspections, name="inspections"),
    path("b/<int:build_id>/inspections/by-hand", starting.by_hand, name="inspection_by_hand"),
    path("b/<int:build_id>/inspections/begin/<slug:pattern_id>", starting.begin, name="begin_inspection"),
    path("i/<int:inspection_id>", views.inspection, name="inspection"),
    path("i/<int:inspection_id>/form", views.form, name="inspection_form"),
    path("i/<int:inspection_id>/take", taking.take_next, name="take_next"),
    path("i/<int:inspection_id>/take/<int:number>", taking.take, name="take_place"),
    path("i/<int:inspection_id>/add", following.add, name="inspection_adds"),
    path("i/<int:inspection_id>/edit", views.edit_inspection, name="edit_inspection"),
    path("i/<int:inspection_id>/strike-out", views.strike_out_inspection, name="strike_out_inspection"),
    path("i/<int:inspection_id>/places", starting.more_places, name="more_places"),
    path("i/<int:inspection_id>/place/<int:line_id>", views.edit_place, name="edit_place"),
    path("i/<int:inspection_id>/place/<int:line_id>/strike-out", views.strike_out_place, name="strike_out_place"),
]
