"""Striking a record out: the question first, then one change that can be taken back."""

from __future__ import annotations

from collections import Counter

from django.contrib import messages
from django.db import DEFAULT_DB_ALIAS
from django.db.models import Model, ProtectedError
from django.db.models.deletion import Collector
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from tickover.records.models import Record
from tickover.shed.base.pages import writing

NAMED = 3
"""As many of what keeps a record from going are named."""


def strike_out(request: HttpRequest, record: Record, *, chapter: str, then: str, refusal: str = "") -> HttpResponse:
    """Ask before ``record`` is struck out, say what goes with it, and go to ``then`` when it is done.

    ``refusal`` is the one sentence that says why it has to stay; so must a record that others stand on.
    """
    goes_along, loses, in_the_way = _goes_along(record)
    refusal = refusal or _refusal(record, in_the_way)
    if request.method == "POST" and not refusal:
        named = f"{record._meta.verbose_name} {record}"
        with writing(request, f"Struck out {named}"[:300]):
            record.delete()
        messages.success(request, f"Struck out: {named}. It can be taken back below.")
        return redirect(then)
    context = {
        "build": record.build,
        "chapter": chapter,
        "record": record,
        "goes_along": goes_along,
        "loses": loses,
        "refusal": refusal,
        "kind": record._meta.verbose_name,
    }
    return render(request, "base/strike_out.html", context, status=422 if request.method == "POST" else 200)


def _goes_along(record: Record) -> tuple[list[str], list[str], set[Model]]:
    """What falls with the record (“3 × balloon”), what loses its link to it, and what keeps it from going."""
    going = Collector(using=DEFAULT_DB_ALIAS, origin=record)
    try:
        going.collect([record])
    except ProtectedError as problem:
        return [], [], problem.protected_objects
    groups = [*going.data.values(), *going.fast_deletes]
    kinds = Counter(type(row) for rows in groups for row in rows if row != record)
    links = Counter(type(row) for rows in going.field_updates.values() for group in rows for row in group)
    return _counted(kinds), _counted(links), set()


def _counted(kinds: Counter[type[Model]]) -> list[str]:
    return [f"{count} × {kind._meta.verbose_name}" for kind, count in kinds.items()]


def _refusal(record: Record, in_the_way: set[Model]) -> str:
    if not in_the_way:
        return ""
    first = sorted(in_the_way, key=lambda row: (str(row._meta.verbose_name), row.pk))[:NAMED]
    more = f" and {len(in_the_way) - NAMED} more" if len(in_the_way) > NAMED else ""
    used_by = ", ".join(f"{row._meta.verbose_name} “{row}”" for row in first) + more
    return f"“{record}” cannot be struck out while it is used by {used_by}; change that first."
