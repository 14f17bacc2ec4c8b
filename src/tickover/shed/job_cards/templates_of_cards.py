"""Job card templates: choose one, see what it would write for this bike, write the card."""

from __future__ import annotations

from itertools import groupby

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from tickover.chapters.cautions import CLEANING_CHEMICALS
from tickover.planning import card_templates
from tickover.planning.card_templates import CardTemplate, ReadingWanted, names_of
from tickover.records.from_template import PartFound, limit_for, names_on, parts_for, write_card
from tickover.records.models import Build, Limit
from tickover.records.models.words import Chapter
from tickover.shed.base.choosing import RecordChoiceField
from tickover.shed.base.forms import in_plain_words
from tickover.shed.base.pages import writing
from tickover.units import BadInput


def card_templates_list(request: HttpRequest, build_id: int) -> HttpResponse:
    """Every template by chapter, and the table of ultrasonic baths."""
    build = get_object_or_404(Build, pk=build_id)
    order = list(Chapter.values)
    templates = sorted(card_templates.all_templates().values(), key=lambda one: order.index(one.chapter))
    context = {
        "build": build,
        "chapter": "job_cards",
        "by_chapter": [
            (Chapter(name).label, list(group)) for name, group in groupby(templates, key=lambda one: one.chapter)
        ],
        "baths": card_templates.baths(),
        "bath_caution": CLEANING_CHEMICALS,
        "titles": set(build.jobcards.values_list("title", flat=True)),
    }
    return render(request, "job_cards/card_templates.html", context)


class FromTemplateForm(forms.Form):
    """What a builder settles before the card is written: its title, its parts, the limit of each reading."""

    title = forms.CharField(label="job", max_length=160)

    def __init__(
        self, *args: object, build: Build, found: list[PartFound], wanted: list[ReadingWanted], **kwargs: object
    ) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.found, self.wanted = found, wanted
        limits = list(build.limits.all())
        for one in found:
            self.fields[f"part-{one.part.pk}"] = forms.BooleanField(
                label=str(one.part), required=False, initial=one.sure
            )
        for number, reading in enumerate(wanted):
            near = limit_for(reading, limits)
            self.fields[f"limit-{number}"] = RecordChoiceField(
                Limit.objects.filter(build=build, dimension=reading.dimension),
                label=reading.name,
                required=False,
                empty_label="no limit on record",
                initial=near.pk if near else None,
            )
        in_plain_words(self.fields)

    @property
    def part_rows(self) -> list[tuple[PartFound, forms.BoundField]]:
        return [(one, self[f"part-{one.part.pk}"]) for one in self.found]

    @property
    def limit_rows(self) -> list[forms.BoundField]:
        return [self[f"limit-{number}"] for number in range(len(self.wanted))]


def card_from_template(request: HttpRequest, build_id: int, template_id: str) -> HttpResponse:
    """What a template writes for this bike; POST writes it, as one change."""
    build = get_object_or_404(Build, pk=build_id)
    try:
        template = card_templates.get(template_id)
    except BadInput as problem:
        raise Http404(str(problem)) from problem
    typed = request.POST.get("each") or request.GET.get("each") or names_on(build, template)
    wrong, each = "", [""]
    if template.each:
        try:
            each = names_of(typed, template.each)
        except BadInput as problem:
            wrong = str(problem)
            each = names_of(template.each_usual, template.each)
    form = FromTemplateForm(
        request.POST or None,
        build=build,
        found=parts_for(build, template),
        wanted=template.readings_for(each),
        initial={"title": template.title},
    )
    if request.method == "POST" and form.is_valid() and not wrong:
        return _write(request, build, template, each, form)
    context = {
        "build": build,
        "chapter": "job_cards",
        "template": template,
        "each": typed,
        "wrong": wrong,
        "steps": template.steps_for(each),
        "form": form,
        "same": build.jobcards.filter(title=template.title, signed_off_at=None).first(),
    }
    return render(
        request, "job_cards/card_template.html", context, status=422 if wrong or request.method == "POST" else 200
    )


def _write(
    request: HttpRequest, build: Build, template: CardTemplate, each: list[str], form: FromTemplateForm
) -> HttpResponse:
    given = form.cleaned_data
    with writing(request, f"Job card from a template: {given['title']}"[:300]):
        card = write_card(
            build,
            template,
            each,
            title=given["title"],
            parts=[(one.part, one.role) for one in form.found if given[f"part-{one.part.pk}"]],
            limits=[given[f"limit-{number}"] for number in range(len(form.wanted))],
        )
    messages.success(request, "Written. Steps, parts and readings can be changed on it.")
    return redirect(card)
