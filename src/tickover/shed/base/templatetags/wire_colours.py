"""A wire drawn in its own colours, with their letter code beside it: ``{% wire_colours "GN/YE" %}``."""

from __future__ import annotations

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from tickover.standards import wire
from tickover.units import BadInput

register = template.Library()


@register.simple_tag
def wire_colours(code: str) -> SafeString | str:
    """The main colour as a bar, the others as stripes along it, and the code; no colour: the code alone."""
    try:
        main, *stripes = wire.colours(code)
    except BadInput:
        return code
    lines = format_html_join(
        "",
        '<rect y="{}" width="26" height="2" fill="{}"/>',
        [(10 * (place + 1) / (len(stripes) + 1) - 1, wire.COLOURS[stripe][1]) for place, stripe in enumerate(stripes)],
    )
    return format_html(
        '<span class="colour" title="{}">'
        '<svg viewBox="0 0 26 10" preserveAspectRatio="none" aria-hidden="true">'
        '<rect width="26" height="10" fill="{}"/>{}</svg>{}</span>',
        wire.spoken(code),
        wire.COLOURS[main][1],
        lines,
        code,
    )
