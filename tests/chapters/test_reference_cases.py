"""Every sheet against cases nobody here invented: ``<chapter>/reference/*.json``, each with its source."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tickover import sheets

FILES = sorted(Path(__file__).parent.glob("*/reference/*.json"))
TOLD = {path: json.loads(path.read_text("utf-8")) for path in FILES}
SHEETS = {path: told for path, told in TOLD.items() if isinstance(told, dict) and "sheet" in told}
CASES = [
    pytest.param(told["sheet"], case, id=f"{told['sheet']}-{number}")
    for told in SHEETS.values()
    for number, case in enumerate(told["cases"])
]


def test_every_sheet_has_a_case_from_outside() -> None:
    assert {told["sheet"] for told in SHEETS.values()} == set(sheets.index())
    for path, told in SHEETS.items():
        assert path.parent.parent.name == told["sheet"].partition(".")[0]


@pytest.mark.parametrize(("sheet_id", "case"), CASES)
def test_case(sheet_id: str, case: dict[str, Any]) -> None:
    assert case["source"]
    assert case["results"] or case["verdicts"]
    worked = sheets.work(sheet_id, case["inputs"])
    for name, expected in case["results"].items():
        found = worked.results[name]
        assert found is not None
        assert found.value == pytest.approx(expected["value"], rel=expected["rel"])
        if "plus_minus" in expected:
            assert found.plus_minus == pytest.approx(expected["plus_minus"], rel=1e-6)
    verdicts = {found.on: found.verdict for found in worked.verdicts}
    for name, word in case.get("verdicts", {}).items():
        assert verdicts[name] == word
