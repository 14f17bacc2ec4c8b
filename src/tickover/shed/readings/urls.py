from django.urls import path

from tickover.shed.readings import views

urlpatterns = [
    path("b/<int:build_id>/readings", views.readings, name="readings"),
]
