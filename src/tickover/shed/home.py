"""Where the workshop's data lives: ``TICKOVER_HOME``, by default the platform's data folder."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def home() -> Path:
    """The folder of this workshop. It is not made here."""
    chosen = os.environ.get("TICKOVER_HOME")
    if chosen:
        return Path(chosen).expanduser().resolve()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "tickover"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "tickover"
    return Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share")) / "tickover"


def secret(folder: Path) -> str:
    """The workshop's own key for sessions and forms, made once and kept in its folder."""
    import secrets

    kept = folder / "secret"
    if not kept.exists():
        folder.mkdir(parents=True, exist_ok=True)
        kept.touch(mode=0o600)
        kept.write_text(secrets.token_urlsafe(50))
    return kept.read_text()
