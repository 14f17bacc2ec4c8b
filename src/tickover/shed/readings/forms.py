"""Forms of readings and limits: values typed with their units, of the kind of quantity they are."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils import timezone

from tickover import units
from tickover.records.models import Limit, Reading
from tickover.shed.base.forms import RecordForm
from tickover.standards.instruments import INSTRUMENTS
from tickover.units import DIMENSIONS, BadInput

_BARE = re.compile(r"[\d\s.,/±()+−-]+")
"""A figure without a unit; it is kept with the one it was taken to have."""

KINDS = sorted((name, name.replace("_", " ")) for name in DIMENSIONS)


def bare_unit(dimension: str, system: str) -> str:
    """The unit of a number that was typed without one: the build's own."""
    return DIMENSIONS[dimension].default("metric" if system == "metric" else "inch-pound").symbol


def instrument_choices() -> list[tuple[str, Any]]:
    """The instruments by what they measure."""
    by_kind: dict[str, list[tuple[str, str]]] = {}
    for instrument in INSTRUMENTS.values():
        by_kind.setdefault(instrument.dimension, []).append((instrument.id, instrument.name))
    return [("", "none, or not known"), *((kind.replace("_", " "), rows) for kind, rows in by_kind.items())]


class ReadingForm(RecordForm):
    """What was measured, what was read, and with what. Limit and instrument say which quantity it is."""

    may_wait = "reading"

    instrument = forms.ChoiceField(label="read with", required=False)
    dimension = forms.ChoiceField(
        label="kind of quantity",
        required=False,
        choices=[("", "as the limit or the instrument says"), *KINDS],
    )

    class Meta:
        model = Reading
        fields = ("name", "typed", "instrument", "limit", "part", "dimension", "taken_at", "remark")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["instrument"].choices = instrument_choices()  # type: ignore[attr-defined]
        self.fields["typed"].help_text = "With its unit: 61.24 mm, 12 thou, 9.5 bar, 61.24 ± 0.02 mm."
        self.fields["typed"].widget.attrs["autocomplete"] = "off"
        self.fields["taken_at"].widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        self.fields["name"].required = False
        self.fields["name"].help_text = "Left empty, it is named as the limit is."
        if self.instance.pk is None:
            self.initial["dimension"] = ""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        limit: Limit | None = cleaned.get("limit")
        instrument = INSTRUMENTS.get(cleaned.get("instrument") or "")
        if not cleaned.get("name"):
            if limit is None:
                self.add_error("name", "Say what was measured, or choose the limit it is held against.")
            else:
                cleaned["name"] = limit.name
        if limit is not None and cleaned.get("part") is None:
            cleaned["part"] = limit.part
        dimension = (
            limit.dimension if limit else cleaned.get("dimension") or (instrument.dimension if instrument else "")
        )
        if not dimension:
            self.add_error("dimension", "Choose the kind of quantity, or the instrument it was read with.")
            return cleaned
        if instrument is not None and instrument.dimension != dimension:
            self.add_error(
                "instrument",
                f"A {instrument.name} reads {instrument.dimension.replace('_', ' ')}, and this is a "
                f"{dimension.replace('_', ' ')}; choose another instrument or none.",
            )
            return cleaned
        cleaned["dimension"] = dimension
        if cleaned.get("typed"):
            self._measure(cleaned["typed"], dimension)
        return cleaned

    def _measure(self, typed: str, dimension: str) -> None:
        """Take the value and its uncertainty: typed as ±, else the instrument's, else none."""
        instrument = INSTRUMENTS.get(self.cleaned_data.get("instrument") or "")
        try:
            measure = units.parse(typed, dimension, unit=bare_unit(dimension, self.build.system))
        except BadInput as problem:
            self.add_error("typed", str(problem))
            return
        if instrument is not None and not instrument.low <= measure.value <= instrument.high:
            low, high = (
                units.show(bound, dimension, system=self.build.system) for bound in (instrument.low, instrument.high)
            )
            self.add_error(
                "typed",
                f"A {instrument.name} reads from {low} to {high}; check the figure and the instrument.",
            )
            return
        plus_minus = measure.plus_minus
        if not plus_minus and instrument is not None:
            plus_minus = instrument.uncertainty(measure.value)
        self.instance.value, self.instance.plus_minus = measure.value, plus_minus
        with_unit = f"{typed.strip()} {bare_unit(dimension, self.build.system)}".strip()
        if _BARE.fullmatch(typed) and len(with_unit) <= 60:
            self.cleaned_data["typed"] = with_unit


class LimitForm(RecordForm):
    """Standard values and service limits, typed in any unit of the chosen kind of quantity."""

    BOUNDS = ("standard_low", "standard_high", "service_low", "service_high")

    dimension = forms.ChoiceField(label="kind of quantity", choices=KINDS, initial="length")

    class Meta:
        model = Limit
        fields = ("name", "chapter", "part", "dimension", "source")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.BOUNDS:
            kept = getattr(self.instance, name)
            shown = (
                "" if kept is None else units.show(kept, self.instance.dimension, system=self.build.system, digits=7)
            )
            column = Limit._meta.get_field(name)
            self.fields[name] = forms.CharField(
                label=str(column.verbose_name),
                required=False,
                initial=shown,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )
        self.fields["service_high"].help_text = "Where there is only a lowest or a highest, leave the other empty."
        self.fields["source"].help_text = "The book and its page, or who gave the figure."
        self.order_fields(["name", "chapter", "part", "dimension", *self.BOUNDS, "source"])

    def clean_dimension(self) -> str:
        dimension: str = self.cleaned_data["dimension"]
        if self.instance.pk and dimension != self.instance.dimension and self.instance.readings.exists():
            raise forms.ValidationError(
                f"Readings of {self.instance.dimension.replace('_', ' ')} are held against this limit; "
                "write down a new limit for another kind of quantity."
            )
        return dimension

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        dimension = cleaned.get("dimension")
        if not dimension:
            return cleaned
        for name in self.BOUNDS:
            typed = (cleaned.get(name) or "").strip()
            if self.instance.pk and name not in self.changed_data and "dimension" not in self.changed_data:
                cleaned[name] = getattr(self.instance, name)
                continue
            try:
                unit = bare_unit(dimension, self.build.system)
                cleaned[name] = units.parse(typed, dimension, unit=unit).value if typed else None
            except BadInput as problem:
                self.add_error(name, str(problem))
        for kind in ("standard", "service"):
            low, high = cleaned.get(f"{kind}_low"), cleaned.get(f"{kind}_high")
            if low is not None and high is not None and low > high:
                self.add_error(f"{kind}_high", "The highest is below the lowest; change them over or correct one.")
        if not self.errors and all(cleaned.get(name) is None for name in self.BOUNDS):
            self.add_error("service_low", "Give at least one value: a standard value or a service limit.")
        return cleaned

    def save(self, commit: bool = True) -> Limit:
        for name in self.BOUNDS:
            setattr(self.instance, name, self.cleaned_data[name])
        saved: Limit = super().save(commit)
        return saved


def now_typed() -> str:
    """This minute, as a form's field for date and time takes it."""
    return timezone.localtime().strftime("%Y-%m-%dT%H:%M")
