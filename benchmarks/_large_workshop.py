"""A workshop after many years: 10,000 parts, 20,000 photos and 100,000 changes on record.

``python -m benchmarks._large_workshop`` writes it into ``TICKOVER_HOME`` and prints, as JSON, a record of each kind on
which much hangs.
"""

from __future__ import annotations

import hashlib
import io
import itertools
import json
import random
from datetime import UTC, date, datetime, timedelta
from typing import Any

SEED = 450
PARTS, PHOTOS, CHANGES = 10_000, 20_000, 100_000
STORES, FASTENERS, TAGS, READINGS, LIMITS = 400, 3_000, 400, 5_000, 300
CARDS, OPEN_CARDS, PURCHASES, STINTS, REMARKS = 200, 60, 400, 500, 2_000
FULL_BOX = 600
BEGAN = datetime(2015, 3, 7, 9, 0, tzinfo=UTC)

SIDES = [
    "left",
    "right",
    "front",
    "rear",
    "upper",
    "lower",
    "inner",
    "outer",
    "first",
    "second",
    "long",
    "short",
    "spare",
    "old",
]
THINGS = [
    "fork leg",
    "brake plate",
    "chain guard",
    "side cover",
    "float bowl",
    "jet needle",
    "pushrod",
    "rocker arm",
    "clutch plate",
    "cam follower",
    "headlamp shell",
    "stem nut",
    "wheel spacer",
    "axle",
    "oil pipe",
    "union",
    "bearing race",
    "grommet",
    "bracket",
    "stay",
    "footrest",
    "lever",
    "cable",
    "adjuster",
    "spring",
    "circlip",
    "gasket",
    "dowel",
    "seal",
    "bush",
    "hub",
    "rim",
    "spoke nipple",
    "mudguard stay",
    "battery strap",
    "ignition coil",
    "condenser",
    "contact set",
    "starter",
    "tappet cover",
    "inlet stub",
    "air box",
    "petcock",
    "tank rubber",
    "handlebar clamp",
    "steering damper",
]
CHAPTERS = ["engine", "fuel", "ignition", "electrics", "chassis", "brakes", "final_drive", "exhaust"]
THREADS = ["M5 x 0.8", "M6 x 1.0", "M8 x 1.25", "M10 x 1.25", "1/4-20 UNC", "3/8-16 UNC"]
COLOURS = ["BK", "RD", "GN/YE", "BU", "WH/RD", "BN", "YE", "BK/WH"]
SAYS = [
    "cleaned and laid in oil",
    "thread worn",
    "paint gone",
    "new one to be made",
    "fits after fettling",
    "from the swap meet",
]


