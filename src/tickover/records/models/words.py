"""The fixed words of the records (docs/words.md), as choices."""

from __future__ import annotations

from django.db import models


class Milestone(models.TextChoices):
    FIRST_START = "first start", "first start"
    ROLLING_CHASSIS = "rolling chassis", "rolling chassis"
    ROAD_READY = "road-ready", "road-ready"


class System(models.TextChoices):
    METRIC = "metric", "metric"
    INCH_POUND = "inch-pound", "inch-pound"


class Chapter(models.TextChoices):
    ENGINE = "engine", "Engine"
    FUEL = "fuel", "Fuel"
    IGNITION = "ignition", "Ignition"
    ELECTRICS = "electrics", "Electrics"
    CHASSIS = "chassis", "Chassis"
    BRAKES = "brakes", "Brakes"
    FINAL_DRIVE = "final_drive", "Final drive"
    EXHAUST = "exhaust", "Exhaust"
    FABRICATION = "fabrication", "Fabrication"


def in_chapter_order() -> models.Case:
    """Sorts records by their chapter, as the chapters stand in the book."""
    return models.Case(*(models.When(chapter=name, then=models.Value(at)) for at, name in enumerate(Chapter.values)))


class Condition(models.TextChoices):
    GOOD = "good", "good"
    WORN = "worn", "worn"
    DAMAGED = "damaged", "damaged"
    MISSING = "missing", "missing"
    UNKNOWN = "unknown", "unknown"


class ToDo(models.TextChoices):
    REFIT = "refit", "refit"
    REFURBISH = "refurbish", "refurbish"
    REPLACE = "replace", "replace"
    MAKE = "make", "make"
    SELL = "sell", "sell"


class Now(models.TextChoices):
    ON_THE_BIKE = "on the bike", "on the bike"
    IN_STORES = "in stores", "in stores"
    OUT_FOR_WORK = "out for work", "out for work"
    ON_ORDER = "on order", "on order"
    FITTED = "fitted", "fitted"


class Joint(models.TextChoices):
    APART = "apart", "apart"
    FINGER_TIGHT = "finger-tight", "finger-tight"
    TORQUED = "torqued", "torqued"
    WITNESS_MARKED = "witness-marked", "witness-marked"


class Bought(models.TextChoices):
    TO_ORDER = "to order", "to order"
    ON_ORDER = "on order", "on order"
    ARRIVED = "arrived", "arrived"
