"""The records: what is written down about a build."""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate


def _open_sqlite_safely(sender: object, connection: Any, **kwargs: object) -> None:
    """WAL so that a phone may read while the laptop writes; FULL so that what was confirmed is on the disk."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode = WAL")
            cursor.execute("PRAGMA synchronous = FULL")
            cursor.execute("PRAGMA foreign_keys = ON")


class RecordsConfig(AppConfig):
    name = "tickover.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from tickover.records.find_index import fill_if_empty

        post_migrate.connect(fill_if_empty, sender=self, dispatch_uid="tickover-find")
        connection_created.connect(_open_sqlite_safely, dispatch_uid="tickover-sqlite")
