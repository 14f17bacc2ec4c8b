"""What was found from ohm readings, written into the loom as a component.

The component is checked by the loom document's rules together with everything already wired to it; where it would not
fit, nothing is written. The readings it stands on are kept in what the component says of itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils import timezone

from tickover.chapters.electrics.loom import document
from tickover.chapters.electrics.relay_finder import FORMS, RelayFinding
from tickover.chapters.electrics.switch_finder import SwitchFinding
from tickover.records.as_loom import loom_document
from tickover.records.history import writing
from tickover.records.models import Build, LoomComponent
from tickover.units import BadInput

PULL_IN_VOLTS, DROP_OUT_VOLTS = 8.0, 1.5
"""Volts at which a 12 V relay pulls in and lets go, where nobody has tried: assumed, no standard sets them here."""
_FROM = "From ohm readings:"


def write_relay(
    build: Build,
    found: RelayFinding,
    *,
    ident: str,
    name: str = "",
    component: LoomComponent | None = None,
    pull_in_volts: float | None = None,
    drop_out_volts: float | None = None,
    who: str = "",
) -> LoomComponent:
    """Write a relay into the loom: a new component of this id, or ``component`` brought up to date.

    Raises ``BadInput`` where the finding does not go far enough, or the loom would not hold with it.
    """
    if found.contradiction:
        raise BadInput(found.contradiction)
    if not found.certain:
        raise BadInput("Which pin is which is not certain yet; take the reading proposed next.")
    if found.form == "double":
        raise BadInput(
            "The loom has no relay whose two outputs are apart at rest; write it down as two make relays whose coils "
            "lie side by side, each of twice the ohms."
        )
    if found.coil_ohms is None:
        raise BadInput("The coil’s ohms are not known; read them with the plus where the relay pulls in.")
    kept = component.values if component else {}
    values: dict[str, Any] = {
        "contact": "make" if found.form == "twin" else found.form,
        "coil_ohms": float(f"{found.coil_ohms.ohms:.4g}"),
    }
    assumed = []
    for key, given, usual, says in (
        ("pull_in_volts", pull_in_volts, PULL_IN_VOLTS, "to pull in"),
        ("drop_out_volts", drop_out_volts, DROP_OUT_VOLTS, "to let go"),
    ):
        values[key] = kept.get(key, usual) if given is None else given
        if given is None and key not in kept:
            assumed.append(f"{usual:g} V {says} assumed")
    pins = ", ".join(f"{number} is pin {pin}" for number, pin in _by_number(found))
    told = [f"{FORMS[found.form]} contact; {pins}", *assumed, *_read(found.readings)]
    return _write(build, "relay", values, told, ident=ident, name=name, component=component, who=who)


def _by_number(found: RelayFinding) -> list[tuple[str, str]]:
    return sorted((one.number, one.pin) for one in found.found)


def write_switch(
    build: Build,
    found: SwitchFinding,
    *,
    ident: str,
    at: str,
    name: str = "",
    component: LoomComponent | None = None,
    who: str = "",
) -> LoomComponent:
    """Write a switch into the loom, standing at ``at``. Raises ``BadInput`` as ``write_relay`` does."""
    if found.contradictions:
        raise BadInput(found.contradictions[0])
    if not found.certain:
        position, (first, second) = found.untold[0]
        raise BadInput(f"Whether {first} and {second} are joined in {position} is not told yet; read them first.")
    values = {"positions": {position: [list(pair) for pair in pairs] for position, pairs in found.positions.items()}}
    told = _read(found.readings)
    return _write(build, "switch", values | {"at": at}, told, ident=ident, name=name, component=component, who=who)


def _read(readings: Sequence[object]) -> list[str]:
    today = timezone.localdate()
    return [f"read {today.day} {today:%b %Y}", *(str(reading) for reading in readings)]


def _write(
    build: Build,
    kind: str,
    values: dict[str, Any],
    told: list[str],
    *,
    ident: str,
    name: str,
    component: LoomComponent | None,
    who: str,
) -> LoomComponent:
    ident = component.ident if component else ident.strip()
    record = component or LoomComponent(build=build, ident=ident, kind=kind)
    if record.kind != kind:
        raise BadInput(f"{ident} is a {record.kind.replace('_', ' ')} in this loom; choose a {kind} or a new id.")
    if component is None:
        _refuse_what_is_taken(build, ident)
    before = str(record.values.get("says", "")).partition(_FROM)[0].strip()
    record.values = record.values | values
    record.values["says"] = f"{before} {_FROM} {'; '.join(told)}.".strip()
    record.name = name.strip() or record.name
    _check(build, record)
    with writing(who, f"{kind.capitalize()} {ident} written into the loom from ohm readings"):
        record.save()
    return record


def _refuse_what_is_taken(build: Build, ident: str) -> None:
    taken = LoomComponent.objects.filter(build=build, ident=ident).exists()
    if taken or build.wiretags.filter(ident=ident).exclude(ident="").exists():
        raise BadInput(f"There is a {ident} in this loom already; choose it from the list, or give another id.")


def _check(build: Build, record: LoomComponent) -> None:
    """The component alone, then the whole loom with it: what was sound before must stay so."""
    item = {"id": record.ident, "kind": record.kind} | record.values
    if record.name:
        item["name"] = record.name
    _raise_first(document.check({"loom": 1, "components": [item], "wires": []}))
    whole = loom_document(build)
    before = {(problem.where, problem.what) for problem in document.check(whole) if problem.error}
    whole["components"] = [one for one in whole["components"] if one["id"] != record.ident] + [item]
    _raise_first(
        [problem for problem in document.check(whole) if (problem.where, problem.what) not in before],
    )


def _raise_first(problems: list[document.Problem]) -> None:
    for problem in problems:
        if problem.error:
            raise BadInput(str(problem))
