"""Writes the demo's data files into the records: as all stood before the last stints, then their changes."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

from django.db import transaction
from django.utils import timezone

from tickover import units
from tickover.records import photo_files
from tickover.records.as_loom import loom_document, read_in
from tickover.records.demo import data, loom
from tickover.records.demo.draw_photos import draw
from tickover.records.history import writing
from tickover.records.models import (
    Balloon,
    Build,
    Cover,
    FastenerSet,
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
    NeededReading,
    Part,
    Photo,
    Purchase,
    Reading,
    Stint,
    Store,
    WireEnd,
    WireTag,
)
from tickover.standards import instruments

NOW = {
    "bike": "on the bike",
    "fitted": "fitted",
    "stores": "in stores",
    "out": "out for work",
    "order": "on order",
}


def _at(moment: datetime) -> datetime:
    return timezone.make_aware(moment)


class Loading:
    """One loading of the demo, and the records made so far by the names that the data files give them."""

    def __init__(self) -> None:
        self.who: str = data("stints")["who"]
        self.places: dict[str, Store] = {}
        self.parts: dict[str, Part] = {}
        self.fasteners: dict[str, FastenerSet] = {}
        self.limits: dict[str, Limit] = {}
        self.readings: dict[str, Reading] = {}
        self.cards: dict[str, JobCard] = {}
        self.stints: dict[date, Stint] = {}
        self.tags: dict[str, WireTag] = {}
        self.after: dict[tuple[type, int], dict[str, Any]] = {}
        """Fields that a change of the last stints gives to a record that was made as it stood before."""

    def load(self, *, photos: bool) -> Build:
        """Everything, in one transaction."""
        with transaction.atomic():
            with writing(self.who, kept=False):
                self.build = Build(**data("build"))
                self.build.save()
                self.write_places()
                self.write_parts()
                self.write_wiring()
                self.write_fasteners()
                self.write_stints()
                self.write_measuring()
                self.write_cards()
                self.write_purchases()
                self.write_inspections()
                if photos:
                    self.write_photos()
            self.write_changes()
        return self.build

    # -- one record ----------------------------------------------------------------------------------------

    def make(self, kind: Any, change: str = "", called: object = None, /, **fields: Any) -> Any:
        """Save a record as it stood before the change of the last stints that concerns it, if one does."""
        was = self._was(change, called) if change else {}
        before = {key: self._before(key, value) for key, value in was.items()}
        record = kind(build=self.build, **(fields | before))
        record.save()
        if was:
            self.after[kind, record.pk] = {key: fields.get(key) for key in was}
        return record

    def _was(self, change: str, called: object) -> dict[str, Any]:
        key = "started" if change == "stint" else "name"
        items = (item for made in data("changes")["change"] for item in made.get(change, ()))
        return next((item["was"] for item in items if item[key] == called), {})

    def _before(self, field: str, value: Any) -> Any:
        return self.places[value] if field == "place" else None if value is False else value

    # -- one data file each --------------------------------------------------------------------------------

    def write_places(self) -> None:
        for item in data("places")["place"]:
            self.places[item["mark"]] = self.make(
                Store,
                name=item["name"],
                mark=item["mark"],
                inside=self.places[item["in"]] if "in" in item else None,
                remark=item.get("remark", ""),
            )

    def write_parts(self) -> None:
        days = [(day["on"], name) for day in data("strip_down")["day"] for name in day["came_off"]]
        came_off = {name: (on, number) for number, (on, name) in enumerate(days, 1)}
        for chapter, listed in data("parts").items():
            for item in listed["part"]:
                on, number = came_off.pop(item["name"], (None, None))
                self.parts[item["name"]] = self.make(
                    Part,
                    "part",
                    item["name"],
                    name=item["name"],
                    number=item.get("number", ""),
                    chapter=chapter,
                    count=item.get("count", 1),
                    condition=item.get("condition", "good"),
                    to_do=item.get("to_do", "refit"),
                    now=NOW[item.get("now", "stores")],
                    place=self.places[item["place"]] if "place" in item else None,
                    needed_for=item.get("needed_for", ""),
                    lash_up=item.get("lash_up", False),
                    came_off=on,
                    came_off_order=number,
                    reach_minutes=item.get("reach_minutes"),
                    remark=item.get("remark", ""),
                )
        if came_off:
            raise KeyError(f"strip_down.toml names what parts.toml does not have: {', '.join(came_off)}")
        for kind, covers in data("covers").items():
            how = {"how": Cover.How.HOLDS} if kind == "holds" else {"guessed": kind == "guessed"}
            for cover, covered in covers.items():
                for name in covered:
                    self.make(Cover, cover=self.parts[cover], covered=self.parts[name], **how)
        for item in data("counts")["count"]:
            self.make(
                LooseCount,
                name=item["name"],
                part=self.parts[item["part"]],
                place=self.places[item["place"]] if "place" in item else None,
                counted_out=item["out"],
                counted_in=item.get("in"),
                remark=item.get("remark", ""),
            )

    def write_wiring(self) -> None:
        read_in(self.build, loom(), self.who)
        components = {part.ident: part for part in LoomComponent.objects.filter(build=self.build)}
        for listed in data("parts").values():
            for item in listed["part"]:
                for ident in item.get("loom", ()):
                    components[ident].part = self.parts[item["name"]]
                    components[ident].save()
        # What a part's covers say is not kept a second time.
        said = {item["id"]: item.get("behind") for item in loom_document(self.build)["components"]}
        for component in components.values():
            if component.part_id and component.values.get("behind") == said[component.ident]:
                component.values.pop("behind", None)
                component.save()
        more = data("tags")
        for ident in more["lash_up"]:
            tag = WireTag.objects.get(build=self.build, ident=ident)
            tag.lash_up = True
            tag.save()
        for item in more["tag"]:
            tag = self.make(
                WireTag,
                mark=item["mark"],
                colours=item["colours"],
                function=item["function"],
                remark=item.get("remark", ""),
            )
            self.make(WireEnd, tag=tag, side=WireEnd.Side.FROM, connector=item["one"], cavity=item.get("cavity", ""))
            if "other" in item:
                colours = item.get("other_colours", "")
                self.make(WireEnd, tag=tag, side=WireEnd.Side.TO, connector=item["other"], colours=colours)
        self.tags = {tag.mark: tag for tag in WireTag.objects.filter(build=self.build)}

    def write_fasteners(self) -> None:
        for item in data("fasteners")["set"]:
            self.fasteners[item["name"]] = self.make(
                FastenerSet,
                "fasteners",
                item["name"],
                name=item["name"],
                holds=self.parts[item["holds"]],
                thread=item.get("thread", ""),
                length=_si(item.get("length"), "length"),
                count=item["count"],
                head=item.get("head", ""),
                material=item.get("material", ""),
                torque=_si(item.get("torque"), "torque"),
                torque_from=item.get("from", ""),
                preparation=item.get("preparation", ""),
                joint=item["joint"],
                place=self.places[item["place"]] if "place" in item else None,
                remark=item.get("remark", ""),
            )

    def write_stints(self) -> None:
        for item in data("stints")["stint"]:
            self.stints[item["started"].date()] = self.make(
                Stint,
                "stint",
                item["started"],
                who=self.who,
                started=_at(item["started"]),
                ended=_at(item["ended"]),
                aim=item["aim"],
                stopped_at=item["stopped_at"],
                next_up=item["next_up"],
                not_safe=item["not_safe"],
            )

    def write_measuring(self) -> None:
        written = data("measuring")
        for item in written["limit"]:
            dimension = item.get("dimension", "length")
            low, high = item.get("standard", (None, None))
            limit = self.make(
                Limit,
                name=item["name"],
                chapter=item["chapter"],
                part=self.parts[item["part"]],
                dimension=dimension,
                standard_low=_si(low, dimension),
                standard_high=_si(high, dimension),
                service_low=_si(item.get("service_low"), dimension),
                service_high=_si(item.get("service_high"), dimension),
                source=item["source"],
            )
            self.limits |= dict.fromkeys(item["measured"], limit)
        later = {name for change in data("changes")["change"] for name in change.get("reading", ())}
        for item in written["reading"]:
            if item["name"] not in later:
                self.write_reading(item)

    def write_reading(self, item: dict[str, Any], when: datetime | None = None) -> Reading:
        limit = self.limits.get(item["name"])
        dimension = limit.dimension if limit else "length"
        value = units.parse(item["read"], dimension).value
        stint = self.stints[item["on"]]
        on_that_day = sum(1 for reading in self.readings.values() if reading.stint_id == stint.pk)
        reading: Reading = self.make(
            Reading,
            name=item["name"],
            part=self.parts[item["part"]],
            limit=limit,
            stint=stint,
            dimension=dimension,
            typed=item["read"],
            value=value,
            plus_minus=instruments.uncertainty(item["with"], value),
            instrument=item["with"],
            taken_at=when or stint.started + timedelta(minutes=95 + 11 * on_that_day),
            remark=item.get("remark", ""),
        )
        self.readings[item["name"]] = reading
        return reading

    def write_cards(self) -> None:
        for item in data("jobs")["card"]:
            signed = self.stints[item["signed"]] if "signed" in item else None
            signed_at = _at(datetime.combine(item["signed"], time(16, 45))) if "signed" in item else None
            card = self.cards[item["title"]] = self.make(
                JobCard,
                "card",
                item["title"],
                title=item["title"],
                chapter=item["chapter"],
                needed_for=item.get("needed_for", ""),
                why=item["why"],
                tools=item["tools"],
                caution=item.get("caution", ""),
                hours=item["hours"],
                complaint=item.get("complaint", ""),
                signed_off_at=signed_at,
                signed_off_by=self.who if signed else "",
            )
            done = len(item["steps"]) if signed else item.get("done", 0)
            begun = signed or self.stints[max(self.stints)]
            for number, says in enumerate(item["steps"], 1):
                when = begun.started + timedelta(minutes=40 * number) if number <= done else None
                self.make(JobStep, card=card, number=number, says=says, done_at=when)
            for role in (JobPart.Role.FITS, JobPart.Role.NEEDS):
                for name in item.get(role, ()):
                    self.make(JobPart, card=card, part=self.parts[name], role=role)
            for name in item.get("readings", ()):
                limit, reading = self.limits.get(name), self.readings.get(name)
                dimension = limit.dimension if limit else "length"
                self.make(NeededReading, card=card, name=name, dimension=dimension, limit=limit, reading=reading)
        for item in data("jobs")["card"]:
            for before in item.get("after", ()):
                first, then = self.cards[before["card"]], self.cards[item["title"]]
                self.make(JobOrder, first=first, then=then, why=before["why"])

    def write_purchases(self) -> None:
        for item in data("purchases")["purchase"]:
            self.make(
                Purchase,
                what=item["what"],
                count=item.get("count", 1),
                price=Decimal(item["price"]),
                supplier=item.get("supplier", ""),
                state=item["state"],
                ordered_on=item.get("ordered"),
                expected_on=item.get("expected"),
                arrived_on=item.get("arrived"),
                card=self.cards[item["card"]],
                part=self.parts[item["part"]],
                remark=item.get("remark", ""),
            )

    def write_inspections(self) -> None:
        for item in data("inspections")["inspection"]:
            begun = self.stints[item["on"]].started
            inspection = self.make(Inspection, name=item["name"], chapter=item["chapter"], begun_at=begun)
            for number, name in enumerate(item["read"], 1):
                reading = self.readings[name]
                self.make(
                    InspectionLine,
                    inspection=inspection,
                    number=number,
                    name=name,
                    limit=reading.limit,
                    part=reading.part,
                    reading=reading,
                )
        purchases = {bought.what: bought for bought in Purchase.objects.filter(build=self.build)}
        for item in data("inspections")["kit"]:
            kit = self.make(
                Kit,
                name=item["name"],
                purchase=purchases[item["purchase"]],
                arrived_on=item["arrived"],
                remark=item["remark"],
            )
            for thing in item["item"]:
                self.make(
                    KitItem,
                    kit=kit,
                    name=thing["name"],
                    part=self.parts[thing["part"]] if "part" in thing else None,
                    count_out=thing["out"],
                    count_in=thing["in"],
                    stamped_old=thing.get("old", ""),
                    stamped_new=thing.get("new", ""),
                    sheet=thing.get("sheet", ""),
                    sheet_input=thing.get("input", ""),
                    sheet_others=thing.get("others", {}),
                    remark=thing.get("remark", ""),
                )

    def write_photos(self) -> None:
        for item in data("photos")["photo"]:
            picture, points = draw(item)
            kept = photo_files.keep(BytesIO(picture), f"{item['shows']}.jpg")
            photo = self.make(
                Photo,
                sha256=kept.sha256,
                kind=kept.kind,
                width=kept.width,
                height=kept.height,
                taken_at=kept.taken_at,
                stint=self.stints[item["taken"].date()],
                shows=item["shows"],
            )
            for number, balloon in enumerate(item.get("balloons", ()), 1):
                x, y = points[balloon["at"]]
                target: dict[str, Any] = {
                    "part": self.parts[balloon["part"]] if "part" in balloon else None,
                    "fasteners": self.fasteners[balloon["fasteners"]] if "fasteners" in balloon else None,
                    "tag": self.tags[balloon["tag"]] if "tag" in balloon else None,
                }
                remark = balloon.get("remark", "")
                self.make(Balloon, photo=photo, number=number, x=x, y=y, remark=remark, **target)

    # -- the changes of the last stints --------------------------------------------------------------------

    def write_changes(self) -> None:
        readings = {item["name"]: item for item in data("measuring")["reading"]}
        named: dict[str, dict[Any, Any]] = {
            "part": self.parts,
            "fasteners": self.fasteners,
            "card": self.cards,
            "stint": {stint.started: stint for stint in self.stints.values()},
        }
        for change in data("changes")["change"]:
            when = _at(change["when"])
            with writing(self.who, change["says"], when=when):
                for kind, records in named.items():
                    for item in change.get(kind, ()):
                        record = records[_at(item["started"]) if kind == "stint" else item["name"]]
                        for field, value in self.after[type(record), record.pk].items():
                            setattr(record, field, value)
                        record.save()
                for name in change.get("reading", ()):
                    reading = self.write_reading(readings[name], when)
                    for needed in NeededReading.objects.filter(build=self.build, name=name):
                        needed.reading = reading
                        needed.save()


def _si(text: str | None, dimension: str) -> float | None:
    return None if text is None else units.parse(text, dimension).value
