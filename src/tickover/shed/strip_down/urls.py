from django.urls import path

from tickover.shed.strip_down import fastener_sets, parts, photos, views, wire_tags

urlpatterns = [
    path("b/<int:build_id>/strip-down", views.strip_down, name="strip_down"),
    path("b/<int:build_id>/parts/new", parts.new_part, name="new_part"),
    path("p/<int:part_id>", parts.part, name="part"),
    path("p/<int:part_id>/edit", parts.edit_part, name="edit_part"),
    path("p/<int:part_id>/move", parts.move_part, name="move_part"),
    path("p/<int:part_id>/strike-out", parts.strike_out_part, name="strike_out_part"),
    path("p/<int:part_id>/covers", parts.add_cover, name="add_cover"),
    path("p/<int:part_id>/covers/<int:cover_id>/strike-out", parts.strike_out_cover, name="strike_out_cover"),
    path("b/<int:build_id>/fastener-sets/new", fastener_sets.new_fastener_set, name="new_fastener_set"),
    path("f/<int:set_id>", fastener_sets.fastener_set, name="fastener_set"),
    path("f/<int:set_id>/edit", fastener_sets.edit_fastener_set, name="edit_fastener_set"),
    path("f/<int:set_id>/joint", fastener_sets.set_joint, name="set_joint"),
    path("f/<int:set_id>/strike-out", fastener_sets.strike_out_fastener_set, name="strike_out_fastener_set"),
    path("b/<int:build_id>/wire-tags/new", wire_tags.new_wire_tag, name="new_wire_tag"),
    path("b/<int:build_id>/wire-tags/many", wire_tags.many_wire_tags, name="many_wire_tags"),
    path("b/<int:build_id>/wire-tags/many/<int:number>/mark", wire_tags.wire_mark, name="wire_mark"),
    path("w/<int:tag_id>", wire_tags.wire_tag, name="wire_tag"),
    path("w/<int:tag_id>/edit", wire_tags.edit_wire_tag, name="edit_wire_tag"),
    path("w/<int:tag_id>/strike-out", wire_tags.strike_out_wire_tag, name="strike_out_wire_tag"),
    path("b/<int:build_id>/photos/new", photos.new_photos, name="new_photos"),
    path("ph/<int:photo_id>", photos.photo, name="photo"),
    path("ph/<int:photo_id>/edit", photos.edit_photo, name="edit_photo"),
    path("ph/<int:photo_id>/preview", photos.photo_file, {"size": 480}, name="photo_preview"),
    path("ph/<int:photo_id>/<int:size>", photos.photo_file, name="photo_file"),
    path("ph/<int:photo_id>/original", photos.photo_original, name="photo_original"),
    path("ph/<int:photo_id>/balloons", photos.add_balloon, name="add_balloon"),
    path(
        "ph/<int:photo_id>/balloons/<int:number>/strike-out",
        photos.strike_out_balloon,
        name="strike_out_balloon",
    ),
    path("ph/<int:photo_id>/strike-out", photos.strike_out_photo, name="strike_out_photo"),
]
