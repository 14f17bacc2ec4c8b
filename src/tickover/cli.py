"""The ``tickover`` command. Thin: it reads arguments, calls a room below, and prints.

Exit status: 0 done; 1 done, and what was checked does not hold; 2 the input cannot be used. Imports stand inside the
commands, so that ``tickover calc`` starts without Django and without numpy.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any, NoReturn

import click

from tickover.units import BadInput

JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON in SI units.")
FILE = click.argument("file", type=click.Path(path_type=Path))
SET = click.option("--set", "sets", multiple=True, metavar="ID=POSITION", help="Put a switch in a position.")
FAULT = click.option("--fault", "faults", multiple=True, metavar="FAULT", help="With this fault, e.g. open:W11.")


class Commands(click.Group):
    """Commands in the order in which they are declared; bad input is one line on standard error and exit status 2."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BadInput as problem:
            _refuse(str(problem))

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """As click's own, but wrong usage is one line as well, without the usage text before it."""
        try:
            return super().main(*args, **{**kwargs, "standalone_mode": False})
        except click.exceptions.NoArgsIsHelpError as asked:
            click.echo(asked.format_message())
        except click.UsageError as problem:
            _refuse(problem.format_message())
        except click.Abort:
            sys.exit(130)


def _refuse(says: str) -> NoReturn:
    click.echo(f"tickover: {' '.join(says.split())}", err=True)
    sys.exit(2)


def _print_json(answer: object) -> None:
    click.echo(json.dumps(answer, ensure_ascii=False, allow_nan=False))


def _pairs(given: Iterable[str], what: str, example: str) -> dict[str, str]:
    pairs: dict[str, str] = {}
    for text in given:
        name, sign, value = text.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise BadInput(f"{what} “{text}” is not NAME=VALUE; write for example {example}.")
        if name.strip() in pairs:
            raise BadInput(f"{what} {name.strip()} is given twice; give it once.")
        pairs[name.strip()] = value.strip()
    return pairs


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="tickover", prog_name="tickover")
def main() -> None:
    """The workshop companion: records, computations and fault-finding for one motorcycle build."""


@main.command()
@click.option("--home", type=click.Path(path_type=Path, file_okay=False), help="The workshop's folder.")
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True)
@click.option("--demo", is_flag=True, help="Load the demo bike if there is no build yet.")
@click.option("--lan", is_flag=True, help="Let phones on the same network in.")
@click.option("--open/--no-open", "open_page", default=False, help="Open the page in the browser of this desktop.")
def serve(home: Path | None, port: int, demo: bool, lan: bool, open_page: bool) -> None:
    """Serve the workshop's pages."""
    from tickover.shed.serve import serve as run

    run(home=home, port=port, demo=demo, lan=lan, open_page=open_page)


@main.command()
@JSON
def sheets(as_json: bool) -> None:
    """Every calculation sheet, its inputs, units, ranges and sources."""
    from tickover import sheets as rooms

    if as_json:
        _print_json(rooms.describe())
    else:
        click.echo(rooms.describe_as_text())


@main.command()
@click.argument("sheet")
@click.argument("values", nargs=-1, metavar="NAME=VALUE...")
@click.option("--inch-pound", is_flag=True, help="Bare numbers and the answer in inch-pound units.")
@JSON
def calc(sheet: str, values: tuple[str, ...], inch_pound: bool, as_json: bool) -> None:
    """Work one sheet: tickover calc chassis.trail rake=27deg offset="55 ± 0.5 mm" front_radius=305mm"""
    from tickover import sheets as rooms

    worked = rooms.work(sheet, _pairs(values, "Input", "rake=27deg"), "inch-pound" if inch_pound else "metric")
    if as_json:
        _print_json(worked.as_json())
    else:
        click.echo(rooms.as_text(worked))
    if any(verdict.verdict == "outside" for verdict in worked.verdicts):
        sys.exit(1)


@main.group(cls=Commands)
def loom() -> None:
    """Check and solve a loom document."""


