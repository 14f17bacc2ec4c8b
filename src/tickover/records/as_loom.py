"""The loom on record as a loom document (docs/loom.md), and a loom document read into the records.

The wire tags of the strip-down and the wires of the loom are the same records: a tag both of whose ends are
known, with its conductor and length, is a wire. A component that stands for a part takes from it what must
come off first; everything else it keeps itself. A wire without a tag in the document is marked with its id.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any

from django.core.exceptions import ValidationError

from tickover.chapters.electrics.loom.document import read
from tickover.records.access import all_to_reach
from tickover.records.history import writing
from tickover.records.models import Build, LoomComponent, Part, WireEnd, WireTag
from tickover.units import BadInput


def loom_document(build: Build) -> dict[str, Any]:
    """The build's loom as the contract's object; as many queries for a large one as for a small one.

    ``behind`` comes from what covers the component's part; where nothing is on record about that, from the
    component's own values. ``reach_minutes`` is the component's own, or what taking those covers off takes.
    """
    covers = all_to_reach(build.pk)
    components = LoomComponent.objects.filter(build=build).select_related("part").order_by("id")
    ends: dict[int, dict[str, str]] = defaultdict(dict)
    for end in WireEnd.objects.filter(build=build, component__isnull=False).exclude(pin="").select_related("component"):
        ends[end.tag_id][end.side] = f"{end.component.ident}.{end.pin}"
    tags = WireTag.objects.filter(build=build, area__isnull=False, length__isnull=False).order_by("id")
    wires = [tag for tag in tags if len(ends[tag.pk]) == 2]
    idents = _idents(wires, {component.ident for component in components})
    return {
        "loom": 1,
        **build.loom,
        "components": [_component(part, covers.get(part.part_id or 0, [])) for part in components],
        "wires": [_wire(tag, idents[tag.pk], ends[tag.pk]) for tag in wires],
    }


def _component(component: LoomComponent, covers: list[Part]) -> dict[str, Any]:
    item: dict[str, Any] = {"id": component.ident, "kind": component.kind}
    if component.name:
        item["name"] = component.name
    item |= component.values
    part = component.part
    item["condition"] = part.condition if part and component.condition == "unknown" else component.condition
    if covers:
        item["behind"] = [cover.name for cover in covers]
        item.setdefault("reach_minutes", sum(cover.reach_minutes or 0.0 for cover in covers))
    return item


def _idents(wires: list[WireTag], taken: set[str]) -> dict[int, str]:
    """Each wire's id in the loom: its own, otherwise one made from its mark that nothing else has."""
    taken = taken | {tag.ident for tag in wires}
    idents: dict[int, str] = {}
    for tag in wires:
        made = "W" + re.sub(r"[^A-Za-z0-9_-]", "-", tag.mark)
        idents[tag.pk] = tag.ident or (made if made not in taken else f"{made}-{tag.pk}")
        taken.add(idents[tag.pk])
    return idents


def _wire(tag: WireTag, ident: str, ends: dict[str, str]) -> dict[str, Any]:
    assert tag.area is not None
    assert tag.length is not None
    item: dict[str, Any] = {
        "id": ident,
        "from": ends["from"],
        "to": ends["to"],
        "mm2": round(tag.area * 1e6, 6),
        "length_mm": round(tag.length * 1e3, 3),
    }
    further = {
        "colour": tag.colours,
        "tag": tag.mark if tag.mark != tag.ident else "",
        "contact_ohms": tag.contact_ohms,
        "name": tag.function,
        "says": tag.remark,
    }
    return item | {key: value for key, value in further.items() if value} | {"condition": tag.condition} | tag.values


def read_in(build: Build, data: object, who: str = "") -> None:
    """Write the components and wires of a loom document into the records, all of them or none.

    Raises ``LoomProblems`` where the document is wrong, ``BadInput`` where it does not fit what is on record.
    """
    read(data)
    assert isinstance(data, dict)
    components, wires = data["components"], data["wires"]
    _refuse_what_is_there(build, components, wires)
    whole = {key: data[key] for key in ("name", "celsius") if key in data}
    with writing(who, f"Loom read in: {len(components)} components, {len(wires)} wires"):
        if whole:
            build.loom = whole
            build.save()
        parts = {item["id"]: _save(_component_record(build, item)) for item in components}
        for item in wires:
            tag = _save(_tag_record(build, item))
            for side, key in ((WireEnd.Side.FROM, "from"), (WireEnd.Side.TO, "to")):
                ident, _, pin = item[key].partition(".")
                _save(WireEnd(build=build, tag=tag, side=side, component=parts[ident], pin=pin))


def _refuse_what_is_there(build: Build, components: list[dict[str, Any]], wires: list[dict[str, Any]]) -> None:
    idents = set(LoomComponent.objects.filter(build=build).values_list("ident", flat=True))
    idents |= set(WireTag.objects.filter(build=build).exclude(ident="").values_list("ident", flat=True))
    there = next((item["id"] for item in (*components, *wires) if item["id"] in idents), None)
    if there is not None:
        raise BadInput(
            f"{there} is in this build's loom already; read the document into a build that does not have it."
        )
    marks = set(WireTag.objects.filter(build=build).values_list("mark", flat=True))
    for item in wires:
        mark = _mark(item)
        if mark in marks:
            raise BadInput(f"wire {item['id']}: the tag “{mark}” is taken by another wire; give each wire its own tag.")
        marks.add(mark)


def _mark(item: dict[str, Any]) -> str:
    return item.get("tag") or item["id"]


def _component_record(build: Build, item: dict[str, Any]) -> LoomComponent:
    return LoomComponent(
        build=build,
        ident=item["id"],
        kind=item["kind"],
        name=item.get("name", ""),
        condition=item.get("condition", "unknown"),
        values={key: value for key, value in item.items() if key not in ("id", "kind", "name", "condition")},
    )


def _tag_record(build: Build, item: dict[str, Any]) -> WireTag:
    return WireTag(
        build=build,
        mark=_mark(item),
        ident=item["id"],
        colours=item.get("colour", ""),
        area=item["mm2"] * 1e-6,
        length=item["length_mm"] * 1e-3,
        contact_ohms=item.get("contact_ohms"),
        function=item.get("name", ""),
        condition=item.get("condition", "unknown"),
        remark=item.get("says", ""),
        values={key: item[key] for key in ("reach_minutes", "behind") if key in item},
    )


def _save(record: Any) -> Any:
    try:
        record.clean_fields()
    except ValidationError as wrong:
        field, sentences = next(iter(wrong.message_dict.items()))
        name = record._meta.get_field(field).verbose_name
        raise BadInput(f"{record}: {name}: {sentences[0]}") from None
    record.save()
    return record
