"""Forms of the strip-down: parts, fastener sets, wire tags with both ends, balloons."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.chapters.electrics.loom.kinds import KINDS
from tickover.records.models import (
    Build,
    FastenerSet,
    LoomComponent,
    Part,
    Photo,
    Store,
    WireEnd,
    WireTag,
)
from tickover.shed.base.choosing import RecordChoiceField
from tickover.shed.base.forms import RecordForm, in_plain_words
from tickover.shed.strip_down.colours import typed_colours
from tickover.units import BadInput


class PartForm(RecordForm):
    class Meta:
        model = Part
        fields = (
            "name",
            "chapter",
            "condition",
            "to_do",
            "now",
            "place",
            "came_off",
            "came_off_order",
            "count",
            "number",
            "needed_for",
            "lash_up",
            "reach_minutes",
            "remark",
        )

    def clean_reach_minutes(self) -> float | None:
        minutes: float | None = self.cleaned_data["reach_minutes"]
        if minutes is not None and not 0 <= minutes <= 10_000:
            raise forms.ValidationError("Minutes to take off run from 0 to 10000.")
        return minutes


class CameOffForm(forms.Form):
    """What is known at the moment a part comes off: its name and where it goes."""

    template_name = "base/form.html"

    name = forms.CharField(label="what came off", max_length=120, error_messages={"required": "Say what came off."})
    place = RecordChoiceField(Store.objects.none(), label="kept in", required=False, empty_label="place not known")

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = build.stores.all()  # type: ignore[attr-defined]
        in_plain_words(self.fields)


class FastenerSetForm(RecordForm):
    class Meta:
        model = FastenerSet
        fields = (
            "name",
            "holds",
            "thread",
            "length",
            "count",
            "head",
            "material",
            "torque",
            "torque_from",
            "preparation",
            "joint",
            "place",
            "remark",
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name in ("length", "torque"):
            if (cleaned.get(name) or 0.0) < 0:
                self.add_error(name, f"A {name} below nought cannot be; give a positive one.")
        if self.instance.torque_sheet_id and "torque" in self.changed_data:
            # A torque that was typed is no longer the one that was worked out.
            self.instance.torque_sheet = None
            if "torque_from" not in self.changed_data:
                cleaned["torque_from"] = ""
        return cleaned


COLOURS_IN_WORDS = 60
"""As many letters as may be typed for colours; kept are their codes."""


class WireTagForm(RecordForm):
    """A wire tag with both of its ends on one form."""

    ENDS = (("from", WireEnd.Side.FROM), ("to", WireEnd.Side.TO))

    class Meta:
        model = WireTag
        fields = (
            "mark",
            "colours",
            "function",
            "area",
            "length",
            "contact_ohms",
            "condition",
            "lash_up",
            "ident",
            "remark",
        )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = {end.side: end for end in self.instance.ends.all()} if self.instance.pk else {}
        components = LoomComponent.objects.filter(build=self.build)
        colours = self.fields["colours"]
        self.fields["colours"] = forms.CharField(
            label=colours.label, required=False, max_length=COLOURS_IN_WORDS, help_text=colours.help_text
        )
        for prefix, side in self.ENDS:
            end = kept.get(side)
            choice = RecordChoiceField(components, label="component", required=False)
            choice.initial = end.component_id if end else None
            self.fields[f"{prefix}_component"] = choice
            for name in ("pin", "connector", "cavity", "remark", "colours"):
                column = WireEnd._meta.get_field(name)
                self.fields[f"{prefix}_{name}"] = forms.CharField(
                    label=str(column.verbose_name),
                    required=False,
                    max_length=COLOURS_IN_WORDS if name == "colours" else column.max_length,
                    initial=getattr(end, name) if end else "",
                )
        in_plain_words(self.fields)

    def tag_fields(self) -> list[forms.BoundField]:
        return [field for field in self if not field.name.startswith(("from_", "to_"))]

    def ends(self) -> list[tuple[str, list[forms.BoundField]]]:
        return [(str(side.label), [f for f in self if f.name.startswith(f"{prefix}_")]) for prefix, side in self.ENDS]

    def clean_mark(self) -> str:
        mark: str = self.cleaned_data["mark"]
        if WireTag.objects.filter(build=self.build, mark=mark).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(
                f"Tag {mark} is already on another wire; give this one a mark of its own, "
                f"or open tag {mark} to write down its other end."
            )
        return mark

    def clean_ident(self) -> str:
        ident: str = self.cleaned_data["ident"]
        if ident and WireTag.objects.filter(build=self.build, ident=ident).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(f"{ident} is already another wire of the loom; give this one its own id.")
        return ident

    def clean_colours(self) -> str:
        return self._colours("colours")

    def clean_from_colours(self) -> str:
        return self._colours("from_colours")

    def clean_to_colours(self) -> str:
        return self._colours("to_colours")

    def _colours(self, name: str) -> str:
        try:
            return typed_colours(self.cleaned_data[name])
        except BadInput as problem:
            raise forms.ValidationError(f"{problem}.") from problem

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name in ("area", "length", "contact_ohms"):
            value = cleaned.get(name)
            if value is not None and (value < 0 or (value == 0 and name != "contact_ohms")):
                self.add_error(name, "It must be more than nought; leave it empty when it is not known.")
        for prefix, _ in self.ENDS:
            component, pin = cleaned.get(f"{prefix}_component"), cleaned.get(f"{prefix}_pin") or ""
            if pin and component is None:
                self.add_error(
                    f"{prefix}_component",
                    f"Choose the component that pin {pin} is on, or leave the pin empty.",
                )
            elif component is not None and pin and component.kind in KINDS:
                kind = KINDS[component.kind]
                if not kind.has_pin(pin):
                    self.add_error(
                        f"{prefix}_pin",
                        f"{component.ident} has no pin {pin}; a {component.kind.replace('_', ' ')} has "
                        f"{', '.join(kind.pins) or 'pins of letters and figures'}.",
                    )
        return cleaned

    def save(self, commit: bool = True) -> WireTag:
        tag: WireTag = super().save(commit)
        kept = {end.side: end for end in tag.ends.all()}
        for prefix, side in self.ENDS:
            facts = {
                name: self.cleaned_data[f"{prefix}_{name}"]
                for name in ("component", "pin", "connector", "cavity", "remark", "colours")
            }
            end = kept.get(side)
            if not any(facts.values()):
                if end is not None:
                    end.delete()
                continue
            end = end or WireEnd(build=tag.build, tag=tag, side=side)
            for name, value in facts.items():
                setattr(end, name, value)
            end.save()
        return tag


class PhotoForm(RecordForm):
    class Meta:
        model = Photo
        fields = ("shows", "taken_at", "stint")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taken_at"].widget = forms.DateTimeInput(
            attrs={"type": "datetime-local", "step": "1"}, format="%Y-%m-%dT%H:%M:%S"
        )
