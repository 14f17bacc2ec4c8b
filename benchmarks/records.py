"""Pages of a workshop with a great deal on record, against an empty Django page from the same server process.

Both are asked for in turn over one HTTP connection on the loopback: the empty page is a bare view behind the same
middleware. Left out are the pages that compute (the loom's solution, fault-finding, sheets), files, and what only a
press of a button reaches.
"""

from __future__ import annotations

import http.client
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager

from tests.serving import free_port

FIGURES = {"records.page_against_empty"}

PAIRS = 9
COMPUTED = ("loom", "fault", "sheet", "torque", "simul", "saved", "complaint")
"""Beginnings of the names of pages whose time is a computation's."""
QUERIES = ["starter", "sart er", "left carburretor", "M8 x 40", "GN/YE", "bag 12", "tag 17", "H450-00031", "paint gone"]
LISTS = {
    "strip_down": ["show=parts&condition=unknown", "show=parts&page=90", "show=parts&order=last", "show=fasteners",
                   "show=fasteners&joint=finger-tight&chapter=engine", "show=tags", "show=tags&tags=one_end",
                   "show=photos", "show=photos&page=200", "show=photos&balloons=none"],
    "job_cards": ["show=chapters", "show=done"],
    "plan": ["milestone=first+start"],
    "readings": ["page=40"],
    "changes": ["before=25000"],
    "stints": ["page=9"],
}  # fmt: skip


@contextmanager
def _served(home: str) -> Iterator[int]:
    port = free_port()
    environment = os.environ | {"TICKOVER_HOME": home, "DJANGO_SETTINGS_MODULE": "benchmarks._settings"}
    command = [sys.executable, "-m", "waitress", f"--port={port}", "--host=127.0.0.1", "--threads=4"]
    server = subprocess.Popen(
        [*command, "tickover.shed.wsgi:application"],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        for _ in range(200):
            if server.poll() is not None:
                raise RuntimeError("the server stopped")
            try:
                _get(http.client.HTTPConnection("127.0.0.1", port, timeout=5), "/empty")
                break
            except OSError:
                time.sleep(0.1)
        yield port
    finally:
        server.terminate()
        server.wait(10)


def _get(connection: http.client.HTTPConnection, address: str) -> tuple[int, float]:
    """Status, and seconds until the last byte."""
    began = time.perf_counter()
    connection.request("GET", address, headers={"Accept-Encoding": "gzip"})
    answer = connection.getresponse()
    answer.read()
    return answer.status, time.perf_counter() - began


def addresses(numbers: dict[str, int]) -> list[str]:
    """Every page of records and every search that is measured."""
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "benchmarks._settings")
    django.setup()
    from tests.every_page import every_page

    pages = every_page(numbers)
    found = [address for name, address in pages.items() if not any(part in name for part in COMPUTED)]
    found += [f"{pages[name]}?{query}" for name, queries in LISTS.items() for query in queries]
    return found + [f"{pages['find']}?q={query.replace(' ', '+').replace('/', '%2F')}" for query in QUERIES]


def measure(home: str, numbers: dict[str, int]) -> dict[str, tuple[float, float]]:
    """Median ratio to the empty page, and median seconds, of every page that opens."""
    os.environ["TICKOVER_HOME"] = home
    ratios: dict[str, tuple[float, float]] = {}
    with _served(home) as port:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        for address in addresses(numbers):
            _get(connection, "/empty")
            if _get(connection, address)[0] != 200:
                continue
            pairs = [(_get(connection, "/empty")[1], _get(connection, address)[1]) for _ in range(PAIRS)]
            ratio = statistics.median(page / empty for empty, page in pairs)
            ratios[address] = (ratio, statistics.median(page for _, page in pairs))
    return ratios


def figures() -> Iterator[dict[str, object]]:
    """The worst page's median ratio; all of them go to standard error."""
    with tempfile.TemporaryDirectory(prefix="tickover-bench-") as home:
        environment = os.environ | {"TICKOVER_HOME": home}
        written = subprocess.run(
            [sys.executable, "-m", "benchmarks._large_workshop"], env=environment, check=True, stdout=subprocess.PIPE
        )
        ratios = measure(home, json.loads(written.stdout))
    for address, (ratio, seconds) in sorted(ratios.items(), key=lambda item: -item[1][0]):
        print(f"{ratio:8.1f} × empty {1000 * seconds:8.1f} ms  {address}", file=sys.stderr)
    yield {
        "figure": "records.page_against_empty",
        "value": round(max(ratio for ratio, _ in ratios.values()), 1),
        "unit": "times an empty page",
        "goal": 10,
        "better": "lower",
    }
