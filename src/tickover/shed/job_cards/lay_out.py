"""What stands on a job card: its steps and their order, parts, needed readings, and jobs before and after."""

from __future__ import annotations

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from tickover.records.models import JobCard, JobOrder, JobPart, JobStep, NeededReading, Record
from tickover.records.sign_off import must_be_open
from tickover.shed.base.pages import record_form, writing
from tickover.shed.job_cards.forms import (
    NewJobPartForm,
    NewNeededReadingForm,
    NewOrderForm,
    NewStepsForm,
    StepForm,
)


def _card(card_id: int) -> JobCard:
    return get_object_or_404(JobCard.objects.select_related("build"), pk=card_id)


def lay_out(request: HttpRequest, card_id: int) -> HttpResponse:
    """Show what stands on the card with a form to add to each; POST adds one kind, named by ``add``."""
    card = _card(card_id)
    add = request.POST.get("add", "") if request.method == "POST" else ""
    all_forms: dict[str, forms.Form] = {
        "steps": NewStepsForm(request.POST if add == "steps" else None, prefix="steps"),
        "part": NewJobPartForm(request.POST if add == "part" else None, prefix="part", card=card),
        "reading": NewNeededReadingForm(request.POST if add == "reading" else None, prefix="reading", build=card.build),
        "order": NewOrderForm(request.POST if add == "order" else None, prefix="order", card=card),
    }
    if request.method == "POST":
        if add not in all_forms:
            raise Http404
        must_be_open(card)
        if all_forms[add].is_valid():
            _add(request, card, add, all_forms[add].cleaned_data)
            return redirect(f"{reverse('lay_out', args=[card.pk])}#{add}")
    context = {
        "build": card.build,
        "chapter": "job_cards",
        "card": card,
        "forms": all_forms,
        "steps": list(card.steps.all()),
        "parts": card.job_parts.select_related("part").order_by("role", "part__name"),
        "readings": card.needed_readings.select_related("limit"),
        "before": card.comes_after.select_related("first"),
        "after": card.comes_before.select_related("then"),
    }
    return render(request, "job_cards/lay_out.html", context, status=422 if add else 200)


def _add(request: HttpRequest, card: JobCard, add: str, given: dict[str, object]) -> None:
    says = {
        "steps": "steps added",
        "part": "part added",
        "reading": "needed reading added",
        "order": "order set",
    }
    with writing(request, f"{card}: {says[add]}"):
        if add == "steps":
            last = card.steps.order_by("number").last()
            first = last.number + 1 if last else 1
            for number, line in enumerate(given["says"], start=first):  # type: ignore[arg-type]
                JobStep(build=card.build, card=card, number=number, says=line).save()
        elif add == "part":
            JobPart(build=card.build, card=card, part=given["part"], role=given["role"]).save()
        elif add == "reading":
            NeededReading(
                build=card.build,
                card=card,
                name=given["name"],
                dimension=given["dimension"],
                limit=given["limit"],
            ).save()
        else:
            JobOrder(build=card.build, first=given["first"], then=given["then"], why=given["why"]).save()


@require_POST
def move_step(request: HttpRequest, card_id: int, step_id: int) -> HttpResponse:
    """Change a step over with the one above it, or below it."""
    card = _card(card_id)
    must_be_open(card)
    step = get_object_or_404(JobStep, pk=step_id, card=card)
    up = request.POST.get("to") == "up"
    others = card.steps.filter(number__lt=step.number) if up else card.steps.filter(number__gt=step.number)
    other = others.order_by("-number" if up else "number").first()
    if other is not None:
        with writing(request, f"{card}: step moved {'up' if up else 'down'}"):
            mine, theirs = step.number, other.number
            last = card.steps.order_by("number").last()
            step.number = (last.number if last else 0) + 1  # out of the way: no two steps share a number
            step.save()
            other.number = mine
            other.save()
            step.number = theirs
            step.save()
    return redirect(f"{reverse('lay_out', args=[card.pk])}#steps")


def edit_step(request: HttpRequest, card_id: int, step_id: int) -> HttpResponse:
    card = _card(card_id)
    must_be_open(card)
    step = get_object_or_404(JobStep, pk=step_id, card=card)
    return record_form(request, StepForm, card.build, record=step, title=f"Edit a step of {card}", chapter="job_cards")


KINDS: dict[str, type[Record]] = {
    "step": JobStep,
    "part": JobPart,
    "reading": NeededReading,
    "order": JobOrder,
}


@require_POST
def strike_out(request: HttpRequest, card_id: int, kind: str, row_id: int) -> HttpResponse:
    """Strike one row of the card out. It is small and can be taken back, so nothing is asked first."""
    card = _card(card_id)
    must_be_open(card)
    if kind not in KINDS:
        raise Http404
    row = get_object_or_404(KINDS[kind], pk=row_id, build_id=card.build_id)
    if card.pk not in {getattr(row, f"{name}_id", None) for name in ("card", "first", "then")}:
        raise Http404
    with writing(request, f"{card}: struck out {row._meta.verbose_name} “{row}”"[:300]):
        row.delete()
    anchor = "steps" if kind == "step" else kind
    return redirect(f"{reverse('lay_out', args=[card.pk])}#{anchor}")
