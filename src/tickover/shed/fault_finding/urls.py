from django.urls import path

from tickover.shed.fault_finding import views

urlpatterns = [
    path("b/<int:build_id>/fault-finding", views.fault_finding, name="fault_finding"),
]
