"""Where a balloon stands on its photo, as a style sheet takes it."""

from __future__ import annotations

from django import template

from tickover.records.models import Balloon

register = template.Library()


@register.filter
def standing_at(balloon: Balloon) -> str:
    return f"left:{100 * balloon.x:.2f}%;top:{100 * balloon.y:.2f}%"
