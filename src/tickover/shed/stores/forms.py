"""The form of a place."""

from __future__ import annotations

from django import forms

from tickover.records.models import Store
from tickover.shed.base.forms import RecordForm


class StoreForm(RecordForm):
    class Meta:
        model = Store
        fields = ("name", "mark", "inside", "remark")

    def clean_inside(self) -> Store | None:
        inside: Store | None = self.cleaned_data["inside"]
        if inside is not None and self.instance.pk and self.instance in inside.path():
            where = "itself" if inside == self.instance else f"{inside}, which stands in it"
            raise forms.ValidationError(f"{self.instance} cannot stand in {where}; choose a place outside it.")
        return inside
