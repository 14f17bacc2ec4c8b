"""Forms of the job cards: the card, and what is laid out on it."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover import units
from tickover.faultfinding.naming import parse_complaint
from tickover.records.as_search import loom_of
from tickover.records.job_order import makes_a_circle
from tickover.records.models import (
    Build,
    JobCard,
    JobOrder,
    JobPart,
    JobStep,
    Limit,
    NeededReading,
    Part,
)
from tickover.records.models.words import Milestone
from tickover.records.taking import as_taken
from tickover.shed.base.choosing import RecordChoiceField
from tickover.shed.base.forms import RecordForm
from tickover.standards.instruments import INSTRUMENTS

MOST_STEPS = 200
MOST_HOURS = 1000


class JobCardForm(RecordForm):
    class Meta:
        model = JobCard
        fields = [
            "title",
            "chapter",
            "needed_for",
            "why",
            "caution",
            "tools",
            "consumables",
            "hours",
            "complaint",
            "remark",
        ]
        help_texts = {"caution": "Left empty, the usual caution of its chapter stands on the card."}
        error_messages = {
            "title": {"required": "Give the job a title, such as “Fit the starter”."},
            "hours": {"invalid": "Give the hours as a number, such as 1.5, or leave them out."},
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["needed_for"].choices = [("", "no milestone by itself"), *Milestone.choices]

    def clean_complaint(self) -> str:
        typed: str = self.cleaned_data["complaint"].strip()
        if not typed:
            return ""
        try:
            return str(parse_complaint(typed, loom_of(self.build)))
        except units.BadInput as problem:
            raise forms.ValidationError(str(problem)) from problem

    def clean_hours(self) -> float | None:
        hours: float | None = self.cleaned_data["hours"]
        if hours is not None and not 0 < hours <= MOST_HOURS:
            raise forms.ValidationError(f"Give the hours as a number above 0 and up to {MOST_HOURS}.")
        return hours


class StepForm(RecordForm):
    class Meta:
        model = JobStep
        fields = ["says"]
        error_messages = {"says": {"required": "Say what the step is."}}


class NewStepsForm(forms.Form):
    """Steps to add at the end, one a line."""

    template_name = "base/form.html"
    says = forms.CharField(
        label="steps to add, one a line",
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Write at least one step, one a line."},
    )

    def clean_says(self) -> list[str]:
        lines = [line.strip() for line in self.cleaned_data["says"].splitlines() if line.strip()]
        if not lines:
            raise forms.ValidationError("Write at least one step, one a line.")
        if len(lines) > MOST_STEPS:
            raise forms.ValidationError(f"A card takes up to {MOST_STEPS} steps at once; split the job.")
        return lines


class NewJobPartForm(forms.Form):
    template_name = "base/form.html"
    part = RecordChoiceField(
        Part.objects.none(),
        empty_label="choose the part",
        error_messages={"required": "Choose the part.", "invalid_choice": "Choose one of this bike’s parts."},
    )
    role = forms.ChoiceField(
        label="the job",
        choices=[
            (JobPart.Role.FITS, "fits it: it is on and ready afterwards"),
            (JobPart.Role.NEEDS, "needs it at hand or already on"),
        ],
    )

    def __init__(self, *args: Any, card: JobCard, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"].queryset = Part.objects.filter(build_id=card.build_id)
        self.card = card

    def clean_part(self) -> Part:
        part: Part = self.cleaned_data["part"]
        if JobPart.objects.filter(card=self.card, part=part).exists():
            raise forms.ValidationError(f"“{part}” is already on this card; strike it out there first.")
        return part


class NewNeededReadingForm(forms.Form):
    template_name = "base/form.html"
    limit = RecordChoiceField(
        Limit.objects.none(),
        required=False,
        empty_label="no limit on record",
        error_messages={"invalid_choice": "Choose one of this bike’s limits."},
    )
    name = forms.CharField(
        label="what to measure", max_length=160, required=False, help_text="Left empty, the limit’s own name."
    )
    dimension = forms.ChoiceField(
        label="kind of quantity", required=False, help_text="With a limit, the limit’s kind counts."
    )

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["limit"].queryset = Limit.objects.filter(build=build)
        self.fields["dimension"].choices = [(name, name.replace("_", " ")) for name in units.DIMENSIONS]
        self.fields["dimension"].initial = "length"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        limit = cleaned.get("limit")
        if limit is None and not cleaned.get("name") and not self.errors:
            self.add_error("name", "Say what to measure, or choose a limit.")
        if limit is not None:
            cleaned["name"] = cleaned.get("name") or limit.name
            cleaned["dimension"] = limit.dimension
        cleaned["dimension"] = cleaned.get("dimension") or "length"
        return cleaned


class NewOrderForm(forms.Form):
    """Another card, before or after this one, and why."""

    template_name = "base/form.html"
    side = forms.ChoiceField(label="this job comes", choices=[("after", "after"), ("before", "before")])
    other = RecordChoiceField(
        JobCard.objects.none(),
        empty_label="choose the job",
        label="the job",
        error_messages={
            "required": "Choose the other job.",
            "invalid_choice": "Choose another job of this bike.",
        },
    )
    why = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, card: JobCard, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["other"].queryset = JobCard.objects.filter(build_id=card.build_id).exclude(pk=card.pk)
        self.card = card

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        other = cleaned.get("other")
        if other is not None and "side" in cleaned:
            first, then = (other, self.card) if cleaned["side"] == "after" else (self.card, other)
            if JobOrder.objects.filter(first=first, then=then).exists():
                self.add_error("other", f"“{first}” already comes before “{then}”.")
            elif makes_a_circle(first, then):
                self.add_error("other", f"“{then}” already comes before “{first}”; both ways round cannot be.")
            cleaned["first"], cleaned["then"] = first, then
        return cleaned


class TakenForm(forms.Form):
    """A needed reading as it is taken: the value in any unit, and what it was read with."""

    typed = forms.CharField(
        label="reading",
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Type what was read, with its unit."},
    )
    instrument = forms.ChoiceField(
        label="read with",
        required=False,
        error_messages={"invalid_choice": "Choose what it was read with, or “not said”."},
    )

    def __init__(self, *args: Any, needed: NeededReading, **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"needed-{needed.pk}", **kwargs)
        self.needed = needed
        fitting = [one for one in INSTRUMENTS.values() if one.dimension == needed.dimension]
        self.fields["instrument"].choices = [("", "not said"), *((one.id, one.name) for one in fitting)]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        try:
            taken = as_taken(cleaned["typed"], self.needed.dimension, cleaned["instrument"], self.needed.build.system)
        except units.BadInput as problem:
            self.add_error("typed", str(problem))
            return cleaned
        cleaned |= {"typed": taken.typed, "value": taken.value, "plus_minus": taken.plus_minus}
        return cleaned
