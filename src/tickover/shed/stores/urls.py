from django.urls import path

from tickover.shed.stores import views

urlpatterns = [
    path("b/<int:build_id>/stores", views.stores, name="stores"),
    path("b/<int:build_id>/stores/new", views.new_store, name="new_store"),
    path("b/<int:build_id>/stores/put-in", views.put_in, name="put_in"),
    path("s/<int:store_id>", views.store, name="store"),
    path("s/<int:store_id>/holds", views.holds, name="store_holds"),
    path("s/<int:store_id>/move", views.move_store, name="move_store"),
    path("s/<int:store_id>/edit", views.edit_store, name="edit_store"),
    path("s/<int:store_id>/strike-out", views.strike_out_store, name="strike_out_store"),
]
