"""Addresses of the refitting pages."""

from django.urls import path

from tickover.shed.refitting import counts, joints, torque, views

urlpatterns = [
    path("b/<int:build_id>/refitting", views.refitting, name="refitting"),
    path("f/<int:set_id>/tighten", joints.tighten, name="tighten"),
    path("p/<int:part_id>/tighten", joints.tighten_part, name="tighten_part"),
    path("b/<int:build_id>/wrench", joints.wrench, name="wrench"),
    path("f/<int:set_id>/torque", torque.work_out, name="work_out_torque"),
    path("b/<int:build_id>/counts", counts.loose_counts, name="loose_counts"),
    path("b/<int:build_id>/counts/new", counts.new_loose_count, name="new_loose_count"),
    path("n/<int:count_id>", counts.loose_count, name="loose_count"),
    path("n/<int:count_id>/in", counts.count_in, name="count_in"),
    path("n/<int:count_id>/edit", counts.edit_loose_count, name="edit_loose_count"),
    path("n/<int:count_id>/strike-out", counts.strike_out_loose_count, name="strike_out_loose_count"),
]
