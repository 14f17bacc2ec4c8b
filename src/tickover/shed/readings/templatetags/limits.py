"""How the values of a limit stand in a table: ``{% load limits %}{% bounds low high "length" build %}``."""

from __future__ import annotations

from django import template

from tickover.records.models import Build
from tickover.units import show

register = template.Library()


@register.simple_tag
def bounds(low: float | None, high: float | None, dimension: str, build: Build) -> str:
    """“61.00 to 61.02 mm”, “at least 900 kPa”, “at most 61.1 mm”, the value alone, or a dash for none."""
    shown = [None if v is None else show(v, dimension, system=build.system, digits=6) for v in (low, high)]
    lowest, highest = shown
    if lowest is not None and highest is not None:
        return lowest if lowest == highest else f"{lowest} to {highest}"
    if lowest is not None:
        return f"at least {lowest}"
    return "–" if highest is None else f"at most {highest}"
