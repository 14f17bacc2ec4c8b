"""A build on its way to its first start, with job cards that fit, need, wait and come after each other."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from tests.shed.penhallow import full_build

from tickover.records.history import writing
from tickover.records.models import (
    Build,
    Cover,
    JobCard,
    JobOrder,
    JobPart,
    JobStep,
    Limit,
    NeededReading,
    Part,
    Purchase,
    Store,
)


def on_the_way() -> Build:
    """The full build and more. “Starter back in” is free; “Bowls on” waits for a gasket."""
    build = full_build()
    with writing("Jory", "Job cards written"):
        starter = Part.objects.get(build=build, name="starter")
        starter.needed_for = "first start"
        starter.save()
        Purchase.objects.filter(build=build).delete()
        shelf = Store(build=build, name="shelf over the vice", mark="shelf 2")
        shelf.save()
        bowl = Part(build=build, name="left float bowl", chapter="fuel", place=shelf, needed_for="first start")
        guard = Part(build=build, name="carburettor guard", chapter="fuel", place=shelf, needed_for="first start")
        seat = Part(build=build, name="seat", chapter="chassis", needed_for="road-ready")
        for part in (bowl, guard, seat):
            part.save()
        Cover(build=build, cover=guard, covered=bowl).save()
        level = Limit(
            build=build,
            name="fuel level",
            chapter="fuel",
            part=bowl,
            service_low=0.002,
            service_high=0.004,
            source="book, page 34",
        )
        level.save()
        card = JobCard.objects.get(build=build, title="Starter back in")
        card.hours, card.tools, card.caution = 1.5, "13 mm socket", "Take the battery's earth lead off first."
        card.save()
        for number, says in enumerate(("Clean the seat of the starter.", "Torque both bolts."), start=1):
            JobStep(build=build, card=card, number=number, says=says).save()
        bowls = JobCard(build=build, title="Bowls on", chapter="fuel", hours=2.0)
        guards = JobCard(build=build, title="Guard on", chapter="fuel")
        done = JobCard(build=build, title="Frame painted", chapter="chassis")
        upholstery = JobCard(build=build, title="Seat covered", chapter="chassis")
        for one in (bowls, guards, done, upholstery):
            one.save()
        JobPart(build=build, card=bowls, part=bowl).save()
        JobPart(build=build, card=guards, part=guard).save()
        JobPart(build=build, card=upholstery, part=seat).save()
        JobOrder(build=build, first=card, then=bowls, why="the starter is reached past the carburettors").save()
        NeededReading(build=build, card=bowls, name="fuel level, left", dimension="length", limit=level).save()
        Purchase(
            build=build,
            what="bowl gasket",
            count=2,
            price=Decimal("3.50"),
            state="on order",
            ordered_on=date(2026, 10, 1),
            expected_on=date(2026, 10, 9),
            card=bowls,
        ).save()
        Purchase(build=build, what="seat foam", card=upholstery).save()
        Purchase(build=build, what="wheel of fortune", price=Decimal("9.00")).save()
    return build
