"""Open the workshop: migrate, lay out the static files, load the demo where asked, serve with waitress."""

from __future__ import annotations

import os
import socket
import sys
import threading
import webbrowser
from contextlib import closing
from pathlib import Path

import click

from tickover.units import BadInput


def prepare(home: Path | None = None, *, lan: bool = False) -> None:
    """Set Django up on a workshop's folder and bring its database and static files up to date."""
    if home is not None:
        os.environ["TICKOVER_HOME"] = str(home.expanduser().resolve())
    if lan:
        os.environ["TICKOVER_LAN"] = "1"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tickover.shed.settings")

    import django

    try:
        django.setup()
    except OSError as problem:
        raise BadInput(
            f"The workshop's folder cannot be used ({problem.strerror}: {problem.filename}); "
            "choose one that you may write to with --home DIR."
        ) from problem

    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", interactive=False, verbosity=0)
    _lay_out_static_files()


def _lay_out_static_files() -> None:
    """Copy the styles and scripts out under hashed names, once a version of them."""
    import hashlib

    from django.conf import settings
    from django.contrib.staticfiles.finders import get_finders
    from django.core.management import call_command

    seen = hashlib.sha256()
    for finder in get_finders():
        for path, storage in finder.list([]):
            seen.update(f"{path} {storage.size(path)} {storage.get_modified_time(path)}\n".encode())
    stamp = settings.STATIC_ROOT / "laid-out"
    if not stamp.exists() or stamp.read_text() != seen.hexdigest():
        call_command("collectstatic", interactive=False, verbosity=0, clear=True)
        stamp.write_text(seen.hexdigest())


def load_demo_if_empty() -> bool:
    """Load the demo bike unless some build is on record. Whether it was loaded."""
    from tickover.records import demo
    from tickover.records.models import Build

    if Build.objects.exists():
        return False
    demo.load()
    return True


def serve(*, home: Path | None, port: int, demo: bool, lan: bool, open_page: bool) -> None:
    """Serve until interrupted. Raises ``BadInput`` where the port is taken."""
    host = "0.0.0.0" if lan else "127.0.0.1"
    with closing(socket.socket()) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, port))
        except OSError as problem:
            raise BadInput(
                f"Port {port} is in use ({problem.strerror}): another tickover may be open; "
                f"close it or choose another with --port {port + 1}."
            ) from problem
    prepare(home, lan=lan)
    if demo and load_demo_if_empty():
        click.echo("The demo bike, a Penhallow Heron 450, is loaded.")

    from django.conf import settings

    from tickover.shed import listening
    from tickover.shed.wsgi import application

    server = listening.server(application, host=host, port=port, most_bytes=settings.MOST_BYTES_AT_ONCE)
    address = f"http://127.0.0.1:{port}"
    click.echo(f"tickover is open at {address}")
    if lan:
        click.echo(f"On a phone in the same network: http://{lan_address()}:{port}")
        click.echo("Anyone on this network can read and write the workshop while it is open.", err=True)
    sys.stdout.flush()
    if open_page and _has_desktop():
        threading.Timer(0.3, webbrowser.open, [address]).start()
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()


def _has_desktop() -> bool:
    return sys.platform in ("win32", "darwin") or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def lan_address() -> str:
    """This machine's address on its network; no packet is sent."""
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
