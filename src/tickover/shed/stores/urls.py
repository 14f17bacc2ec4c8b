from django.urls import path

from tickover.shed.stores import views

urlpatterns = [
    path("b/<int:build_id>/stores", views.stores, name="stores"),
]
