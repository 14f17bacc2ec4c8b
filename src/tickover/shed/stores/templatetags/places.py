"""Choosing a place in a form written by hand: from a list while there are few, by typing when there are many."""

from __future__ import annotations

from collections.abc import Collection

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from tickover.records.models import Build, Store
from tickover.records.places import Places, places_of
from tickover.shed.base.choosing import FEW, label, typed_input

register = template.Library()


@register.simple_tag
def choose_place(
    build: Build,
    name: str,
    ident: str,
    none: str,
    places: Places | None = None,
    chosen: Store | None = None,
    without: Collection[int] = (),
) -> SafeString:
    """The field ``name`` with the id ``ident``; ``none`` stands for no place. ``without`` are not offered."""
    if places is None:
        places = places_of(build.pk)
    if len(places.inside) > FEW:
        return typed_input(name, label(chosen) if chosen else "", build.pk, [Store], {"id": ident, "class": "short"})
    number = chosen.pk if chosen else None
    listed = [
        (key, SafeString(" selected") if key == number else "", places.says(key))
        for key in places.inside
        if key not in without
    ]
    options = format_html_join("", '<option value="{}"{}>{}</option>', listed)
    return format_html(
        '<select name="{}" id="{}" class="short"><option value="">{}</option>{}</select>', name, ident, none, options
    )
