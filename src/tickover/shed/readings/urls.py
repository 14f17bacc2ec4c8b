from django.urls import path

from tickover.shed.readings import views

urlpatterns = [
    path("b/<int:build_id>/readings", views.readings, name="readings"),
    path("b/<int:build_id>/readings/new", views.new_reading, name="new_reading"),
    path("r/<int:reading_id>", views.reading, name="reading"),
    path("r/<int:reading_id>/edit", views.edit_reading, name="edit_reading"),
    path("r/<int:reading_id>/strike-out", views.strike_out_reading, name="strike_out_reading"),
    path("b/<int:build_id>/limits/new", views.new_limit, name="new_limit"),
    path("l/<int:limit_id>", views.limit, name="limit"),
    path("l/<int:limit_id>/edit", views.edit_limit, name="edit_limit"),
    path("l/<int:limit_id>/strike-out", views.strike_out_limit, name="strike_out_limit"),
]
