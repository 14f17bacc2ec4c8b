from django.urls import path

from tickover.shed.sheets import views

urlpatterns = [
    path("b/<int:build_id>/sheets", views.sheets, name="sheets"),
    path("b/<int:build_id>/sheets/<str:sheet_id>", views.sheet, name="sheet"),
    path("b/<int:build_id>/sheets/<str:sheet_id>/worked", views.worked, name="sheet_worked"),
    path("b/<int:build_id>/sheets/<str:sheet_id>/drawing.<str:form>", views.drawing, name="sheet_drawing"),
    path("y/<int:saved_id>", views.saved_sheet, name="saved_sheet"),
    path("y/<int:saved_id>/again", views.work_again, name="work_again"),
    path("y/<int:saved_id>/strike-out", views.strike_out_sheet, name="strike_out_sheet"),
]
