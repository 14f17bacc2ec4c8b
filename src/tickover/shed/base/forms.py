"""Forms over records: quantities typed in any unit, choices from this build only, one sentence where it is wrong."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import ForeignKey

from tickover import units
from tickover.records.models import Build, Record
from tickover.shed.base.choosing import RecordChoiceField


class MeasureField(forms.CharField):
    """A quantity as the trade types it; the cleaned value is SI."""

    def __init__(self, dimension: str, *, system: str = "metric", **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.dimension = dimension
        self.system = system
        self.widget.attrs.setdefault("inputmode", "text")
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, (int, float)):
            return units.show(float(value), self.dimension, system=self.system)
        return value

    def to_python(self, value: Any) -> float | None:
        if value in self.empty_values:
            return None
        if isinstance(value, (int, float)):
            return float(value)
        try:
            own = units.DIMENSIONS[self.dimension].default(self.system)
            return units.parse(str(value), self.dimension, unit=own.symbol).value
        except units.BadInput as problem:
            raise forms.ValidationError(str(problem)) from problem

    def validate(self, value: Any) -> None:
        if value is None and self.required:
            raise forms.ValidationError(self.error_messages["required"], code="required")

    def run_validators(self, value: Any) -> None:
        return None

    def has_changed(self, initial: Any, data: Any) -> bool:
        return (self.prepare_value(initial) or "") != (data or "")


_RIGHT = {
    forms.DateTimeField: "Write date and time as 2026-03-01 10:00.",
    forms.DateField: "Write a date as 2026-03-01.",
    forms.FloatField: "Write a number, such as 2.5.",
    forms.DecimalField: "Write a number, such as 12.50.",
    forms.IntegerField: "Write a whole number, such as 4.",
}


def in_plain_words(fields: dict[str, forms.Field]) -> None:
    """What is wrong with a field in one sentence of the house's, unless the form has its own for it."""
    for field in fields.values():
        right = next((says for kind, says in _RIGHT.items() if isinstance(field, kind)), None)
        ours = {
            "required": f"This is needed: {field.label}.",
            "invalid_choice": "“%(value)s” is not in the list; choose one that is.",
            **({"invalid": right} if right else {}),
        }
        for code, says in ours.items():
            if code in field.error_messages and field.error_messages[code] == _usual(field, code):
                field.error_messages[code] = says


def _usual(field: forms.Field, code: str) -> object:
    """What Django says where a form says nothing of its own."""
    kinds = (vars(kind).get("default_error_messages", {}) for kind in type(field).__mro__)
    return next((said[code] for said in kinds if code in said), None)


def of_build(field: forms.ModelChoiceField, build: Build) -> RecordChoiceField:
    """A model's own field for a record, with those of one build to choose from."""
    return RecordChoiceField(
        field.queryset.filter(build=build),  # type: ignore[union-attr]
        label=field.label,
        required=field.required,
        initial=field.initial,
        help_text=field.help_text,
        empty_label="–" if field.empty_label is not None else None,
        error_messages=field.error_messages,
    )


class RecordForm(forms.ModelForm):  # type: ignore[type-arg]
    """A record's form. ``build`` limits its choices; a model's ``dimensions`` are typed with units."""

    template_name = "base/form.html"

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build = build
        self.instance.build = build
        for name, dimension in getattr(self._meta.model, "dimensions", {}).items():
            if name in self.fields:
                shown = self.fields[name]
                self.fields[name] = MeasureField(
                    dimension,
                    system=build.system,
                    required=shown.required,
                    label=shown.label,
                    help_text=shown.help_text,
                )
        for name, field in list(self.fields.items()):
            if isinstance(field, forms.ModelChoiceField):
                related = self._meta.model._meta.get_field(name)
                if isinstance(related, ForeignKey) and issubclass(related.related_model, Record):
                    self.fields[name] = of_build(field, build)
            if isinstance(field.widget, forms.DateInput):
                field.widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            if isinstance(field.widget, forms.Textarea):
                field.widget.attrs["rows"] = 3
        in_plain_words(self.fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name, field in self.fields.items():
            if isinstance(field, MeasureField) and name in cleaned and name not in self.changed_data:
                cleaned[name] = self.initial.get(name)
        return cleaned
