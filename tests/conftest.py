"""What all tests share: a real server with the demo workshop, and a real browser at phone and laptop size."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, Page, sync_playwright

from tests.serving import CHROMIUM, CHROMIUM_ARGUMENTS, LAPTOP, PHONE, served

# The same examples in every run; how long one takes on a busy machine says nothing about the code.
settings.register_profile("tickover", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("tickover")


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop's folder with the demo loaded; copy it to write in it (``own_demo_server``)."""
    home = tmp_path_factory.mktemp("demo") / "workshop"
    home.mkdir()
    with served(home, "--demo"):
        pass
    return home


@pytest.fixture(scope="session")
def demo_server(demo_home: Path) -> Iterator[str]:
    """Address of a server on the demo, shared: read from it only."""
    with served(demo_home) as address:
        yield address


@pytest.fixture
def own_demo_server(demo_home: Path, tmp_path: Path) -> Iterator[str]:
    """Address of a server on a demo of this test's own: write what you like."""
    home = tmp_path / "workshop"
    shutil.copytree(demo_home, home)
    with served(home) as address:
        yield address


@pytest.fixture
def empty_server(tmp_path: Path) -> Iterator[str]:
    """Address of a server on an empty workshop."""
    home = tmp_path / "workshop"
    home.mkdir()
    with served(home) as address:
        yield address


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGUMENTS)
        yield opened
        opened.close()


@contextmanager
def a_page(browser: Browser, size: dict[str, int], **options: object) -> Iterator[Page]:
    context = browser.new_context(viewport=size, **options)  # type: ignore[arg-type]
    context.set_default_timeout(15_000)
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    yield page
    context.close()
    assert not wrong, wrong


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A page at phone size, with touch."""
    with a_page(browser, PHONE, has_touch=True, is_mobile=True) as page:
        yield page


@pytest.fixture
def laptop(browser: Browser) -> Iterator[Page]:
    """A page at laptop size."""
    with a_page(browser, LAPTOP) as page:
        yield page


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: Any) -> Iterator[tuple[int, float]]:
    """The demo in the test database, for one module: the build's number, and the processor time that it took."""
    from tickover.records import demo

    with django_db_blocker.unblock(), transaction.atomic():
        began = time.process_time()
        build = demo.load()
        yield build.pk, time.process_time() - began
        transaction.set_rollback(True)


@pytest.fixture
def heron(loaded: tuple[int, float], db: None) -> Any:
    """The demo's build; what a test writes is taken back after it."""
    from tickover.records.models import Build

    return Build.objects.get(pk=loaded[0])
