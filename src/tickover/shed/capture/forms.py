"""A remark's form: typed, spoken, or both."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.records.models import Remark
from tickover.shed.base.forms import RecordForm

LONGEST = 4000


class RemarkForm(forms.Form):
    template_name = "base/form.html"

    text = forms.CharField(
        label="remark",
        required=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"max_length": f"A remark has at most {LONGEST} letters; make two of it."},
    )
    sound = forms.FileField(
        label="or a spoken one",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": "audio/*", "capture": True}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not cleaned.get("text") and cleaned.get("sound") is None:
            self.add_error("text", "Nothing was said; type a remark or speak one.")
        return cleaned


class RemarkTextForm(RecordForm):
    class Meta:
        model = Remark
        fields = ("text",)

    def clean_text(self) -> str:
        text: str = self.cleaned_data["text"].strip()
        if not text and not self.instance.sound:
            raise forms.ValidationError("Nothing is left of the remark; type it, or strike it out.")
        if len(text) > LONGEST:
            raise forms.ValidationError(f"A remark has at most {LONGEST} letters; make two of it.")
        return text
