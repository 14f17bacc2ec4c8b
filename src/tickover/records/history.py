"""Who changed what and when; and the last change taken back.

Every :class:`~tickover.records.models.Record` writes its own history in the transaction that saves it. All that one
press of a button changes belongs to one :class:`~tickover.records.models.Change`, with one line a record
(:class:`~tickover.records.models.ChangeLine`) that holds the fields before and after. Taking a change back writes the
fields before again, as a change of its own, so nothing is ever lost.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db import DEFAULT_DB_ALIAS, models, transaction
from django.db.models.deletion import Collector
from django.utils import timezone

from tickover.records import remembered
from tickover.units import BadInput

if TYPE_CHECKING:
    from tickover.records.find_index import Touched
    from tickover.records.models import Change, Record

NOBODY = "somebody at the bench"


@dataclass
class _Writing:
    who: str
    says: str
    when: datetime | None
    kept: bool
    change: Change | None = None
    touched: Touched | None = None


_writing: ContextVar[_Writing | None] = ContextVar("writing", default=None)


@contextmanager
def writing(who: str = "", says: str = "", *, when: datetime | None = None, kept: bool = True) -> Iterator[None]:
    """All records saved inside belong to one change, and all are saved or none is.

    ``says`` is the change in the builder's words ("Starter torqued"). ``kept=False`` writes no history: only for
    loading a workshop that brings its own.
    """
    outer = _writing.get()
    if outer is not None:
        yield
        return
    token = _writing.set(_Writing(who or NOBODY, says, when, kept))
    try:
        with transaction.atomic():
            yield
            now = _writing.get()
            if now is not None and now.touched is not None:
                now.touched.write()
    finally:
        _writing.reset(token)
        if not kept:
            remembered.forget()


def fields_of(record: models.Model) -> dict[str, Any]:
    """The stored fields of a record as plain JSON values."""
    fields: dict[str, Any] = {}
    for field in record._meta.concrete_fields:
        if not field.primary_key:
            value = field.value_from_object(record)
            plain = value is None or isinstance(value, (bool, int, float, str, dict, list))
            fields[field.name] = value if plain else field.value_to_string(record)
    return fields


def note_deletion(record: Record) -> None:
    """Keep what goes when ``record`` is struck out: itself, what falls with it, what loses its link to it."""
    from tickover.records.models import Record

    going = Collector(using=record._state.db or DEFAULT_DB_ALIAS, origin=record)
    going.collect([record])
    rows = [row for rows in going.data.values() for row in rows] + [row for rows in going.fast_deletes for row in rows]
    for (field, value), groups in going.field_updates.items():
        for row in (row for group in groups for row in group):
            if isinstance(row, Record):
                before = fields_of(row)
                note(row, before, before | {field.name: value})
    for row in sorted(rows, key=lambda row: row == record):
        if isinstance(row, Record):
            note(row, fields_of(row), None)


def note(record: Record, before: dict[str, Any] | None, after: dict[str, Any] | None) -> None:
    """Keep one line of history; called by ``Record.save`` and ``Record.delete`` inside their transaction."""
    from tickover.records.models import Change, ChangeLine

    now = _writing.get()
    _is_found_by(record, before, after)
    if now is not None and not now.kept:
        return
    if before is not None and after is not None:
        changed = {name for name in after if before.get(name) != after[name] and name != "changed_at"}
        if not changed:
            return
        before = {name: before.get(name) for name in sorted(changed)}
        after = {name: after[name] for name in sorted(changed)}
    change = now.change if now is not None else None
    if change is None:
        change = Change.objects.create(
            build_id=record.build_id,
            who=now.who if now else NOBODY,
            says=(now.says if now else "") or _in_words(record, before, after),
            when=(now.when if now else None) or timezone.now(),
        )
        if now is not None:
            now.change = change
    ChangeLine.objects.create(
        change=change,
        kind=record._meta.model_name or "",
        record=record.pk,
        name=str(record)[:200],
        before=before,
        after=after,
    )


def _is_found_by(record: models.Model, before: dict[str, Any] | None, after: dict[str, Any] | None) -> None:
    """The search follows: at once, or with all else that is being written."""
    from tickover.records.find_index import Touched

    now = _writing.get()
    touched = (now.touched if now is not None else None) or Touched()
    if before != after:
        touched.add(record, before, after)
    if now is None:
        touched.write()
    else:
        now.touched = touched


def _in_words(record: Record, before: dict[str, Any] | None, after: dict[str, Any] | None) -> str:
    kind = record._meta.verbose_name
    if before is None:
        return f"New {kind}: {record}"
    if after is None:
        return f"Struck out {kind}: {record}"
    return f"{str(kind).capitalize()} {record}: {', '.join(name.replace('_', ' ') for name in after)}"


def last_change(build_id: int) -> Change | None:
    """The newest change of a build that can still be taken back."""
    from tickover.records.models import Change

    return Change.objects.filter(build_id=build_id, takes_back=None, taken_back_by=None).order_by("-id").first()


def take_back(change: Change, who: str = "") -> Change | None:
    """Write the fields before ``change`` again, as they were to the letter.

    Raises ``BadInput`` unless it is the build's last change. None where the build itself was new: then its history
    goes with it.
    """
    from django.apps import apps

    from tickover.records.find_index import Touched
    from tickover.records.models import Build, Change

    newest = last_change(change.build_id)
    if newest is None or newest.pk != change.pk:
        raise BadInput(
            f"Only the last change can be taken back; the last one is “{newest.says if newest else 'none'}”."
        )
    with transaction.atomic():
        back = Change.objects.create(
            build_id=change.build_id,
            who=who or NOBODY,
            when=timezone.now(),
            says=f"Taken back: {change.says}"[:300],
            takes_back=change,
        )
        touched = Touched()
        for line in change.lines.order_by("-id"):
            model = apps.get_model("records", line.kind)
            row = model.objects.filter(pk=line.record).first()
            was = fields_of(row) if row is not None else None
            if line.before is None:
                if row is not None:
                    touched.add(row, was, None)
                    models.Model.delete(row)
                if model is Build:
                    touched.write()
                    return None
            else:
                if row is None:
                    row = model(pk=line.record)
                else:
                    row.changed_at = back.when
                for name, value in line.before.items():
                    field = model._meta.get_field(name)
                    setattr(row, field.attname, field.to_python(value))
                row.save_base(raw=True)  # when it was written down is part of what comes back
                touched.add(row, was, fields_of(row))
            back.lines.create(kind=line.kind, record=line.record, name=line.name, before=line.after, after=line.before)
        touched.write()
    return back
