from django.urls import path

from tickover.shed.loom import finder, views

urlpatterns = [
    path("b/<int:build_id>/loom", views.loom, name="loom"),
    path("b/<int:build_id>/loom/solved", views.solved, name="loom_solved"),
    path("b/<int:build_id>/loom/document.json", views.document, name="loom_document"),
    path("b/<int:build_id>/loom/read-in", views.read_in, name="loom_read_in"),
    path("b/<int:build_id>/loom/components/new", views.new_component, name="new_loom_component"),
    path("b/<int:build_id>/loom/relay-readings", finder.relay_readings, name="relay_readings"),
    path("b/<int:build_id>/loom/relay-readings/found", finder.relay_found, name="relay_found"),
    path("b/<int:build_id>/loom/switch-readings", finder.switch_readings, name="switch_readings"),
    path("b/<int:build_id>/loom/switch-readings/found", finder.switch_found, name="switch_found"),
    path("c/<int:component_id>", views.component, name="loom_component"),
    path("c/<int:component_id>/edit", views.edit_component, name="edit_loom_component"),
    path("c/<int:component_id>/strike-out", views.strike_out_component, name="strike_out_component"),
]
