from django.urls import path

from tickover.shed.job_cards import views

urlpatterns = [
    path("b/<int:build_id>/job-cards", views.job_cards, name="job_cards"),
]
