"""A real server on a workshop's folder, and the arguments that Debian's browser is started with."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1366, "height": 768}

CHROMIUM = "/usr/bin/chromium"
CHROMIUM_ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--no-first-run",
]  # fmt: skip


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
            env=environment,
            stdout=log,
            stderr=log,
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