def build() -> dict[str, int]:
    """Write it all; the numbers of records on which much hangs, by kind."""
    from tickover.records import find_index, photo_files
    from tickover.records import models as m

    dice = random.Random(SEED)
    pick = dice.choice

    def day(number: int, of: int) -> datetime:
        return BEGAN + timedelta(minutes=round(5_000_000 * number / of))

    def many(model: Any, rows: Any) -> list[Any]:
        made: list[Any] = list(rows)
        model.objects.bulk_create(made, batch_size=2_000)
        return list(model.objects.filter(build=bike).order_by("pk"))

    def called(number: int) -> str:
        return f"{pick(SIDES)} {pick(THINGS)} {number}"

    bike = m.Build(name="Penhallow Heron 450", year=1976)
    bike.save()
    stints = many(
        m.Stint,
        (
            m.Stint(build=bike, who="Jory", aim=f"{called(n)} off", started=day(n, STINTS),
                    ended=day(n, STINTS) + timedelta(hours=3), stopped_at=f"{called(n)} is {pick(SAYS)}.",
                    next_up=f"Go on with the {called(n)}.", not_safe="The left header clamp is finger-tight.")
            for n in range(STINTS)
        ),
    )  # fmt: skip
    rooms = many(m.Store, (m.Store(build=bike, name=f"shelf {n}", mark=f"shelf {n}") for n in range(20)))
    boxes = [m.Store(build=bike, name=f"box of {called(n)}", mark=f"box {n}", inside=pick(rooms)) for n in range(80)]
    places = many(m.Store, boxes)
    many(
        m.Store,
        (
            m.Store(build=bike, name=f"bag of {called(n)}", mark=f"bag {n}", inside=pick(boxes))
            for n in range(STORES - len(places))
        ),
    )
    places = list(m.Store.objects.filter(build=bike).order_by("pk"))
    full = places[-1]
    parts = many(
        m.Part,
        (
            m.Part(build=bike, name=called(n), number=f"H450-{n:05}" if n % 3 else "", chapter=pick(CHAPTERS),
                   condition=pick(["good", "good", "worn", "unknown"]), now=pick(["in stores"] * 3 + ["on the bike"]),
                   place=full if n < FULL_BOX else pick(places), needed_for="road-ready" if n % 100 == 0 else "",
                   came_off=(BEGAN + timedelta(hours=n)).date(), came_off_order=n + 1, remark=pick(SAYS))
            for n in range(PARTS)
        ),
    )  # fmt: skip
    busy = parts[0]
    many(m.Cover, (m.Cover(build=bike, cover=parts[n], covered=parts[n - 1]) for n in range(1, 2_000, 3)))
    fasteners = many(
        m.FastenerSet,
        (
            m.FastenerSet(build=bike, name=f"{called(n)} bolts", holds=parts[n], thread=pick(THREADS), count=4,
                          length=pick([0.02, 0.03, 0.04]), torque=22.0,
                          joint=pick(["apart", "torqued", "finger-tight"]),
                          place=pick(places))
            for n in range(FASTENERS)
        ),
    )  # fmt: skip
    components = many(
        m.LoomComponent,
        (m.LoomComponent(build=bike, ident=f"C{n}", name=called(n), kind="splice") for n in range(60)),
    )
    tags = many(
        m.WireTag,
        (
            m.WireTag(build=bike, mark=str(n + 1), colours=pick(COLOURS), function=f"to the {called(n)}")
            for n in range(TAGS)
        ),
    )
    many(
        m.WireEnd,
        (
            m.WireEnd(build=bike, tag=tag, side=side, component=pick(components), pin=f"p{tag.pk}{side[0]}")
            for tag, side in itertools.product(tags[: TAGS // 2], ("from", "to"))
        ),
    )
    kept = [photo_files.keep(io.BytesIO(_picture(shade)), f"{shade}.jpg") for shade in (60, 90, 120, 150, 180)]
    photos = many(
        m.Photo,
        (
            m.Photo(build=bike, sha256=kept[n].sha256 if n < 5 else hashlib.sha256(b"%d" % n).hexdigest(),
                    kind="jpeg", width=400, height=300, taken_at=day(n, PHOTOS), shows=called(n) if n % 2 else "",
                    stint=stints[n % STINTS] if n > 1_000 else stints[0])
            for n in range(PHOTOS)
        ),
    )  # fmt: skip
    many(
        m.Balloon,
        (
            m.Balloon(build=bike, photo=photo, number=1, x=0.5, y=0.5, part=busy if n < 300 else parts[n % PARTS])
            for n, photo in enumerate(photos)
        ),
    )
    limits = many(
        m.Limit,
        (
            m.Limit(build=bike, name=f"{called(n)} wear", chapter=pick(CHAPTERS), part=parts[n], service_low=0.0091,
                    standard_low=0.0095, standard_high=0.0105, source=f"book, page {n}")
            for n in range(LIMITS)
        ),
    )  # fmt: skip
    readings = many(
        m.Reading,
        (
            m.Reading(build=bike, name=limit.name, part=limit.part, limit=limit, typed="9.8 mm", value=0.0098,
                      plus_minus=1e-5, instrument="digital_calliper", stint=pick(stints), taken_at=day(n, READINGS))
            for n in range(READINGS)
            for limit in [limits[0] if n < 500 else limits[n % LIMITS]]
        ),
    )  # fmt: skip
    cards = many(
        m.JobCard,
        (
            m.JobCard(build=bike, title=f"Refit the {called(n)}", chapter=pick(CHAPTERS), why=f"It is {pick(SAYS)}.",
                      hours=2.0, needed_for="road-ready" if n % 7 == 0 else "",
                      signed_off_at=None if n < OPEN_CARDS else day(n, CARDS), signed_off_by="Jory")
            for n in range(CARDS)
        ),
    )  # fmt: skip
    many(
        m.JobStep,
        (
            m.JobStep(build=bike, card=card, number=n + 1, says=f"Look at the {called(n)}")
            for card in cards
            for n in range(12)
        ),
    )
    many(
        m.JobPart,
        (m.JobPart(build=bike, card=card, part=parts[100 * n + k]) for n, card in enumerate(cards) for k in range(3)
         if 100 * n + k < PARTS),
    )  # fmt: skip
    many(m.JobOrder, (m.JobOrder(build=bike, first=cards[n], then=cards[n + 1]) for n in range(CARDS - 1)))
    many(
        m.NeededReading,
        (
            m.NeededReading(build=bike, card=card, name=limits[n].name, limit=limits[n],
                            reading=readings[n] if n % 2 else None)
            for n, card in enumerate(cards)
        ),
    )  # fmt: skip
    purchases = many(
        m.Purchase,
        (
            m.Purchase(build=bike, what=called(n), part=parts[n],
                       state=pick(["to order", "on order"] + ["arrived"] * 6),
                       card=cards[n % CARDS], expected_on=date(2026, 1, 1) + timedelta(days=n))
            for n in range(PURCHASES)
        ),
    )  # fmt: skip
    remarks = many(
        m.Remark,
        (
            m.Remark(build=bike, on_kind="part", on_record=busy.pk if n < 200 else parts[n].pk,
                     text=f"{called(n)}: {pick(SAYS)}",
                     said_at=day(n, REMARKS))
            for n in range(REMARKS)
        ),
    )  # fmt: skip
    count = m.LooseCount(build=bike, name="steering head balls", part=busy, counted_out=38)
    count.save()
    m.Change.objects.all().delete()
    m.Change.objects.bulk_create(
        (
            m.Change(build=bike, when=day(n, CHANGES), who="Jory", says=f"Part {parts[n % PARTS]}: remark")
            for n in range(CHANGES)
        ),
        batch_size=5_000,
    )
    changes = list(m.Change.objects.order_by("pk").values_list("pk", flat=True))
    m.ChangeLine.objects.bulk_create(
        (
            m.ChangeLine(change_id=pk, kind="part", record=part.pk, name=part.name, before={"remark": ""},
                         after={"remark": part.remark})
            for n, pk in enumerate(changes)
            for part in [busy if n < 2_000 else parts[n % PARTS]]
        ),
        batch_size=5_000,
    )  # fmt: skip
    find_index.rebuild()
    return {
        "build": bike.pk, "part": busy.pk, "store": full.pk, "set": fasteners[0].pk, "tag": tags[0].pk,
        "photo": photos[PHOTOS // 2].pk, "stint": stints[0].pk, "card": cards[5].pk, "limit": limits[0].pk,
        "reading": readings[0].pk, "purchase": purchases[0].pk, "component": components[0].pk, "change": changes[-1],
        "remark": remarks[0].pk, "count": count.pk,
    }  # fmt: skip


def _picture(shade: int) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (400, 300), (shade, shade, shade)).save(out, "JPEG")
    return out.getvalue()


if __name__ == "__main__":
    from tickover.records.history import writing
    from tickover.shed.serve import prepare

    prepare()
    with writing("Jory", kept=False):
        numbers = build()
    print(json.dumps(numbers))
