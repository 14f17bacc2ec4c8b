"""What all tests share: a real server with the demo workshop, and a real browser at phone and laptop size."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1366, "height": 768}


def free_port() -> int:
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def served(home: Path, *options: str) -> Iterator[str]:
    """A server process on a workshop's folder; its address."""
    port = free_port()
    environment = {name: value for name, value in os.environ.items() if not name.startswith("DJANGO")}
    environment |= {"TICKOVER_HOME": str(home), "TZ": "Europe/London"}
    with (home.parent / f"{home.name}.log").open("w") as log:
        server = subprocess.Popen(
            [sys.executable, "-m", "tickover", "serve", "--port", str(port), *options],
            env=environment, stdout=log, stderr=log,
        )
        try:
            address = f"http://127.0.0.1:{port}"
            for _ in range(300):
                if server.poll() is not None:
                    raise RuntimeError(f"the server stopped:\n{Path(log.name).read_text()}")
                try:
                    urllib.request.urlopen(address, timeout=20).close()
                    break
                except OSError:
                    time.sleep(0.1)
            yield address
        finally:
            server.terminate()
            server.wait(10)


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
        opened = playwright.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
                  "--disable-sync", "--no-first-run"],
        )
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
