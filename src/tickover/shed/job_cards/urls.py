from django.urls import path

from tickover.shed.job_cards import card, lay_out, templates_of_cards, views

urlpatterns = [
    path("b/<int:build_id>/job-cards", views.job_cards, name="job_cards"),
    path("b/<int:build_id>/plan", views.plan, name="plan"),
    path("b/<int:build_id>/job-cards/new", views.new_job_card, name="new_job_card"),
    path("b/<int:build_id>/job-cards/templates", templates_of_cards.card_templates_list, name="card_templates"),
    path(
        "b/<int:build_id>/job-cards/templates/<slug:template_id>",
        templates_of_cards.card_from_template,
        name="card_from_template",
    ),
    path("j/<int:card_id>", card.job_card, name="job_card"),
    path("j/<int:card_id>/edit", views.edit_job_card, name="edit_job_card"),
    path("j/<int:card_id>/strike-out", views.strike_out_job_card, name="strike_out_job_card"),
    path("j/<int:card_id>/tick/<int:step_id>", card.tick, name="tick_step"),
    path("j/<int:card_id>/joint/<int:set_id>", card.set_joint, name="set_joint"),
    path("j/<int:card_id>/take/<int:needed_id>", card.take_reading, name="take_needed_reading"),
    path("j/<int:card_id>/use/<int:needed_id>", card.use_reading, name="use_reading"),
    path("j/<int:card_id>/sign-off", card.sign_off, name="sign_off"),
    path("j/<int:card_id>/open-again", card.open_again, name="open_again"),
    path("j/<int:card_id>/lay-out", lay_out.lay_out, name="lay_out"),
    path("j/<int:card_id>/lay-out/move/<int:step_id>", lay_out.move_step, name="move_step"),
    path("j/<int:card_id>/lay-out/step/<int:step_id>", lay_out.edit_step, name="edit_step"),
    path(
        "j/<int:card_id>/lay-out/<str:kind>/<int:row_id>/strike-out",
        lay_out.strike_out,
        name="strike_out_row",
    ),
]
