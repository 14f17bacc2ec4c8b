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
        began = time.perf_counter()
        build = demo.load()
        yield build, time.perf_counter() - began
        transaction.set_rollback(True)


@pytest.fixture
def heron(loaded: tuple[Build, float]) -> Iterator[Build]:
    with transaction.atomic():
        yield Build.objects.get(pk=loaded[0].pk)
        transaction.set_rollback(True)
