"""The job cards of a build, the plan towards a milestone, and writing and striking out a card."""

from __future__ import annotations

from itertools import groupby

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from tickover.records.as_plan import plan_of
from tickover.records.models import Build, JobCard
from tickover.records.models.words import Chapter, Milestone, in_chapter_order
from tickover.shed.base.pages import record_form
from tickover.shed.base.strike_out import strike_out
from tickover.shed.job_cards import cautions
from tickover.shed.job_cards.forms import JobCardForm

A_PAGE = 40


def job_cards(request: HttpRequest, build_id: int) -> HttpResponse:
    """The cards in planned order, or all by chapter, or those signed off."""
    build = get_object_or_404(Build, pk=build_id)
    show = request.GET.get("show", "order")
    cards = JobCard.objects.filter(build=build)
    context: dict[str, object] = {"build": build, "chapter": "job_cards", "show": show, "count": cards.count()}
    context["plan"] = way = plan_of(build)
    if show == "chapters":
        states = {planned.job.id: planned.state for planned in way.needed}
        page = Paginator(cards.order_by(in_chapter_order(), "pk"), A_PAGE).get_page(request.GET.get("page"))
        context["page"] = page
        context["chapters_of_cards"] = [
            (Chapter(chapter).label, [(card, states.get(card.pk, "can wait")) for card in group])
            for chapter, group in groupby(page.object_list, key=lambda card: card.chapter)
        ]
    elif show == "done":
        signed = cards.filter(signed_off_at__isnull=False).order_by("-signed_off_at", "-pk")
        context["page"] = Paginator(signed, A_PAGE).get_page(request.GET.get("page"))
    else:
        context["show"] = "order"
    return render(request, "job_cards/job_cards.html", context)


def plan(request: HttpRequest, build_id: int) -> HttpResponse:
    """The whole way to a milestone, with its reasons. Another milestone is looked at, not chosen."""
    build = get_object_or_404(Build, pk=build_id)
    way = plan_of(build, request.GET.get("milestone") or None)
    titles = {planned.job.id: planned.job for planned in way.needed}
    context = {
        "build": build,
        "chapter": "job_cards",
        "plan": way,
        "milestones": Milestone.values,
        "caution": cautions.of_plan(way.milestone),
        "must_be_on": [
            (
                planned,
                [titles[job] for job in planned.jobs if job in titles],
                [why for why in planned.reasons if why != f"{way.milestone} needs it"],
            )
            for planned in way.must_be_on
        ],
    }
    return render(request, "job_cards/plan.html", context)


def new_job_card(request: HttpRequest, build_id: int) -> HttpResponse:
    build = get_object_or_404(Build, pk=build_id)
    return record_form(
        request, JobCardForm, build, title="New job card", chapter="job_cards",
        initial={"chapter": request.GET.get("chapter", Chapter.ENGINE)},
        done="Kept. Now lay out its steps, parts and readings.",
    )  # fmt: skip


def edit_job_card(request: HttpRequest, card_id: int) -> HttpResponse:
    card = get_object_or_404(JobCard.objects.select_related("build"), pk=card_id)
    return record_form(
        request, JobCardForm, card.build, record=card, title=f"Edit {card}", chapter="job_cards", done="Kept."
    )


def strike_out_job_card(request: HttpRequest, card_id: int) -> HttpResponse:
    card = get_object_or_404(JobCard.objects.select_related("build"), pk=card_id)
    return strike_out(request, card, chapter="job_cards", then=reverse("job_cards", args=[card.build_id]))
