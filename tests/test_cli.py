"""The command line: exit status 0, 1 and 2, JSON alone on standard output, one sentence on standard error."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tickover.records import demo

LOOM = Path(demo.__file__).with_name("loom.json")
COMPLAINT = "seen:fires@KEY=on,START=in=no"


def tickover(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "tickover", *arguments],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_calc_answers_the_contracts_object() -> None:
    done = tickover("calc", "chassis.trail", "rake=27deg", "offset=55 ± 0.5 mm", "front_radius=305mm", "--json")
    answer = json.loads(done.stdout)
    assert done.returncode == 0
    assert answer["sheet"] == "chassis.trail"
    assert answer["inputs"]["offset"] == {"value": 0.055, "unit": "m", "plus_minus": 0.0005}
    assert answer["results"]["trail"]["value"] == pytest.approx(0.0937, abs=5e-5)
    assert answer["results"]["trail"]["plus_minus"] == pytest.approx(0.0006, abs=5e-5)
    assert {"verdicts", "warnings", "cautions", "sources"} <= answer.keys()


def test_calc_imports_neither_django_nor_numpy() -> None:
    code = (
        "import sys\n"
        "from tickover.cli import main\n"
        "main(['calc', 'chassis.trail', 'rake=27deg', 'offset=55mm', 'front_radius=305mm'], standalone_mode=False)\n"
        "assert not {'django', 'numpy', 'scipy', 'networkx'} & set(sys.modules), sorted(sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).returncode == 0


def test_sheets_lists_the_first_eight() -> None:
    listed = {row["sheet"] for row in json.loads(tickover("sheets", "--json").stdout)}
    assert {
        "fabrication.hole_centres", "chassis.trail", "electrics.voltage_drop", "engine.cranking_compression",
        "fuel.bowl_level", "brakes.lever_force", "final_drive.road_speed", "engine.wear",
    } <= listed  # fmt: skip


def test_loom_check_of_a_sound_document() -> None:
    assert tickover("loom", "check", str(LOOM)).returncode == 0


def test_loom_check_names_every_fault_at_once(tmp_path: Path) -> None:
    wrong = {
        "loom": 1, "spare": True,
        "components": [{"id": "BAT", "kind": "battery", "volts": "twelve", "ohms": 0.02}, {"id": "F1", "kind": "fuze"}],
        "wires": [{"id": "W1", "from": "BAT.+", "to": "F9.a", "mm2": 1, "length_mm": 100}],
    }  # fmt: skip
    file = tmp_path / "loom.json"
    file.write_text(json.dumps(wrong))
    done = tickover("loom", "check", str(file))
    assert done.returncode == 1
    for named in ("spare", "twelve", "fuze", "F9"):
        assert named in done.stdout


def test_loom_solve_answers_the_contracts_object() -> None:
    answer = json.loads(tickover("loom", "solve", str(LOOM), "--set", "KEY=on", "--json").stdout)
    assert answer["settled"] is True
    assert answer["volts"]["BAT.+"] > 12
    assert {"volts", "amps", "relays", "warnings"} <= answer.keys()


def test_loom_size_judges_every_wire_and_says_so_in_its_exit_status() -> None:
    done = tickover("loom", "size", str(LOOM), "--json")
    answer = json.loads(done.stdout)
    assert done.returncode == 1
    assert not answer["holds"]
    wires = {row["wire"]: row for row in answer["wires"]}
    assert wires["W42"]["fuse"] == "F3"
    assert wires["W42"]["holds"]
    assert not wires["W5"]["holds"]
    assert tickover("loom", "size", str(LOOM), "--bundle", "1", "--ambient", "40").returncode == 0


def test_loom_size_refuses_what_cannot_be_in_one_line() -> None:
    done = tickover("loom", "size", str(LOOM), "--insulation", "Q")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "tickover: Insulation class 'Q' is not known; it may be A, B, C.\n"


def test_loom_solve_with_a_fault_and_turning() -> None:
    sound = json.loads(tickover("loom", "solve", str(LOOM), "--set", "KEY=on", "--running", "1200", "--json").stdout)
    broken = json.loads(tickover("loom", "solve", str(LOOM), "--set", "KEY=on", "--fault", "open:F1", "--json").stdout)
    assert sound["volts"]["F1.b"] > 12
    assert abs(broken["volts"]["KEY.15"] or 0.0) < 1e-6


def test_loom_spice_is_a_netlist() -> None:
    text = tickover("loom", "spice", str(LOOM), "--set", "KEY=on").stdout
    assert ".end" in text.lower()


def test_fault_list_and_fault_next() -> None:
    rows = json.loads(tickover("fault", "list", str(LOOM), "--json").stdout)
    assert sum(row["prior"] for row in rows) == pytest.approx(1)
    reading = "seen:spark@KEY=on,START=in=no"
    done = tickover("fault", "next", str(LOOM), "--complaint", COMPLAINT, "--reading", reading, "--json")
    answer = json.loads(done.stdout)
    assert answer["suspects"][0].keys() >= {"fault", "probability", "why"}
    assert answer["next"][0].keys() >= {"test", "minutes", "bits", "why"}
    assert answer["found"] is None
    assert answer["contradictions"] == []


BAD = [
    (["calc", "chassis.trial", "rake=27deg"], "chassis.trail"),
    (["calc", "chassis.trail", "rake"], "NAME=VALUE"),
    (["calc", "chassis.trail", "rake=27deg", "rake=28deg"], "twice"),
    (["calc", "chassis.trail", "rake=27 bananas", "offset=55mm", "front_radius=305mm"], "bananas"),
    (["calc", "chassis.trail", "rake=270deg", "offset=55mm", "front_radius=305mm"], "out of range"),
    (["calc", "chassis.trail", "rake=nan", "offset=55mm", "front_radius=305mm"], "rake"),
    (["calc", "chassis.trail", "rake=27deg", "offset=55mm"], "front_radius"),
    (["calc", "chassis.trail", "rake=27deg", "offset=55mm", "front_radius=305mm", "colour=red"], "colour"),
    (["loom", "solve", "nowhere.json"], "nowhere.json"),
    (["loom", "check", "nowhere.json"], "nowhere.json"),
    (["loom", "solve", str(LOOM), "--set", "KEY=sideways"], "sideways"),
    (["loom", "solve", str(LOOM), "--set", "LOCK=on"], "LOCK"),
    (["loom", "solve", str(LOOM), "--fault", "open:W999"], "W999"),
    (["loom", "solve", str(LOOM), "--running", "fast"], "fast"),
    (["loom", "spice", str(LOOM), "--fault", "bent:F1"], "bent"),
    (["fault", "list", "nowhere.json"], "nowhere.json"),
    (["fault", "next", str(LOOM)], "--complaint"),
    (["fault", "next", str(LOOM), "--complaint", "volts:BAT.+=12"], "complaint"),
    (["fault", "next", str(LOOM), "--complaint", "seen:spark@KEY=on=perhaps"], "perhaps"),
    (["fault", "next", str(LOOM), "--complaint", COMPLAINT, "--reading", "volts:BAT.x=12"], "BAT"),
    (["fault", "next", str(LOOM), "--complaint", COMPLAINT, "--reading", "volts:BAT.+=plenty"], "plenty"),
    (["serve", "--port", "0"], "port"),
    (["mend"], "mend"),
]


@pytest.mark.parametrize(("arguments", "named"), BAD, ids=[" ".join(a)[-60:] for a, _ in BAD])
def test_bad_input_is_one_sentence_and_status_2(arguments: list[str], named: str, tmp_path: Path) -> None:
    done = tickover(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    assert named in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr


@pytest.mark.parametrize(
    "content", [b"", b"\xff\xfe\x00", b"[1, 2", b"[]", b'{"loom": 2}', b"null", b'{"loom": 1, "loom": 1}']
)
def test_files_that_are_no_loom(content: bytes, tmp_path: Path) -> None:
    file = tmp_path / "loom.json"
    file.write_bytes(content)
    done = tickover("loom", "solve", str(file))
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr
    assert "Traceback" not in done.stderr
