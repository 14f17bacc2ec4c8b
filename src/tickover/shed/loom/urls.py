from django.urls import path

from tickover.shed.loom import views

urlpatterns = [
    path("b/<int:build_id>/loom", views.loom, name="loom"),
]