@loom.command("check")
@FILE
@JSON
def loom_check(file: Path, as_json: bool) -> None:
    """What is wrong with a loom document, every fault of it at once."""
    from tickover.chapters.electrics.loom import document

    problems = document.check(document.parse_file(file))
    if as_json:
        _print_json([asdict(problem) for problem in problems])
    else:
        for problem in problems:
            click.echo(str(problem))
        errors = sum(problem.error for problem in problems)
        click.echo(f"{errors} wrong, {len(problems) - errors} to look at.")
    sys.exit(any(problem.error for problem in problems))


@loom.command("solve")
@FILE
@SET
@FAULT
@click.option("--running", type=click.FloatRange(0, 20000), default=0.0, metavar="RPM", help="The engine turns.")
@JSON
def loom_solve(file: Path, sets: tuple[str, ...], faults: tuple[str, ...], running: float, as_json: bool) -> None:
    """Volts by pin and amps by wire."""
    from tickover.chapters.electrics.loom import document
    from tickover.chapters.electrics.loom.circuit import Circuit
    from tickover.chapters.electrics.loom.faults import parse

    bike = document.load(file)
    circuit = Circuit(bike, [parse(fault, bike) for fault in faults])
    solution = circuit.solve(_pairs(sets, "--set", "KEY=on"), turning=running > 0)
    if as_json:
        _print_json(solution.as_json())
    else:
        click.echo(solution.as_text())
    sys.exit(not solution.settled)


@loom.command("spice")
@FILE
@SET
@FAULT
def loom_spice(file: Path, sets: tuple[str, ...], faults: tuple[str, ...]) -> None:
    """The same circuit as a SPICE netlist."""
    from tickover.chapters.electrics.loom import document, spice
    from tickover.chapters.electrics.loom.faults import parse

    bike = document.load(file)
    settings = _pairs(sets, "--set", "KEY=on")
    click.echo(spice.netlist(bike, settings, [parse(fault, bike) for fault in faults]))


@loom.command("size")
@FILE
@click.option("--ambient", type=float, default=50.0, show_default=True, metavar="°C", help="Around the loom.")
@click.option("--bundle", type=int, default=6, show_default=True, help="Wires together that carry current.")
@click.option("--insulation", default="B", show_default=True, help="Class of ISO 6722: A 85, B 100, C 125 °C.")
@click.option("--drop", type=float, default=3.0, show_default=True, metavar="%", help="Drop allowed in one wire.")
@JSON
def loom_size(file: Path, ambient: float, bundle: int, insulation: str, drop: float, as_json: bool) -> None:
    """Conductor, fuse and drop of every wire."""
    from tickover.chapters.electrics.conductors import Surroundings
    from tickover.chapters.electrics.loom import document, sizing

    sized = sizing.size(document.load(file), Surroundings(ambient + 273.15, bundle, insulation), drop / 100)
    if as_json:
        _print_json(sized.as_json())
    else:
        click.echo(sized.as_text())
    sys.exit(not sized.holds)


@main.group(cls=Commands)
def fault() -> None:
    """From a complaint to the cause, one reading at a time."""


@fault.command("list")
@FILE
@JSON
def fault_list(file: Path, as_json: bool) -> None:
    """Every single fault considered, with its prior."""
    from tickover.chapters.electrics.loom import document
    from tickover.faultfinding import search

    faults = search.fault_list(document.load(file))
    if as_json:
        _print_json(faults)
    else:
        for row in faults:
            click.echo(f"{row['prior']:8.5f}  {row['fault']}")


@fault.command("next")
@FILE
@click.option("--complaint", required=True, metavar="READING", help="seen:cranks@KEY=on,START=in=no")
@click.option("--reading", "readings", multiple=True, metavar="TEST=VALUE")
@JSON
def fault_next(file: Path, complaint: str, readings: tuple[str, ...], as_json: bool) -> None:
    """What is suspected now, and what to measure next."""
    from tickover.chapters.electrics.loom import document
    from tickover.faultfinding.search import fault_next as work

    search = work(document.load(file), complaint, readings)
    if as_json:
        _print_json(search.as_json())
    else:
        click.echo(search.as_text())
