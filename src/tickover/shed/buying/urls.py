from django.urls import path

from tickover.shed.buying import views

urlpatterns = [
    path("b/<int:build_id>/buying", views.buying, name="buying"),
]
