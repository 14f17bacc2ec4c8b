"""The control for a photo that stands on every page, and the remarks on a record's own page."""

from __future__ import annotations

from typing import Any

from django import template
from django.conf import settings

from tickover.records.models import Record, Remark
from tickover.shed.base.templatetags.workshop import running_stint
from tickover.shed.capture.forms import RemarkForm

register = template.Library()

_TARGETS = {"part": "part", "fastenerset": "fasteners", "wiretag": "tag", "store": "place"}


@register.inclusion_tag("capture/photo_now.html", takes_context=True)
def photo_now(context: dict[str, Any]) -> dict[str, Any]:
    """Needs ``build``; on the page of a part, fastener set, wire tag or place the photo is one of it.

    While a stint is running the control stays in sight; otherwise it stands at the foot of the page.
    """
    record = context.get("record")
    kind = record._meta.model_name if isinstance(record, Record) and record.pk else ""
    return {
        "build": context.get("build"),
        "stint": running_stint(context["build"]),
        "kind": kind if kind in _TARGETS else "",
        "target": f"{_TARGETS[kind]}:{record.pk}" if record is not None and kind in _TARGETS else "",
        "record": record if kind in _TARGETS else None,
        "most": settings.PHOTO_MOST_BYTES,
    }


@register.filter
def kind_of(record: Record) -> str:
    """The kind's name, as remarks and photos name what they are about."""
    return record._meta.model_name or ""


_NEWEST = 20


@register.inclusion_tag("capture/remarks.html", takes_context=True)
def remarks(context: dict[str, Any], record: Record) -> dict[str, Any]:
    """The remarks on a record, the newest first, and the form for one more."""
    on_it = Remark.objects.filter(build=record.build_id, on_kind=kind_of(record), on_record=record.pk)
    newest = list(on_it[: _NEWEST + 1])
    return {
        "remarks": newest[:_NEWEST],
        "more": on_it.count() - _NEWEST if len(newest) > _NEWEST else 0,
        "record": record,
        "kind": kind_of(record),
        "build": context.get("build") or record.build,
        "form": RemarkForm(auto_id="id_remark_%s"),
        "csrf_token": context.get("csrf_token"),
    }
