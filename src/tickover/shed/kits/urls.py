"""Addresses of the kits pages."""

from django.urls import path

from tickover.shed.kits import items, views

urlpatterns = [
    path("b/<int:build_id>/kits", views.kits, name="kits"),
    path("b/<int:build_id>/kits/new", views.new_kit, name="new_kit"),
    path("k/<int:kit_id>", views.kit, name="kit"),
    path("k/<int:kit_id>/edit", views.edit_kit, name="edit_kit"),
    path("k/<int:kit_id>/strike-out", views.strike_out_kit, name="strike_out_kit"),
    path("k/<int:kit_id>/items", items.add_items, name="add_kit_items"),
    path("k/<int:kit_id>/item/<int:item_id>", items.edit_item, name="edit_kit_item"),
    path("k/<int:kit_id>/item/<int:item_id>/effect", items.effect, name="kit_item_effect"),
    path("k/<int:kit_id>/item/<int:item_id>/strike-out", items.strike_out_item, name="strike_out_kit_item"),
]
