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


class Server:
    """A server process on a workshop's folder, that can be stopped, killed and started again at the same address."""

    def __init__(self, home: Path, *options: str) -> None:
        self.home, self.options, self.port = home, options, free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        environment = {name: value for name, value in os.environ.items() if not name.startswith("DJANGO")}
        environment |= {"TICKOVER_HOME": str(self.home), "TZ": "Europe/London"}
        log = self.home.parent / f"{self.home.name}.log"
        with log.open("a") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "tickover", "serve", "--port", str(self.port), *self.options],
                env=environment,
                stdout=out,
                stderr=out,
            )
        for _ in range(300):
            if self.process.poll() is not None:
                raise RuntimeError(f"the server stopped:\n{log.read_text()}")
            try:
                urllib.request.urlopen(self.address, timeout=20).close()
                return
            except OSError:
                time.sleep(0.1)

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(10)

    def kill(self) -> None:
        """As a power cut does: at once, whatever it is doing."""
        assert self.process is not None
        self.process.kill()
        self.process.wait(10)


@contextmanager
def served(home: Path, *options: str) -> Iterator[str]:
    """A server process on a workshop's folder; its address."""
    server = Server(home, *options)
    try:
        server.start()
        yield server.address
    finally:
        server.stop()
