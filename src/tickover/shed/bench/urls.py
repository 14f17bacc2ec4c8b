from django.urls import path

from tickover.shed.base import choosing
from tickover.shed.bench import views

urlpatterns = [
    path("", views.home, name="home"),
    path("start", views.new_build, name="new_build"),
    path("b/<int:build_id>", views.bench, name="bench"),
    path("b/<int:build_id>/first-things", views.first_things, name="first_things"),
    path("b/<int:build_id>/edit", views.edit_build, name="edit_build"),
    path("b/<int:build_id>/milestone", views.choose_milestone, name="choose_milestone"),
    path("b/<int:build_id>/choose/<str:kinds>", choosing.choose, name="choose"),
    path("b/<int:build_id>/find", views.find, name="find"),
    path("b/<int:build_id>/changes", views.changes, name="changes"),
    path("b/<int:build_id>/stints", views.stints, name="stints"),
    path("b/<int:build_id>/stints/start", views.start_stint, name="start_stint"),
    path("t/<int:stint_id>", views.stint, name="stint"),
    path("t/<int:stint_id>/edit", views.edit_stint, name="edit_stint"),
    path("t/<int:stint_id>/end", views.end_stint, name="end_stint"),
    path("x/<int:change_id>/take-back", views.take_back, name="take_back"),
]
