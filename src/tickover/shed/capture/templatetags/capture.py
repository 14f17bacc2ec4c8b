"""The control for a photo that stands on every page, and the remarks on a record's own page."""

from __future__ import annotations

from typing import Any

from django import template
from django.conf import settings

from tickover.records.models import Record

register = template.Library()

_TARGETS = {"part": "part", "fastenerset": "fasteners", "wiretag": "tag", "store": "place"}


@register.inclusion_tag("capture/photo_now.html", takes_context=True)
def photo_now(context: dict[str, Any]) -> dict[str, Any]:
    """Needs ``build``; on the page of a part, fastener set, wire tag or place the photo is one of it."""
    record = context.get("record")
    kind = record._meta.model_name if isinstance(record, Record) and record.pk else ""
    return {
        "build": context.get("build"),
        "kind": kind if kind in _TARGETS else "",
        "target": f"{_TARGETS[kind]}:{record.pk}" if record is not None and kind in _TARGETS else "",
        "record": record if kind in _TARGETS else None,
        "most": settings.PHOTO_MOST_BYTES,
    }
