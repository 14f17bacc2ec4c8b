"""How quantities, verdicts and times stand on a page. Built into every template."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import Any

from django import template
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from tickover import units
from tickover.records import history
from tickover.records.models import Build, Change, ChangeLine, Record, Stint
from tickover.records.remembered import as_long_as_nothing_changes
from tickover.shed.base.choosing import record_input
from tickover.shed.base.context import CHAPTERS
from tickover.shed.base.pages import running_stint as _running_stint

register = template.Library()

NEWEST_CHANGES = 5
"""Lines of history on a record's own page; all of them stand on a page of their own."""


@register.simple_tag
def quantity(value: float | None, dimension: str, build: Build | None = None, plus_minus: float = 0.0) -> str:
    """A quantity in the build's units, with its unit; a dash where it is not known."""
    if value is None:
        return "–"
    return _shown(value, dimension, plus_minus or 0.0, build.system if build else "metric")


@lru_cache(4096)
def _shown(value: float, dimension: str, plus_minus: float, system: str) -> str:
    return units.show(value, dimension, plus_minus, system=system)


@register.simple_tag
@lru_cache(64)
def chapter_line(build_id: int, chapter: str) -> SafeString:
    """The chapters in one line of words, the open one marked."""
    return format_html_join(
        "",
        '<li><a href="{}"{}><span class="no">{}</span> {}</a></li>',
        [
            (
                reverse(page, args=[build_id]),
                SafeString(' aria-current="page"' if page == chapter else ""),
                number,
                name,
            )
            for number, name, page in CHAPTERS
        ],
    )


@register.simple_tag
def running_stint(build: Build | None) -> Stint | None:
    """Looked up once a page, whoever asks for it."""
    if build is None or not build.pk:
        return None
    if not hasattr(build, "stint_on_this_page"):
        build.stint_on_this_page = as_long_as_nothing_changes(
            (build.pk, "running stint"), lambda: _running_stint(build)
        )
    stint: Stint | None = build.stint_on_this_page
    return stint


@register.simple_tag
def last_change(build: Build | None) -> Change | None:
    if not build:
        return None
    return as_long_as_nothing_changes((build.pk, "last change"), lambda: history.last_change(build.pk))


@register.simple_tag
def changes_of(record: Record) -> list[ChangeLine]:
    """The newest lines of a record's history."""
    lines = ChangeLine.objects.filter(kind=record._meta.model_name, record=record.pk)
    return list(lines.select_related("change").order_by("-id")[: NEWEST_CHANGES + 1])


@register.simple_tag
def choose_record(name: str, rows: QuerySet[Any], chosen: int | None = None, empty: str = "") -> SafeString:
    """A field for one of a build's records: a list while they are few, else typed. Its id is its name."""
    return record_input(name, rows, chosen, empty, {"id": name, "class": "short"})


MARKS = {
    "inside": '<circle cx="8" cy="8" r="6" fill="currentColor"/>',
    "outside": '<path d="M3 3 13 13M13 3 3 13" stroke="currentColor" stroke-width="2.5" fill="none"/>',
    "too close to call": '<circle cx="8" cy="8" r="6" fill="none" stroke="currentColor" stroke-width="1.6"/>'
    '<path d="M8 2a6 6 0 0 1 0 12z" fill="currentColor"/>',
    "not measured": '<circle cx="8" cy="8" r="6" fill="none" stroke="currentColor" stroke-width="1.6" '
    'stroke-dasharray="2 2"/>',
}


@register.simple_tag
def verdict(word: str) -> SafeString:
    """A verdict is a word, with a mark of its own shape before it."""
    mark = SafeString(MARKS.get(word, MARKS["not measured"]))
    return format_html(
        '<span class="verdict"><svg viewBox="0 0 16 16" aria-hidden="true">{}</svg> {}</span>', mark, word
    )


@register.filter
def gap(when: datetime | None) -> str:
    """How long ago, in words that are right after a year away: “today”, “3 days ago”, “14 months ago”."""
    if when is None:
        return ""
    days = (timezone.localtime(timezone.now()).date() - timezone.localtime(when).date()).days
    if days <= 0:
        return "today"
    if days == 1:
        return "yesterday"
    if days < 14:
        return f"{days} days ago"
    if days < 60:
        return f"{days // 7} weeks ago"
    if days < 730:
        return f"{round(days / 30.44)} months ago"
    return f"{days / 365.25:.0f} years ago"


@register.filter
def first_sentence(text: str) -> str:
    """A text's first sentence, for lists."""
    return " ".join(text.split()).partition(". ")[0].rstrip(".") + "."
