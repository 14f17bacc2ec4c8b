"""Forms of the refitting: loose things counted out and in."""

from __future__ import annotations

from django import forms

from tickover.records.models import LooseCount
from tickover.shed.base.forms import RecordForm, in_plain_words

_HOW_MANY = {
    "invalid": "Write a whole number, such as 38.",
    "min_value": "A count below nought cannot be; write 0 where none is there.",
    "max_value": "At most %(limit_value)s can be counted here; check the figure.",
}


class LooseCountForm(RecordForm):
    class Meta:
        model = LooseCount
        fields = ("name", "part", "place", "counted_out", "counted_in", "remark")
        error_messages = {"counted_out": _HOW_MANY, "counted_in": _HOW_MANY}


class CountInForm(forms.Form):
    """The one figure that is asked for when it goes together."""

    template_name = "base/form.html"

    counted_in = forms.IntegerField(
        label="counted in",
        min_value=0,
        max_value=100_000,
        error_messages=_HOW_MANY | {"required": "Count them, and write how many went in."},
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        in_plain_words(self.fields)
