"""The form of a purchase."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator

from tickover.records.models import Purchase
from tickover.records.models.words import Bought
from tickover.shed.base.forms import RecordForm

MOST = 100_000


class PurchaseForm(RecordForm):
    class Meta:
        model = Purchase
        fields = [
            "what",
            "count",
            "price",
            "supplier",
            "state",
            "ordered_on",
            "expected_on",
            "arrived_on",
            "card",
            "part",
            "remark",
        ]
        labels = {"card": "for the job", "part": "for the part"}
        _date = {"invalid": "Write the day as year-month-day, such as 2026-11-24."}
        error_messages = {
            "what": {"required": "Say what is to be bought."},
            "count": {
                "required": "Say how many, as a whole number.",
                "invalid": "Give how many as a whole number, such as 2.",
            },
            "price": {"invalid": "Give the price of one as a number, such as 12.50, or leave it out."},
            "card": {"invalid_choice": "Choose one of this bike’s jobs."},
            "part": {"invalid_choice": "Choose one of this bike’s parts."},
            "ordered_on": _date,
            "expected_on": _date,
            "arrived_on": _date,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["count"].validators = [
            MinValueValidator(1, "At least one has to be bought."),
            MaxValueValidator(MOST, f"Give how many as a whole number up to {MOST}."),
        ]
        self.fields["price"].validators.append(
            MinValueValidator(Decimal(0), "A price is not below nought; leave it out where it is not known.")
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        ordered, arrived = cleaned.get("ordered_on"), cleaned.get("arrived_on")
        if ordered and arrived and arrived < ordered:
            self.add_error("arrived_on", "It cannot have arrived before it was ordered; check both days.")
        if cleaned.get("state") != Bought.ARRIVED and arrived:
            self.add_error("state", "A day of arrival is given; choose “arrived”, or take the day out.")
        return cleaned
