"""The server is killed in the middle of saving: what it had confirmed is there when it comes back."""

from __future__ import annotations

import http.cookiejar
import os
import re
import signal
import subprocess
import sys
import threading
import time
import urllib.parse
import urllib.request
from pathlib import Path

from tests.serving import free_port, served


class NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args: object) -> None:
        return None


def _writer(address: str, number: int, confirmed: list[str]) -> None:
    """Write parts down one after the other until the server is gone; note each that was confirmed."""
    jar = http.cookiejar.CookieJar()
    web = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar), NoRedirect())
    try:
        page = web.open(f"{address}/b/1/parts/new", timeout=10).read().decode()
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
        assert token
        for count in range(2000):
            name = f"Part {number}-{count}"
            form = {"csrfmiddlewaretoken": token[1], "name": name, "chapter": "engine", "count": "1",
                    "condition": "good", "to_do": "refit", "now": "in stores"}  # fmt: skip
            try:
                web.open(f"{address}/b/1/parts/new", urllib.parse.urlencode(form).encode(), timeout=10)
            except urllib.error.HTTPError as answer:
                if answer.code == 302:
                    confirmed.append(name)
    except OSError:
        return


def test_killed_in_the_middle_of_saving(tmp_path: Path) -> None:
    home = tmp_path / "workshop"
    home.mkdir()
    port = free_port()
    environment = {name: value for name, value in os.environ.items() if not name.startswith("DJANGO")}
    environment["TICKOVER_HOME"] = str(home)
    prepare = (
        "from tickover.shed.serve import prepare; prepare(); "
        "from tickover.records.models import Build; Build.objects.create(name='Heron')"
    )
    subprocess.run([sys.executable, "-c", prepare], env=environment, check=True)
    server = subprocess.Popen([sys.executable, "-m", "tickover", "serve", "--port", str(port)], env=environment)
    address = f"http://127.0.0.1:{port}"
    for _ in range(200):
        try:
            urllib.request.urlopen(address, timeout=5).close()
            break
        except OSError:
            time.sleep(0.1)
    confirmed: list[str] = []
    writers = [threading.Thread(target=_writer, args=(address, k, confirmed)) for k in range(4)]
    for writer in writers:
        writer.start()
    deadline = time.monotonic() + 30
    while len(confirmed) < 60 and time.monotonic() < deadline:
        time.sleep(0.01)
    os.kill(server.pid, signal.SIGKILL)
    server.wait()
    for writer in writers:
        writer.join()
    assert len(confirmed) >= 60
    with served(home):
        count = (
            "from tickover.shed.serve import prepare; prepare(); from tickover.records.models import ChangeLine, Part; "
            "print(*Part.objects.values_list('name', flat=True), sep='\\n'); "
            "assert Part.objects.count() == ChangeLine.objects.filter(kind='part').count()"
        )
        answer = subprocess.run(
            [sys.executable, "-c", count], env=environment, check=True, capture_output=True, text=True
        )
    assert set(confirmed) <= set(answer.stdout.splitlines())
