"""What the page tests share: a test client that may write, and photos in a folder of the test's own."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_photos(settings: object, tmp_path: Path) -> None:
    settings.PHOTOS = tmp_path / "photos"  # type: ignore[attr-defined]
