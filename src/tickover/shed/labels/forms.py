"""On what labels are printed: the stock, the place to begin at, the printer's correction."""

from __future__ import annotations

from typing import Any

from django import forms

from tickover.drawing.labels import SHEETS, STOCKS, TAPES, Sheet
from tickover.records.models import Build
from tickover.shed.base.forms import MeasureField, in_plain_words

MOST_OFFSET = 0.02


class StockForm(forms.Form):
    template_name = "base/form.html"

    stock = forms.ChoiceField(
        label="printed on",
        choices=[
            ("Label sheets", [(sheet.id, sheet.says) for sheet in SHEETS.values()]),
            ("Label tapes", [(tape.id, tape.says) for tape in TAPES.values()]),
        ],
        initial="a4-3x7",
    )
    start = forms.IntegerField(
        label="begin at label",
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="On a used sheet: the first free one, counted along the rows.",
    )
    outlines = forms.BooleanField(
        label="draw the edges, for a trial on plain paper",
        required=False,
        help_text="Hold it against a sheet of labels.",
    )

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, says, help_text in (
            ("right", "shift to the right", "Corrects the printer; −1 mm shifts to the left."),
            ("down", "shift down", "Corrects the printer; −1 mm shifts up."),
            ("wire", "wires over the insulation", "For flags; empty: from each wire’s conductor, else 2.5 mm."),
        ):
            self.fields[name] = MeasureField(
                "length", system=build.system, required=False, label=says, help_text=help_text
            )
        self.order_fields(["stock", "start", "right", "down", "wire", "outlines"])
        in_plain_words(self.fields)

    def _shift(self, name: str) -> float:
        shift: float = self.cleaned_data[name] or 0.0
        if abs(shift) > MOST_OFFSET:
            raise forms.ValidationError(f"That is {1000 * shift:.0f} mm; a printer is corrected by 20 mm at most.")
        return shift

    def clean_right(self) -> float:
        return self._shift("right")

    def clean_down(self) -> float:
        return self._shift("down")

    def clean_wire(self) -> float | None:
        wire: float | None = self.cleaned_data["wire"]
        if wire is not None and not 0.0005 <= wire <= 0.03:
            raise forms.ValidationError(f"That is {1000 * wire:.1f} mm; a wire is 0.5 to 30 mm thick.")
        return wire

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        stock, start = STOCKS.get(cleaned.get("stock", "")), cleaned.get("start")
        if isinstance(stock, Sheet) and start is not None and not 1 <= start <= stock.count:
            self.add_error("start", f"This sheet has labels 1 to {stock.count}; write one of these.")
        return cleaned
