from django.urls import path

from tickover.shed.sheets import views

urlpatterns = [
    path("b/<int:build_id>/sheets", views.sheets, name="sheets"),
]
