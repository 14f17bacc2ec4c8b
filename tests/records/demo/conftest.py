"""The demo, loaded once for these tests; each test's own writing is taken back."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from django.db import transaction

from tickover.records import demo
from tickover.records.models import Build


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: object) -> Iterator[tuple[Build, float]]:
    with django_db_blocker.unblock(), transaction.atomic():  # type: ignore[attr-defined]
        began = time.process_time()
        build = demo.load()
        yield build, time.process_time() - began
        transaction.set_rollback(True)


@pytest.fixture
def heron(loaded: tuple[Build, float], db: None) -> Build:
    return Build.objects.get(pk=loaded[0].pk)
