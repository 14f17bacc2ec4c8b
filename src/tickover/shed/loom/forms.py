"""Forms of the loom: a component's values, and a loom document read in."""

from __future__ import annotations

import json
from typing import Any

from django import forms

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.loom.kinds import KINDS
from tickover.records.models import LoomComponent
from tickover.shed.base.forms import RecordForm
from tickover.units import BadInput

DOCUMENT_MOST_BYTES = 5 * 2**20


class ComponentForm(RecordForm):
    kind = forms.ChoiceField(choices=[(kind, kind.replace("_", " ")) for kind in KINDS])
    values = forms.CharField(
        widget=forms.Textarea, required=False,
        help_text="As in the loom document, without id and kind: {\"amps\": 15, \"ohms\": 0.006}",
    )  # fmt: skip

    class Meta:
        model = LoomComponent
        fields = ["ident", "name", "kind", "values", "part", "condition"]
        help_texts = {"ident": "Short, as on the diagram: F1, KEY, IGN."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if isinstance(self.initial.get("values"), dict):
            self.initial["values"] = json.dumps(self.initial["values"], ensure_ascii=False)

    def clean_values(self) -> dict[str, Any]:
        typed = self.cleaned_data["values"].strip() or "{}"
        try:
            values = json.loads(typed)
        except json.JSONDecodeError as problem:
            raise forms.ValidationError(
                f"This is not JSON at line {problem.lineno}, column {problem.colno}; "
                'write it like {"amps": 15, "ohms": 0.006}.'
            ) from problem
        if not isinstance(values, dict):
            raise forms.ValidationError('This is not an object; write it like {"amps": 15, "ohms": 0.006}.')
        return values

    def clean(self) -> dict[str, Any]:
        """The component is checked by the loom document's own rules."""
        cleaned = super().clean()
        if {"ident", "kind", "values"} <= cleaned.keys():
            item = cleaned["values"] | {"id": cleaned["ident"], "kind": cleaned["kind"]}
            for problem in document.check({"loom": 1, "components": [item], "wires": []}):
                if problem.error:
                    raise forms.ValidationError({"values": f"{problem.what}; {problem.right}.".capitalize()})
        others = LoomComponent.objects.filter(build=self.build, ident=cleaned.get("ident")).exclude(pk=self.instance.pk)
        if others.exists():
            raise forms.ValidationError(
                {"ident": f"There is a {cleaned['ident']} in this loom already; choose another id."}
            )
        return cleaned


class ReadInForm(forms.Form):
    """A loom document from a file."""

    template_name = "base/form.html"
    file = forms.FileField(label="Loom document", help_text="A JSON file as described in the manual, up to 5 MB.")

    def clean_file(self) -> object:
        given = self.cleaned_data["file"]
        if given.size > DOCUMENT_MOST_BYTES:
            raise forms.ValidationError(
                f"{given.name} has {given.size / 2**20:.0f} MB; a loom document has at most 5 MB."
            )
        try:
            return document.parse_bytes(given.read(), given.name)
        except BadInput as problem:
            raise forms.ValidationError(str(problem)) from problem
