"""The manual's page names every cause with the weight it really has, and every kind of test."""

from pathlib import Path

from tickover.chapters.causes import CAUSES
from tickover.faultfinding.naming import KINDS

PAGE = (Path(__file__).parents[2] / "docs" / "fault-finding.md").read_text(encoding="utf-8")


def test_every_cause_stands_in_the_manual_with_its_weight() -> None:
    for cause in CAUSES.values():
        assert f"| `{cause.id}` {cause.name} | {cause.prior:g} | {cause.why} |" in PAGE


def test_every_kind_of_test_stands_in_the_manual() -> None:
    for kind in KINDS:
        assert f"`{kind}:" in PAGE
