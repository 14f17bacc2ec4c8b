"""The manual is complete: every command, every setting and every sheet stands in it."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from tickover import sheets
from tickover.cli import main

ROOT = Path(__file__).parent.parent
MANUAL = (ROOT / "docs" / "manual.md").read_text("utf-8")


def commands(group: click.Group, before: str = "tickover") -> list[str]:
    named: list[str] = []
    for name, command in group.commands.items():
        named += commands(command, f"{before} {name}") if isinstance(command, click.Group) else [f"{before} {name}"]
    return named


@pytest.mark.parametrize("command", commands(main))
def test_every_command_stands_in_the_manual(command: str) -> None:
    assert f"`{command}" in MANUAL


@pytest.mark.parametrize("sheet", list(sheets.index()))
def test_every_sheet_stands_in_the_manual(sheet: str) -> None:
    assert f"`{sheet}`" in MANUAL


def test_every_setting_stands_in_the_manual() -> None:
    code = "\n".join(path.read_text("utf-8") for path in (ROOT / "src" / "tickover" / "shed").glob("*.py"))
    for setting in re.findall(r'environ(?:\.get\(|\[)"([A-Z_]+)"', code):
        if setting not in ("DISPLAY", "WAYLAND_DISPLAY", "LOCALAPPDATA", "XDG_DATA_HOME", "DJANGO_SETTINGS_MODULE"):
            assert f"`{setting}`" in MANUAL, setting


def test_the_manual_links_to_pages_that_exist() -> None:
    for page in [ROOT / "README.md", *(ROOT / "docs").glob("*.md")]:
        for target in re.findall(r"\]\(([^)#:]+)\)", page.read_text("utf-8")):
            assert (page.parent / target).exists(), f"{page.name}: {target}"
