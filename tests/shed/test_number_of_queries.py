"""No page asks the database more often because there is more on record."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from tests.every_page import every_page

from tickover.records import find_index
from tickover.records import models as m

pytestmark = pytest.mark.django_db

ASKED = [
    "strip-down?show=fasteners", "strip-down?show=tags", "strip-down?show=tags&tags=one_end", "strip-down?show=photos",
    "strip-down?show=photos&balloons=none", "job-cards?show=chapters", "job-cards?show=done",
    "plan?milestone=road-ready", "find?q=added", "find?q=aded+part", "find?q=M8+x+40", "find?q=starter",
]  # fmt: skip
LOOM = ("loom", "loom_solved", "fault_finding", "fault_search")
"""These load the whole loom to solve it."""


class Kept:
    """One of each kind, on which all that is added hangs."""

    def __init__(self, build: m.Build) -> None:
        self.build = build
        self.part = self.one(m.Part, name="busy part", came_off_order=9_000)
        self.store = self.one(m.Store, name="busy box", mark="box 900")
        self.set = self.one(m.FastenerSet, name="busy bolts", holds=self.part, thread="M8 x 1.25", length=0.04)
        self.tag = self.one(m.WireTag, mark="900", colours="GN/YE")
        self.stint = self.one(m.Stint, aim="busy stint", ended=timezone.now())
        self.photo = self.one(m.Photo, sha256="0" * 64, width=4, height=3, stint=self.stint, taken_at=timezone.now())
        self.limit = self.one(m.Limit, name="busy limit", part=self.part, service_low=0.001)
        self.reading = self.one(m.Reading, name="busy", limit=self.limit, part=self.part, typed="1 mm", value=0.001)
        self.card = self.one(m.JobCard, title="busy card")
        self.purchase = self.one(m.Purchase, what="busy purchase", part=self.part, card=self.card)
        self.component = self.one(m.LoomComponent, ident="BUSY", kind="splice")
        self.count = self.one(m.LooseCount, name="busy balls", part=self.part, counted_out=3)
        self.inspection = self.one(m.Inspection, name="busy inspection")
        self.kit = self.one(m.Kit, name="busy kit")
        self.remark = self.one(m.Remark, on_kind="part", on_record=self.part.pk, text="busy remark")
        self.number = 0

    def one(self, model: Any, **facts: object) -> Any:
        record = model(build=self.build, **facts)
        record.save()
        return record

    def records(self) -> dict[str, int | str]:
        kinds = "build part store set tag stint photo limit reading card purchase component count inspection kit remark"
        found: dict[str, int | str] = {kind: getattr(self, kind).pk for kind in kinds.split()}
        return found | {"change": m.Change.objects.latest("pk").pk}

    def add(self, many: int) -> None:
        """So many more of every kind, each hanging on the busy ones."""
        for _ in range(many):
            self.number += 1
            n, now = self.number, timezone.now() - timedelta(hours=self.number)
            part = self.one(m.Part, name=f"added part {n}", place=self.store, came_off_order=9_000 + n, lash_up=n % 2)
            self.one(m.Part, name=f"added missing part {n}", condition="missing", needed_for="first start")
            self.one(m.Cover, cover=part, covered=self.part)
            self.one(m.Store, name=f"added bag {n}", inside=self.store)
            loose = {"joint": "finger-tight", "thread": "M8 x 1.25", "length": 0.04}
            self.one(m.FastenerSet, name=f"added bolts {n}", holds=self.part, **loose)
            self.one(m.FastenerSet, name=f"added set {n}", holds=part, place=self.store)
            tag = self.one(m.WireTag, mark=f"9{n:03}", colours="BU")
            self.one(m.WireEnd, tag=tag, side="from", component=self.component, pin=f"p{n}")
            photo = self.one(m.Photo, sha256=f"{n:064}", width=4, height=3, stint=self.stint, taken_at=now)
            targets = {"part": self.part, "fasteners": self.set, "tag": self.tag, "place": self.store}
            for at, (kind, target) in enumerate(targets.items(), 1):
                self.one(m.Balloon, photo=photo, number=at, x=0.5, y=0.5, **{kind: target})
            self.one(m.Balloon, photo=self.photo, number=n, x=0.5, y=0.5, part=part)
            limit = self.one(m.Limit, name=f"added limit {n}", part=self.part, service_low=0.001)
            facts = {"typed": "2 mm", "value": 0.002, "part": self.part, "stint": self.stint}
            reading = self.one(m.Reading, name=f"added reading {n}", limit=self.limit, taken_at=now, **facts)
            self.one(m.Reading, name=f"added loose reading {n}", taken_at=now, **facts)
            card = self.one(m.JobCard, title=f"added card {n}", signed_off_at=now if n % 3 == 0 else None)
            self.one(m.JobStep, card=self.card, number=n, says="added step")
            self.one(m.JobPart, card=self.card, part=part)
            self.one(m.JobPart, card=card, part=self.part)
            self.one(m.JobOrder, first=card, then=self.card)
            self.one(
                m.NeededReading, card=self.card, name=f"added {n}", limit=limit, reading=reading if n % 2 else None
            )
            state = ("to order", "on order", "arrived")[n % 3]
            self.one(m.Purchase, what=f"added purchase {n}", state=state, card=self.card, part=self.part)
            self.one(m.Stint, aim=f"added stint {n}", ended=now, stopped_at="here")
            self.one(
                m.LooseCount, name=f"added balls {n}", part=self.part, place=self.store, counted_out=4, counted_in=3
            )
            self.one(m.InspectionLine, inspection=self.inspection, number=n, name="place", limit=limit, reading=reading)
            self.one(m.Inspection, name=f"added inspection {n}")
            self.one(m.KitItem, kit=self.kit, name="item", part=part, limit=limit, old=reading)
            self.one(m.Kit, name=f"added kit {n}", purchase=self.purchase)
            self.one(m.Remark, on_kind="part", on_record=self.part.pk, text=f"added remark {n}", stint=self.stint)
            self.part.remark = f"changed {n}"
            self.part.save()


def queries(addresses: dict[str, str]) -> dict[str, int]:
    asked = {}
    for name, address in addresses.items():
        with CaptureQueriesContext(connection) as seen:
            answer = Client().get(address)
        if answer.status_code == 200:
            asked[name] = len(seen)
    return asked


def test_no_page_asks_more_often_because_there_is_more_on_record(heron: m.Build) -> None:
    kept = Kept(heron)
    kept.add(3)
    addresses = {name: page for name, page in every_page(kept.records()).items() if name not in LOOM}
    addresses |= {asked: f"/b/{heron.pk}/{asked}" for asked in ASKED}
    few = queries(addresses)
    assert len(few) > 70
    kept.add(60)
    find_index.rebuild()
    many = queries(addresses)
    more = [f"{name}: {few[name]}, then {count}" for name, count in many.items() if count > few[name]]
    assert not more, "; ".join(more)
