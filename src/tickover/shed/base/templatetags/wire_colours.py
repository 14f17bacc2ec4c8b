"""A wire drawn in its own colours, with their letter code beside it: ``{% wire_colours "GN/YE" %}``."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from tickover.chapters.electrics.loom.kinds import COLOURS

register = template.Library()

DRAWN = {
    "BK": "#1d1d1b", "BN": "#6b4226", "RD": "#c0241f", "OG": "#e2741b", "YE": "#f0c918", "GN": "#2c7a3f",
    "BU": "#24519c", "VT": "#6d3f8f", "GY": "#878a8c", "WH": "#fbfbf8", "PK": "#e79aae", "GD": "#b28a36",
    "TQ": "#2aa6a4", "SR": "#c4c7c9",
}  # fmt: skip
"""How each colour of IEC 60757 is drawn; the standard names the colours and sets no shade."""


@register.simple_tag
def wire_colours(code: str) -> SafeString | str:
    """The wire's main colour as a bar, a second one as the stripe along it, and the code beside."""
    codes = [part for part in code.split("/") if part in DRAWN]
    if not codes:
        return code
    stripe = (
        format_html('<rect y="4" width="26" height="3" fill="{}"/>', DRAWN[codes[1]])
        if len(codes) > 1
        else ""
    )
    named = ", ".join(COLOURS[part] for part in codes[:1]) + (
        f" with {COLOURS[codes[1]]}" if codes[1:] else ""
    )
    return format_html(
        '<span class="colour" title="{}">'
        '<svg viewBox="0 0 26 10" preserveAspectRatio="none" aria-hidden="true">'
        '<rect width="26" height="10" fill="{}"/>{}</svg>{}</span>',
        named, DRAWN[codes[0]], stripe, code,
    )  # fmt: skip
