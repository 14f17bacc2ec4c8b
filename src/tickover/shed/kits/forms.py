"""Forms of kits: the kit, what it holds, and each item with what came out and the book beside it."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover import sheets
from tickover.records.kits import things_of
from tickover.records.models import Kit, KitItem, Reading
from tickover.records.taking import LONGEST, Taken, as_taken
from tickover.shed.base.forms import RecordForm
from tickover.standards.instruments import INSTRUMENTS
from tickover.units import DIMENSIONS, BadInput

MOST_THINGS = 100
MOST_READINGS = 200


class KitForm(RecordForm):
    class Meta:
        model = Kit
        fields = ("name", "number", "purchase", "arrived_on", "remark")
        error_messages = {
            "name": {"required": "Say what kit it is, such as “carburettor kit, left”."},
            "purchase": {"invalid_choice": "Choose one of this bike’s purchases."},
        }


class ThingsForm(forms.Form):
    """What a kit holds, one a line."""

    template_name = "base/form.html"
    things = forms.CharField(
        label="what it holds, one a line",
        max_length=10_000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="With how many behind an x: main jet x 2.",
        error_messages={"required": "Write at least one thing, one a line."},
    )

    def clean_things(self) -> list[tuple[str, int]]:
        found = things_of(self.cleaned_data["things"])
        if not found:
            raise forms.ValidationError("Write at least one thing, one a line.")
        if len(found) > MOST_THINGS:
            raise forms.ValidationError(f"A kit takes up to {MOST_THINGS} things at once; make two of it.")
        if any(len(name) > 120 for name, _ in found):
            raise forms.ValidationError("A thing’s name has at most 120 characters; shorten the longest.")
        return found


class KitItemForm(RecordForm):
    """One thing: how many, what is stamped on it, and its size, of the old, the new and the book."""

    dimension = forms.ChoiceField(
        label="kind of quantity", choices=sorted((name, name.replace("_", " ")) for name in DIMENSIONS)
    )
    old_typed = forms.CharField(label="size of the old", max_length=LONGEST, required=False)
    old_from = forms.ChoiceField(label="or the old’s size from a reading", required=False)
    new_typed = forms.CharField(label="size of the new", max_length=LONGEST, required=False)
    instrument = forms.ChoiceField(label="measured with", required=False)

    class Meta:
        model = KitItem
        fields = (
            "name", "part", "count_out", "count_in", "stamped_old", "stamped_new", "stamped_book", "dimension",
            "limit", "remark",
        )  # fmt: skip
        labels = {"limit": "the book’s size"}
        error_messages = {"name": {"required": "Say what it is, such as “main jet”."}}

    field_order = [
        "name", "part", "count_out", "count_in", "stamped_old", "stamped_new", "stamped_book", "limit", "dimension",
        "old_typed", "old_from", "new_typed", "instrument", "remark",
    ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        item: KitItem = self.instance
        self.fields["instrument"].choices = [  # type: ignore[attr-defined]
            ("", "not said"),
            *((one.id, one.name) for one in INSTRUMENTS.values()),
        ]
        readings = Reading.objects.filter(build=self.build).order_by("-taken_at", "-pk")[:MOST_READINGS]
        self.readings = {str(reading.pk): reading for reading in readings}
        if item.old is not None:
            self.readings[str(item.old.pk)] = item.old
        self.fields["old_from"].choices = [  # type: ignore[attr-defined]
            ("", "typed above, or not known"),
            *((number, f"{one.name}: {one.typed}, {one.taken_at:%d %b %Y}") for number, one in self.readings.items()),
        ]
        self.fields["old_typed"].help_text = "With its unit: 1.00 mm, 12.7 ± 0.02 mm."
        self.fields["limit"].empty_label = "no limit on record"  # type: ignore[attr-defined]
        if item.old is not None:
            self.initial["old_from"] = str(item.old.pk)
        if item.new is not None:
            self.initial["new_typed"] = item.new.typed
            self.initial["instrument"] = item.new.instrument
        for name in ("old_typed", "new_typed"):
            self.fields[name].widget.attrs["autocomplete"] = "off"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        dimension, instrument = cleaned.get("dimension"), cleaned.get("instrument", "")
        chosen = self.readings.get(cleaned.get("old_from") or "")
        limit = cleaned.get("limit")
        if not dimension:
            return cleaned
        if limit is not None and limit.dimension != dimension:
            self.add_error("dimension", f"The book’s size is a {limit.dimension.replace('_', ' ')}; choose that kind.")
        if chosen is not None and chosen.dimension != dimension:
            self.add_error(
                "old_from",
                f"That reading is a {chosen.dimension.replace('_', ' ')}, and this is a "
                f"{dimension.replace('_', ' ')}; choose another or type the size.",
            )
        if chosen is not None and cleaned.get("old_typed") and chosen.pk != self.instance.old_id:
            self.add_error("old_from", "Type the old’s size or choose a reading, not both.")
        for which in ("old", "new"):
            typed = (cleaned.get(f"{which}_typed") or "").strip()
            if typed:
                try:
                    cleaned[f"{which}_taken"] = as_taken(typed, dimension, instrument, self.build.system)
                except BadInput as problem:
                    self.add_error(f"{which}_typed", str(problem))
        return cleaned

    def save(self, commit: bool = True) -> KitItem:
        """Save the item with a reading for each size that was typed anew. Call it inside one `writing` block."""
        item: KitItem = self.instance
        given = self.cleaned_data
        for which in ("old", "new"):
            taken: Taken | None = given.get(f"{which}_taken")
            kept: Reading | None = getattr(item, which)
            if taken is not None and not (kept and self._same(kept, taken)):
                setattr(item, which, self._reading(which, taken))
            elif taken is None:
                setattr(item, which, self.readings.get(given.get("old_from") or "") if which == "old" else None)
        saved: KitItem = super().save(commit)
        return saved

    def _same(self, kept: Reading, taken: Taken) -> bool:
        return (kept.typed, kept.dimension, kept.instrument) == (
            taken.typed,
            self.cleaned_data["dimension"],
            self.cleaned_data["instrument"],
        )

    def _reading(self, which: str, taken: Taken) -> Reading:
        reading = Reading(
            build=self.build,
            name=f"{self.instance.name}, {'as it came out' if which == 'old' else 'in the kit'}",
            part=self.cleaned_data["part"] if which == "old" else None,
            dimension=self.cleaned_data["dimension"],
            typed=taken.typed,
            value=taken.value,
            plus_minus=taken.plus_minus,
            instrument=self.cleaned_data["instrument"],
        )
        reading.save()
        return reading


def sheet_inputs() -> list[tuple[str, list[tuple[str, str]]]]:
    """Every input of every sheet that takes a size, by sheet."""
    return [
        (
            this.title,
            [
                (f"{this.id}:{name}", f"{name.replace('_', ' ')}: {given.says}")
                for name, given in this.inputs.items()
                if given.quantity is not None
            ],
        )
        for this in sheets.all_sheets().values()
    ]
