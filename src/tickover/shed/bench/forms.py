"""Forms of the bench: the bike, the stint and its handover, the guided start."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.records.models import Build, Stint
from tickover.shed.base.forms import MeasureField, RecordForm


class BuildForm(RecordForm):
    class Meta:
        model = Build
        fields = [
            "name",
            "year",
            "engine",
            "aim",
            "frame_number",
            "engine_number",
            "milestone",
            "system",
            "volts",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["volts"] = MeasureField("voltage", label="Battery volts, rested", initial=12.6, required=True)


class NewBuildForm(forms.ModelForm):  # type: ignore[type-arg]
    """The first page of the guided start: little is asked, all of it can be changed later."""

    template_name = "base/form.html"
    who = forms.CharField(
        label="Your name", max_length=80, required=False, help_text="Stands beside what you write down."
    )

    class Meta:
        model = Build
        fields = ["name", "year", "aim", "milestone", "system"]
        labels = {
            "name": "Which bike is it?",
            "aim": "What is it to become?",
            "milestone": "Working towards first",
        }

    field_order = ["name", "year", "aim", "milestone", "system", "who"]


class StartStintForm(RecordForm):
    class Meta:
        model = Stint
        fields = ["who", "aim"]
        labels = {"who": "Who is at the bench?", "aim": "What is this stint for?"}
        help_texts = {"aim": "One line is enough; it can stay empty."}


class EndStintForm(RecordForm):
    class Meta:
        model = Stint
        fields = ["stopped_at", "next_up", "not_safe"]
        labels = {
            "stopped_at": "Where did it stop?",
            "next_up": "What is next?",
            "not_safe": "What is not safe yet?",
        }
        help_texts = {
            "stopped_at": "As you would tell somebody who takes over tomorrow. It may be you, in a year.",
            "not_safe": "Finger-tight joints, fuel, live wires, what stands on a jack.",
        }


class StintForm(RecordForm):
    class Meta:
        model = Stint
        fields = ["who", "aim", "stopped_at", "next_up", "not_safe"]
