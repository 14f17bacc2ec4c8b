"""A record found by its kind's name and its number, as remarks and photos from a phone name what they are about."""

from __future__ import annotations

from django.apps import apps

from tickover.records.models import Build, Record
from tickover.units import BadInput


def record_of(build: Build, kind: str, number: str | int) -> Record:
    """The record of this build; ``BadInput`` where there is none."""
    try:
        model = apps.get_model("records", kind)
    except (LookupError, ValueError):
        model = None
    text = str(number)
    if model is not None and issubclass(model, Record) and text.isdecimal() and len(text) < 19:
        record: Record | None = model._base_manager.filter(pk=text, build=build).first()
        if record is not None:
            return record
    raise BadInput(f"There is no “{kind[:40]} {text[:20]}” in this build.")
