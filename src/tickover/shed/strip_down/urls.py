from django.urls import path

from tickover.shed.strip_down import views

urlpatterns = [
    path("b/<int:build_id>/strip-down", views.strip_down, name="strip_down"),
]
