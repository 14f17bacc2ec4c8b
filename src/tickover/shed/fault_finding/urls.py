from django.urls import path

from tickover.shed.fault_finding import views

urlpatterns = [
    path("b/<int:build_id>/fault-finding", views.fault_finding, name="fault_finding"),
    path("q/<int:search_id>", views.fault_search, name="fault_search"),
    path("q/<int:search_id>/answer", views.answer, name="fault_answer"),
    path("q/<int:search_id>/take-back", views.take_back_reading, name="fault_take_back"),
    path("q/<int:search_id>/mended", views.mended, name="fault_mended"),
    path("q/<int:search_id>/tried", views.tried, name="fault_tried"),
    path("q/<int:search_id>/set-aside", views.set_aside, name="fault_set_aside"),
]
