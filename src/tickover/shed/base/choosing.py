"""Choosing a record: from a list while there are few; by typing a few letters of it when there are many."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.forms.models import ModelChoiceIterator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from tickover.records.find import find
from tickover.records.find_index import BY_MODEL
from tickover.records.models import Build, Record
from tickover.units import BadInput

FEW = 50
"""As many stand in a list; of more, one is chosen by typing."""
OFFERED = 20

_ADDRESS = re.compile(r"\[([a-z]+)/(\d{1,18})\]\s*$")


def label(record: Record) -> str:
    """What stands for a record where one is typed: its name, and its address, which is no other's."""
    return f"{record} [{record.get_absolute_url().strip('/')}]"


def resolve(querysets: Sequence[QuerySet[Any]], typed: str) -> Record:
    """The record that was typed: by the address behind its name, or by a name that only one has.

    Raises ``BadInput`` where it is none of them, or may be several.
    """
    typed = typed.strip()
    address = _ADDRESS.search(typed)
    for rows in querysets:
        page = rows.model.page
        if address and reverse(page, args=[int(address[2])]) == f"/{address[1]}/{address[2]}":
            record: Record | None = rows.filter(pk=int(address[2])).first()
            if record is not None:
                return record
    called = " or ".join(str(rows.model._meta.verbose_name) for rows in querysets)
    named = [] if address else [record for rows in querysets for record in rows.filter(_of_that_name(rows, typed))[:3]]
    if len(named) == 1:
        return named[0]
    if named:
        raise BadInput(
            f"More than one {called} is called “{typed}”: {', '.join(map(label, named))}; choose one of them."
        )
    raise BadInput(f"No {called} is called “{typed}”; type a few letters of it and choose one that is offered.")


def _of_that_name(rows: QuerySet[Any], typed: str) -> Q:
    named = Q(pk__in=())
    for path in BY_MODEL[rows.model].names if rows.model in BY_MODEL else ():
        named |= Q(**{f"{path}__iexact": typed})
    return named


def first_beyond(rows: QuerySet[Any]) -> int | None:
    """The number of the build where there are more than a few records; None where there are few. One short query."""
    return next(iter(rows.order_by().values_list("build_id", flat=True)[FEW : FEW + 1]), None)


def typed_input(
    name: str, value: str, build_id: int, kinds: Sequence[type[Record]], attrs: dict[str, Any]
) -> SafeString:
    """A field to type in, with what is offered for it fetched as the letters come."""
    kind = ",".join(str(model._meta.model_name) for model in kinds)
    offered = f"{attrs.get('id') or name}-offered"
    return format_html(
        '<input type="text" name="{}" value="{}" list="{}" autocomplete="off" placeholder="Type a few letters"'
        ' hx-get="{}?as={}" hx-trigger="input changed delay:150ms" hx-target="#{}" hx-swap="innerHTML"{}>'
        '<datalist id="{}"></datalist>',
        name,
        value,
        offered,
        reverse("choose", args=[build_id, kind]),
        name,
        offered,
        _written(attrs),
        offered,
    )


def _written(attrs: dict[str, Any]) -> SafeString:
    """The attributes of an element, as they stand in it."""
    given = [(key, key if said is True else said) for key, said in attrs.items() if said]
    return format_html_join("", ' {}="{}"', given)


def record_input(name: str, rows: QuerySet[Any], value: Any, empty: str | None, attrs: dict[str, Any]) -> SafeString:
    """A list of a few records, or a field to type one of many in. ``value`` is a record's number, or what was typed."""
    build_id = first_beyond(rows)
    if build_id is not None:
        known = rows.filter(pk=value).first() if str(value or "").isdecimal() else None
        shown = label(known) if known is not None else str(value or "")
        return typed_input(name, shown, build_id, [rows.model], attrs)
    options = [(record.pk, str(record)) for record in rows]
    if empty is not None:
        options.insert(0, ("", empty))
    chosen = str(value if value is not None else "")
    listed = format_html_join(
        "",
        '<option value="{}"{}>{}</option>',
        [(key, SafeString(" selected") if str(key) == chosen else "", says) for key, says in options],
    )
    return format_html('<select name="{}"{}>{}</select>', name, _written(attrs), listed)


def chosen(rows: QuerySet[Any], text: str) -> Any:
    """The record that such a field sent; None where it was left empty. Raises ``BadInput`` where it is none of them.

    A list sends a record's number. Where there are many, a number was typed, and is a name or a mark first.
    """
    text = text.strip()
    if not text:
        return None
    known = rows.filter(pk=int(text)).first() if text.isdecimal() and len(text) < 19 else None
    if known is None or (first_beyond(rows) is not None and rows.filter(_of_that_name(rows, text)).exists()):
        return resolve([rows], text)
    return known


class RecordSelect(forms.Select):
    """A record's field in a form: a list of a few, or a field to type one of many in."""

    choices: Any

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        if not isinstance(self.choices, ModelChoiceIterator):
            return super().render(name, value, attrs, renderer)
        field = self.choices.field
        empty = None if field.empty_label is None else str(field.empty_label)
        return record_input(name, self.choices.queryset, value, empty, self.build_attrs(self.attrs, attrs))


class RecordChoiceField(forms.ModelChoiceField):
    """One record of a queryset, chosen from a list or typed."""

    widget = RecordSelect

    def to_python(self, value: Any) -> Any:
        text = str(value or "").strip() if not isinstance(value, Record) else ""
        if not text:
            return super().to_python(value)
        try:
            return chosen(self.queryset, text)  # type: ignore[arg-type]
        except BadInput as problem:
            if text.isdecimal():
                raise forms.ValidationError(
                    self.error_messages["invalid_choice"], code="invalid_choice", params={"value": text}
                ) from problem
            raise forms.ValidationError(str(problem), code="invalid_choice") from problem


def choose(request: HttpRequest, build_id: int, kinds: str) -> HttpResponse:
    """What is offered for the letters typed so far, as the options of the field's list."""
    build = get_object_or_404(Build, pk=build_id)
    by_name = {model._meta.model_name: model for model in BY_MODEL}
    models = [by_name[kind] for kind in kinds.split(",") if kind in by_name]
    typed = request.GET.get(request.GET.get("as", "q"), "")[:200]
    if not models or _ADDRESS.search(typed):
        return HttpResponse("")
    records = [row.record for row in find(build, typed, among=models, most=OFFERED)]
    # A browser hides what does not hold the letters typed, so what is only near them says so in its label.
    says = [
        (label(record), "" if typed.casefold() in label(record).casefold() else f"near “{typed}”") for record in records
    ]
    return HttpResponse(format_html_join("", '<option value="{}" label="{}"></option>', says))
