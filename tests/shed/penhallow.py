"""A small build with one of everything, for the tests of the pages."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime

from PIL import Image

from tickover.records import photo_files
from tickover.records.history import writing
from tickover.records.models import (
    Balloon,
    Build,
    Cover,
    FastenerSet,
    JobCard,
    JobPart,
    Limit,
    LoomComponent,
    Part,
    Photo,
    Purchase,
    Reading,
    Store,
    WireEnd,
    WireTag,
)


def picture(shade: int = 120, size: tuple[int, int] = (400, 300)) -> bytes:
    """A plain grey picture in JPEG."""
    out = io.BytesIO()
    Image.new("RGB", size, (shade, shade, shade)).save(out, "JPEG")
    return out.getvalue()


def bare_build(name: str = "Penhallow Heron 450", **facts: object) -> Build:
    build = Build(name=name, year=1976, **facts)
    build.save()
    return build


def full_build() -> Build:
    """A build whose starter is off: covered, held, tagged, photographed, measured; a job and a purchase."""
    build = bare_build()
    with writing("Jory", "Written down"):
        room = Store(build=build, name="back room")
        room.save()
        box = Store(build=build, name="electrics", mark="box 4", inside=room)
        box.save()
        left_cover = Part(build=build, name="left side cover", chapter="chassis", now="on the bike", reach_minutes=2.0)
        chain_case = Part(build=build, name="chain case cover", now="on the bike", reach_minutes=10.0)
        starter = Part(
            build=build,
            name="starter",
            chapter="electrics",
            place=box,
            condition="worn",
            came_off=date(2021, 5, 1),
            came_off_order=1,
            number="H450-31",
        )
        lost = Part(build=build, name="petcock", chapter="fuel", now="in stores")
        for part in (left_cover, chain_case, starter, lost):
            part.save()
        Cover(build=build, cover=chain_case, covered=starter).save()
        Cover(build=build, cover=left_cover, covered=chain_case).save()
        bolts = FastenerSet(
            build=build,
            name="starter bolts",
            holds=starter,
            thread="M8 x 1.25",
            length=0.03,
            count=2,
            torque=22.0,
            torque_from="book, page 61",
            place=box,
        )
        bolts.save()
        relay = LoomComponent(
            build=build,
            ident="R1",
            name="starter relay",
            kind="relay",
            values={"contact": "make", "coil_ohms": 4.0, "pull_in_volts": 7.5, "drop_out_volts": 2.5},
        )
        motor = LoomComponent(
            build=build, ident="ST", name="starter", kind="starter", values={"ohms": 0.06}, part=starter
        )
        relay.save()
        motor.save()
        tag = WireTag(build=build, mark="17", colours="RD/BK", area=2.5e-6, length=0.4, function="relay to starter")
        tag.save()
        WireEnd(build=build, tag=tag, side="from", component=relay, pin="87").save()
        WireEnd(build=build, tag=tag, side="to", component=motor, pin="+", connector="ring").save()
        beside = WireTag(build=build, mark="18", colours="BK")
        beside.save()
        WireEnd(build=build, tag=beside, side="from", component=relay, pin="87").save()
        kept = photo_files.keep(io.BytesIO(picture()), "starter.jpg")
        photo = Photo(
            build=build,
            sha256=kept.sha256,
            kind=kept.kind,
            width=kept.width,
            height=kept.height,
            shows="starter in its place",
            taken_at=datetime(2021, 5, 1, 10, 12, tzinfo=UTC),
        )
        photo.save()
        Balloon(build=build, photo=photo, number=1, x=0.25, y=0.5, part=starter).save()
        Balloon(build=build, photo=photo, number=2, x=0.5, y=0.5, fasteners=bolts).save()
        Balloon(build=build, photo=photo, number=3, x=0.75, y=0.5, tag=tag).save()
        limit = Limit(
            build=build,
            name="starter brush length",
            chapter="electrics",
            part=starter,
            standard_low=0.0115,
            standard_high=0.0125,
            service_low=0.0055,
            source="book, page 62",
        )
        limit.save()
        Reading(
            build=build,
            name="starter brush length",
            part=starter,
            limit=limit,
            typed="9.1 mm",
            value=0.0091,
            plus_minus=12e-6,
            instrument="digital_calliper",
            taken_at=datetime(2021, 5, 2, 9, 0, tzinfo=UTC),
        ).save()
        Limit(build=build, name="armature runout", chapter="electrics", part=starter, service_high=0.0004).save()
        card = JobCard(build=build, title="Starter back in", chapter="electrics")
        card.save()
        JobPart(build=build, card=card, part=starter).save()
        Purchase(build=build, what="brush set", part=starter, card=card).save()
    return build
