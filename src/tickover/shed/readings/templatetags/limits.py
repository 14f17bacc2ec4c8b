"""How the values of a limit stand in a table: ``{% load limits %}{% bounds low high "length" build %}``."""

from __future__ import annotations

from django import template

from tickover.records.models import Build
from tickover.units import show, split

register = template.Library()


@register.simple_tag
def bounds(low: float | None, high: float | None, dimension: str, build: Build) -> str:
    """“61.00 to 61.02 mm”, “at least 900 kPa”, “at most 61.1 mm”, the value alone, or a dash for none."""
    lowest = None if low is None else show(low, dimension, system=build.system, digits=6)
    highest = None if high is None else show(high, dimension, system=build.system, digits=6)
    if low is None or high is None:
        return f"at least {lowest}" if lowest else f"at most {highest}" if highest else "–"
    if lowest == highest:
        return str(lowest)
    figure, unit = split(low, dimension, system=build.system, digits=6)
    same_unit = split(high, dimension, system=build.system, digits=6)[1] == unit
    return f"{figure if same_unit else lowest} to {highest}"
