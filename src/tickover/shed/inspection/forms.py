"""Forms of inspections: beginning one, one reading at a time, and its places."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.planning.card_templates import names_of
from tickover.planning.inspections import Pattern
from tickover.records.inspecting import limit_of
from tickover.records.models import Build, Inspection, InspectionLine, Limit, Part
from tickover.records.models.words import Chapter
from tickover.records.taking import LONGEST, as_taken
from tickover.shed.base.choosing import RecordChoiceField
from tickover.shed.base.forms import RecordForm, in_plain_words
from tickover.shed.readings.forms import LimitForm
from tickover.standards.instruments import INSTRUMENTS
from tickover.units import BadInput

MOST_PLACES = 200


class InspectionForm(RecordForm):
    class Meta:
        model = Inspection
        fields = ("name", "chapter", "remark")
        error_messages = {"name": {"required": "Say what is inspected, such as “Cylinder bores”."}}


class PlaceForm(RecordForm):
    class Meta:
        model = InspectionLine
        fields = ("name", "limit", "part")
        error_messages = {"name": {"required": "Say where it is read, such as “left bore, top”."}}


class PlacesForm(forms.Form):
    """Places to read, one a line, with the limit and the part they share."""

    template_name = "base/form.html"
    places = forms.CharField(
        label="places to read, one a line",
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": "Write at least one place, one a line."},
    )
    limit = RecordChoiceField(Limit.objects.none(), required=False, empty_label="no limit on record")
    part = RecordChoiceField(Part.objects.none(), required=False, empty_label="no part")

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["limit"].queryset = Limit.objects.filter(build=build)  # type: ignore[attr-defined]
        self.fields["part"].queryset = Part.objects.filter(build=build)  # type: ignore[attr-defined]
        in_plain_words(self.fields)

    def clean_places(self) -> list[str]:
        lines = [" ".join(line.split()) for line in self.cleaned_data["places"].splitlines() if line.strip()]
        if len(lines) > MOST_PLACES:
            raise forms.ValidationError(f"An inspection takes up to {MOST_PLACES} places at once; make two of it.")
        if any(len(line) > 160 for line in lines):
            raise forms.ValidationError("A place’s name has at most 160 characters; shorten the longest.")
        return lines


class ByHandForm(PlacesForm):
    """An inspection without a pattern."""

    name = forms.CharField(
        label="what is inspected",
        max_length=160,
        error_messages={"required": "Say what is inspected, such as “Gearbox shafts”."},
    )
    chapter = forms.ChoiceField(choices=Chapter.choices, initial=Chapter.ENGINE)
    field_order = ["name", "chapter", "places", "limit", "part"]


class BeginForm(forms.Form):
    """An inspection from a pattern: its name, which ones, and each kind of place's limit, chosen or written down."""

    name = forms.CharField(label="what is inspected", max_length=160)

    def __init__(self, *args: Any, build: Build, pattern: Pattern, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build, self.pattern = build, pattern
        self.fields["name"].initial = pattern.title
        if pattern.each:
            self.fields["each"] = forms.CharField(
                label=f"which ones: each {pattern.each}",
                max_length=400,
                required=False,
                help_text=f"Names with commas between, such as {pattern.each_usual}, or how many there are.",
            )
        on_record = list(build.limits.all())
        self.new_limits: list[LimitForm] = []
        for number, group in enumerate(pattern.groups):
            near = limit_of(group, on_record)
            self.fields[f"limit-{number}"] = RecordChoiceField(
                Limit.objects.filter(build=build, dimension=group.dimension),
                label=f"limit: {group.limit.split('|')[0]}",
                required=False,
                empty_label="no limit on record",
                initial=near.pk if near else None,
            )
            self.new_limits.append(self._new_limit(number))
        in_plain_words(self.fields)

    def _new_limit(self, number: int) -> LimitForm:
        """A limit's form for one kind of place, of which only the bounds and the source are asked."""
        group, prefix = self.pattern.groups[number], f"new-{number}"
        settled = {
            "name": group.limit.split("|")[0],
            "chapter": self.pattern.chapter,
            "dimension": group.dimension,
        }
        data = None
        if self.is_bound:
            data = self.data.copy()
            data.update({f"{prefix}-{name}": value for name, value in settled.items()})
        return LimitForm(data, build=self.build, prefix=prefix)

    def written(self, number: int) -> bool:
        """Whether any bound of this kind of place was typed."""
        return any(str(self.data.get(f"new-{number}-{bound}", "")).strip() for bound in (*LimitForm.BOUNDS, "source"))

    def clean_each(self) -> list[str]:
        try:
            return names_of(self.cleaned_data["each"], self.pattern.each)
        except BadInput as problem:
            raise forms.ValidationError(str(problem)) from problem

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for number, new in enumerate(self.new_limits):
            if self.written(number):
                if not new.is_valid():
                    self.add_error(f"limit-{number}", "Something about the new limit below is not right yet.")
                elif cleaned.get(f"limit-{number}") is not None:
                    self.add_error(
                        f"limit-{number}",
                        "Choose a limit on record or write a new one, not both: choose “no limit on record”, "
                        "or empty the figures below.",
                    )
        return cleaned

    @property
    def limit_rows(self) -> list[tuple[forms.BoundField, LimitForm, list[forms.BoundField], bool]]:
        """For each kind of place: the choice of a limit, a new limit's form and its fields, and whether it is open."""
        return [
            (
                self[f"limit-{number}"],
                new,
                [new[bound] for bound in (*LimitForm.BOUNDS, "source")],
                self.written(number) if self.is_bound else False,
            )
            for number, new in enumerate(self.new_limits)
        ]


class TakeForm(forms.Form):
    """One reading of an inspection, as it is taken."""

    typed = forms.CharField(
        label="reading",
        max_length=LONGEST,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autofocus": True}),
        error_messages={"required": "Type what was read, with its unit, or skip it."},
    )
    instrument = forms.ChoiceField(
        label="read with",
        required=False,
        error_messages={"invalid_choice": "Choose what it was read with, or “not said”."},
    )

    def __init__(self, *args: Any, dimension: str, system: str, read_with: tuple[str, ...] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.dimension, self.system = dimension, system
        fitting = [one for one in INSTRUMENTS.values() if one.dimension == dimension]
        fitting.sort(key=lambda one: one.id not in read_with)
        self.fields["instrument"].choices = [  # type: ignore[attr-defined]
            ("", "not said"),
            *((one.id, one.name) for one in fitting),
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "typed" in cleaned and "instrument" in cleaned:
            try:
                cleaned["taken"] = as_taken(cleaned["typed"], self.dimension, cleaned["instrument"], self.system)
            except BadInput as problem:
                self.add_error("typed", str(problem))
        return cleaned
