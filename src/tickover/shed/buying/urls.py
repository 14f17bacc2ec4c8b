from django.urls import path

from tickover.shed.buying import views

urlpatterns = [
    path("b/<int:build_id>/buying", views.buying, name="buying"),
    path("b/<int:build_id>/buying/new", views.new_purchase, name="new_purchase"),
    path("o/<int:purchase_id>", views.purchase, name="purchase"),
    path("o/<int:purchase_id>/edit", views.edit_purchase, name="edit_purchase"),
    path("o/<int:purchase_id>/strike-out", views.strike_out_purchase, name="strike_out_purchase"),
    path("o/<int:purchase_id>/ordered", views.ordered, name="ordered"),
    path("o/<int:purchase_id>/arrived", views.arrived, name="arrived"),
]
