"""Taking back the last change restores every kind of record exactly, with all that fell with it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import models
from django.test import Client

from tickover.records import history
from tickover.records.models import (
    Balloon,
    Build,
    Change,
    Cover,
    FastenerSet,
    FaultReading,
    FaultSearch,
    Inspection,
    InspectionLine,
    JobCard,
    JobOrder,
    JobPart,
    JobStep,
    Kit,
    KitItem,
    Limit,
    LoomComponent,
    LooseCount,
    MilestoneReached,
    NeededReading,
    Part,
    Photo,
    Purchase,
    Reading,
    Record,
    Remark,
    SavedSheet,
    Stint,
    Store,
    WireEnd,
    WireTag,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
KINDS = [model for model in apps.get_app_config("records").get_models() if issubclass(model, Record)]


class Workshop:
    """One of every kind of record, each linked to others in every way it can be."""

    def __init__(self) -> None:
        self.build = build = Build(name="Penhallow Heron 450", year=1976, loom={"celsius": 20.0})
        build.save()
        self.made: dict[type[Record], Record] = {Build: build}
        with history.writing("Jory", "Written down"):
            stint = self.make(Stint, who="Jory", started=NOON, aim="strip the starter")
            room = self.make(Store, name="back room")
            box = self.make(Store, name="electrics", mark="box 4", inside=room)
            starter = self.make(Part, name="starter", place=box, came_off=date(2024, 3, 1), reach_minutes=2.5)
            cover = self.make(Part, name="left cover", place=box)
            sheet = self.make(SavedSheet, sheet="chassis.trail", inputs={"rake": "27°"}, worked_at=NOON)
            limit = self.make(Limit, name="brush length", part=starter, service_low=0.0055)
            reading = self.make(
                Reading, name="brush length", part=starter, limit=limit, stint=stint, typed="9.1 mm", value=0.0091
            )
            bolts = self.make(
                FastenerSet, name="starter bolts", holds=starter, torque=22.0, torque_sheet=sheet, place=box
            )
            self.make(LooseCount, name="thrust washers", part=starter, place=box, counted_out=2)
            self.make(Cover, cover=cover, covered=starter, how="holds", guessed=True)
            component = self.make(LoomComponent, ident="ST", kind="starter", values={"ohms": 0.06}, part=starter)
            tag = self.make(WireTag, mark="17", colours="RD/BK", area=2.5e-6, values={"behind": ["left cover"]})
            self.make(WireEnd, tag=tag, side="from", component=component, pin="+", colours="RD")
            photo = self.make(Photo, sha256="a" * 64, width=400, height=300, taken_at=NOON, stint=stint)
            for number, target in enumerate(
                ({"part": starter}, {"fasteners": bolts}, {"tag": tag}, {"place": box}), start=1
            ):
                self.make(Balloon, photo=photo, number=number, x=0.25, y=0.5, **target)
            card = self.make(JobCard, title="Starter back in", hours=1.5)
            later = self.make(JobCard, title="First start")
            self.make(JobStep, card=card, number=1, says="Torque both bolts.")
            self.make(JobPart, card=card, part=starter, role="needs")
            self.make(JobOrder, first=card, then=later, why="it is turned by the starter")
            self.make(NeededReading, card=card, name="brush length", limit=limit, reading=reading)
            purchase = self.make(Purchase, what="brush set", price=Decimal("12.50"), card=card, part=starter)
            search = self.make(FaultSearch, card=card, complaint="seen:cranks@KEY=on=no", found=["open:W1"])
            self.make(FaultReading, search=search, test="volts:ST.+", value="0.4", taken_at=NOON)
            self.make(MilestoneReached, milestone="rolling chassis", on=NOON)
            self.make(Remark, on_kind="part", on_record=starter.pk, stint=stint, text="runs rough", said_at=NOON)
            inspection = self.make(Inspection, name="starter", begun_at=NOON)
            self.make(
                InspectionLine,
                inspection=inspection,
                number=1,
                name="brush",
                limit=limit,
                part=starter,
                reading=reading,
            )
            kit = self.make(Kit, name="starter kit", purchase=purchase, arrived_on=date(2024, 4, 2))
            self.make(
                KitItem,
                kit=kit,
                name="brushes",
                part=starter,
                old=reading,
                new=reading,
                limit=limit,
                sheet_others={"a": "1 mm"},
            )

    def make(self, model: type[Any], **facts: Any) -> Any:
        record = model(build=self.build, **facts)
        record.save()
        self.made[model] = record
        return record


# One field of each kind that is changed, and what it becomes.
CHANGED: dict[type[Record], tuple[str, Any]] = {
    Balloon: ("x", 0.75),
    Build: ("address", "http://192.168.1.20:8000"),
    Cover: ("guessed", False),
    FastenerSet: ("torque", 24.5),
    FaultReading: ("value", "12.1"),
    FaultSearch: ("found", ["open:W1", "open:ST"]),
    Inspection: ("begun_at", datetime(2024, 5, 1, 8, 30, tzinfo=UTC)),
    InspectionLine: ("reading", None),
    JobCard: ("signed_off_at", NOON),
    JobOrder: ("why", ""),
    JobPart: ("role", "fits"),
    JobStep: ("done_at", NOON),
    Kit: ("arrived_on", None),
    KitItem: ("sheet_others", {"b": 2}),
    Limit: ("service_low", 0.006),
    LoomComponent: ("values", {"ohms": 0.08, "note": "warm"}),
    LooseCount: ("counted_in", 1),
    MilestoneReached: ("on", datetime(2024, 6, 1, tzinfo=UTC)),
    NeededReading: ("reading", None),
    Part: ("place", None),
    Photo: ("taken_at", None),
    Purchase: ("price", Decimal("13.75")),
    Reading: ("value", 0.0088),
    Remark: ("text", "runs rough when cold"),
    SavedSheet: ("answer", {"trail": 0.09}),
    Stint: ("ended", NOON),
    Store: ("inside", None),
    WireEnd: ("component", None),
    WireTag: ("area", None),
}


@pytest.fixture
def workshop() -> Workshop:
    return Workshop()


def everything() -> dict[str, dict[str, Any]]:
    """Every record there is, field by field; when it was last touched does not count."""
    return {
        f"{model.__name__} {row.pk}": {
            field.name: field.value_from_object(row)
            for field in model._meta.concrete_fields
            if field.name != "changed_at"
        }
        for model in KINDS
        for row in model._base_manager.all()
    }  # fmt: skip


def take_back(build: Build) -> None:
    change = history.last_change(build.pk)
    assert change is not None
    assert history.take_back(change, "Jory") is not None


def test_every_kind_of_record_is_tried(workshop: Workshop) -> None:
    assert set(workshop.made) == set(KINDS)
    assert set(CHANGED) == set(KINDS)


def test_a_new_build_taken_back_is_gone_with_its_history(workshop: Workshop, client: Client) -> None:
    before, changes = everything(), Change.objects.count()
    build = Build(name="another")
    build.save()
    change = history.last_change(build.pk)
    assert change is not None
    response = client.post(f"/x/{change.pk}/take-back", {"next": build.get_absolute_url()})
    assert response.status_code == 302
    assert client.get(response["Location"], follow=True).status_code == 200
    assert everything() == before
    assert Change.objects.count() == changes


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind is not Build], ids=lambda kind: kind.__name__)
def test_a_second_record_taken_back_is_gone(kind: type[Record], workshop: Workshop) -> None:
    record = workshop.made[kind]
    before = everything()
    copy = kind(**{field.attname: getattr(record, field.attname) for field in kind._meta.concrete_fields
                   if not field.primary_key})  # fmt: skip
    for name, value in _own(kind, workshop).items():
        setattr(copy, name, value)
    copy.save()
    assert len(everything()) == len(before) + 1
    take_back(workshop.build)
    assert everything() == before


def _own(kind: type[Record], workshop: Workshop) -> dict[str, Any]:
    """What a second record of a kind may not share with the first."""
    return {
        Balloon: {"number": 9},
        Cover: {"cover_id": workshop.made[Cover].covered_id, "covered_id": workshop.made[Cover].cover_id},  # type: ignore[attr-defined]
        InspectionLine: {"number": 9},
        JobOrder: {"first_id": workshop.made[JobOrder].then_id, "then_id": workshop.made[JobOrder].first_id},  # type: ignore[attr-defined]
        JobPart: {"part": Part.objects.exclude(pk=workshop.made[JobPart].part_id).get()},  # type: ignore[attr-defined]
        JobStep: {"number": 9},
        LoomComponent: {"ident": "ST2"},
        MilestoneReached: {"milestone": "first start"},
        WireEnd: {"side": "to"},
        WireTag: {"mark": "18"},
    }.get(kind, {})


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_changed_record_taken_back_is_as_it_was(kind: type[Record], workshop: Workshop) -> None:
    before = everything()
    record = kind._base_manager.get(pk=workshop.made[kind].pk)
    name, value = CHANGED[kind]
    assert getattr(record, name) != value
    setattr(record, name, value)
    record.save()
    after = everything()
    assert after != before
    take_back(workshop.build)
    assert everything() == before


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind is not Build], ids=lambda kind: kind.__name__)
def test_a_struck_out_record_comes_back_with_what_fell_with_it(kind: type[Record], workshop: Workshop) -> None:
    record = kind._base_manager.get(pk=workshop.made[kind].pk)
    with history.writing("Jory", "Cleared first"):
        _clear(record)
    before = everything()
    record.delete()
    after = everything()
    assert f"{kind.__name__} {workshop.made[kind].pk}" not in after
    take_back(workshop.build)
    assert everything() == before


def _clear(record: Record) -> None:
    """What stands on a place or a loom component keeps it from going; it is moved off first, as the pages ask for."""
    for related in record._meta.related_objects:
        field = related.field
        if field.remote_field.on_delete is models.PROTECT:
            for row in related.related_model._base_manager.filter(**{field.name: record}):
                setattr(row, field.name, None)
                row.save()


def test_striking_out_one_record_can_take_many_kinds_along(workshop: Workshop) -> None:
    """The part that all else hangs on: balloons, covers and job parts go, the rest loses its link; all is restored."""
    before = everything()
    starter = Part.objects.get(name="starter")
    starter.delete()
    lost = set(before) - set(everything())
    assert {name.split()[0] for name in lost} == {"Part", "Balloon", "Cover", "JobPart"}
    unlinked = {name.split()[0] for name, fields in everything().items() if before[name] != fields}
    assert {"FastenerSet", "Limit", "Reading", "LooseCount", "LoomComponent", "Purchase", "InspectionLine",
            "KitItem"} <= unlinked  # fmt: skip
    take_back(workshop.build)
    assert everything() == before


def test_a_moved_box_goes_back_through_its_history_move_by_move(workshop: Workshop, client: Client) -> None:
    box, room = Store.objects.get(mark="box 4"), Store.objects.get(name="back room")
    shelf = workshop.make(Store, name="shelf")
    bag = workshop.make(Store, name="bag", mark="bag 1", inside=box)
    workshop.make(Part, name="float needle", place=bag)
    states = [everything()]
    for inside in (shelf, None, shelf, room):
        changes = Change.objects.count()
        assert client.post(f"/s/{box.pk}/move", {"inside": inside.pk if inside else ""}).status_code == 302
        assert Change.objects.count() == changes + 1
        states.append(everything())
    for state in reversed(states[:-1]):
        change = history.last_change(workshop.build.pk)
        assert change is not None
        assert client.post(f"/x/{change.pk}/take-back", {"next": box.get_absolute_url()}).status_code == 302
        assert everything() == state
    lines = [line.after for line in Change.objects.latest("id").lines.all()]
    assert lines == [{"inside": room.pk}]


def test_a_whole_press_goes_back_whole(workshop: Workshop, client: Client) -> None:
    """Many records put into a box at once, then the box moved: taken back one after the other."""
    shelf = workshop.make(Store, name="shelf")
    start = everything()
    what = [f"part:{part.pk}" for part in Part.objects.all()] + [f"fasteners:{FastenerSet.objects.get().pk}"]
    what.append(f"count:{LooseCount.objects.get().pk}")
    address = f"/b/{workshop.build.pk}/stores/put-in"
    assert client.post(address, {"place": shelf.pk, "what": what}).status_code == 302
    put = everything()
    assert put != start
    client.post(f"/s/{shelf.pk}/move", {"inside": Store.objects.get(mark="box 4").pk})
    take_back(workshop.build)
    assert everything() == put
    take_back(workshop.build)
    assert everything() == start
