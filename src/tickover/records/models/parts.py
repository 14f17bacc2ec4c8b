"""Where things are kept, and the things: parts and fastener sets."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models

from tickover.records.models.base import Record
from tickover.records.models.words import Chapter, Condition, Joint, Milestone, Now, ToDo


class Store(Record):
    """A place where things are kept: room, shelf, box, bag. Places stand in places."""

    name = models.CharField("name", max_length=120)
    mark = models.CharField("mark", max_length=30, blank=True, help_text="What is written on it: “box 4”, “bag 12”.")
    inside = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="holds",
        verbose_name="stands in",
    )
    remark = models.TextField("remark", blank=True)

    page = "store"

    class Meta:
        verbose_name = "place"
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.mark} ({self.name})" if self.mark and self.mark != self.name else self.name

    def path(self) -> list[Store]:
        """This place and all it stands in, the outermost first."""
        places: list[Store] = []
        place: Store | None = self
        while place is not None and place not in places:
            places.insert(0, place)
            place = place.inside
        return places


def came_off_late() -> models.Func:
    """The number at which a part came off, those without one behind all others: an order that an index can keep."""
    return models.Func(models.F("came_off_order"), template="COALESCE(%(expressions)s, 2147483647)")


class Part(Record):
    """Anything that has a place and a condition."""

    name = models.CharField("name", max_length=120)
    number = models.CharField("number on it", max_length=60, blank=True)
    chapter = models.CharField("chapter", max_length=20, choices=Chapter, default=Chapter.ENGINE)
    count = models.PositiveIntegerField("how many", default=1, validators=[MaxValueValidator(100_000)])
    condition = models.CharField("as found", max_length=10, choices=Condition, default=Condition.UNKNOWN)
    to_do = models.CharField("to do", max_length=10, choices=ToDo, default=ToDo.REFIT)
    now = models.CharField("now", max_length=14, choices=Now, default=Now.IN_STORES)
    place = models.ForeignKey(
        Store, on_delete=models.PROTECT, null=True, blank=True, related_name="parts", verbose_name="kept in"
    )
    needed_for = models.CharField(
        "must be on for",
        max_length=20,
        choices=Milestone,
        blank=True,
        help_text="The first milestone that cannot be reached without it.",
    )
    lash_up = models.BooleanField(
        "lash-up", default=False, help_text="Only there for now; must be gone before the road."
    )
    came_off = models.DateField("came off on", null=True, blank=True)
    came_off_order = models.PositiveIntegerField("came off as number", null=True, blank=True)
    reach_minutes = models.FloatField("minutes to take off", null=True, blank=True)
    remark = models.TextField("remark", blank=True)

    page = "part"

    class Meta:
        verbose_name = "part"
        ordering = ["name", "id"]
        indexes = [
            models.Index(fields=["build", "name"]),
            models.Index(fields=["build", "now"]),
            models.Index(fields=["build", "condition"]),
            models.Index(fields=["build", "came_off_order"]),
            models.Index("build", came_off_late(), name="part_as_it_came_off"),
            models.Index(fields=["build"], condition=models.Q(lash_up=True), name="part_lash_up"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_on(self) -> bool:
        return self.now in (Now.ON_THE_BIKE, Now.FITTED)


class Cover(Record):
    """``cover`` must come off before ``covered`` can be reached or taken off, so ``covered`` goes back on first."""

    class How(models.TextChoices):
        COVERS = "covers", "covers it"
        HOLDS = "holds", "holds it"

    how = models.CharField("how", max_length=6, choices=How, default=How.COVERS)
    guessed = models.BooleanField(default=False)
    """Taken from the order of removal, and not yet looked at by anybody."""
    cover = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="covers")
    covered = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="covered_by")

    page = "part"

    class Meta:
        verbose_name = "cover"
        constraints = [
            models.UniqueConstraint(fields=["cover", "covered"], name="cover_once"),
            models.CheckConstraint(condition=~models.Q(cover=models.F("covered")), name="covers_another"),
        ]

    def __str__(self) -> str:
        return f"{self.cover} covers {self.covered}"

    def get_absolute_url(self) -> str:
        return self.covered.get_absolute_url()


class FastenerSet(Record):
    """Bolts, nuts and washers of one joint, kept together."""

    name = models.CharField("name", max_length=120)
    holds = models.ForeignKey(
        Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="fasteners", verbose_name="holds"
    )
    thread = models.CharField("thread", max_length=40, blank=True, help_text="M8 x 1.25, 1/4-20 UNC")
    length = models.FloatField("length", null=True, blank=True)
    count = models.PositiveIntegerField("how many", default=1, validators=[MaxValueValidator(10_000)])
    head = models.CharField("head", max_length=40, blank=True)
    material = models.CharField("material", max_length=60, blank=True)
    torque = models.FloatField("torque", null=True, blank=True)
    torque_sheet = models.ForeignKey(
        "records.SavedSheet",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="torques",
        verbose_name="worked out by",
    )
    torque_from = models.CharField(
        "torque from", max_length=120, blank=True, help_text="Page of the book, or the sheet."
    )
    preparation = models.CharField("thread preparation", max_length=120, blank=True)
    joint = models.CharField("joint", max_length=16, choices=Joint, default=Joint.APART)
    place = models.ForeignKey(
        Store,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="fasteners",
        verbose_name="kept in",
    )
    remark = models.TextField("remark", blank=True)

    page = "fastener_set"
    dimensions = {"length": "length", "torque": "torque"}

    class Meta:
        verbose_name = "fastener set"
        ordering = ["name", "id"]
        indexes = [models.Index(fields=["build", "name"]), models.Index(fields=["build", "joint"])]

    def __str__(self) -> str:
        return self.name


class LooseCount(Record):
    """Loose things that are counted out and must be counted in again: bearing balls, shims, woodruff keys."""

    name = models.CharField("what", max_length=120)
    part = models.ForeignKey(
        Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="loose_counts", verbose_name="belongs to"
    )
    place = models.ForeignKey(
        Store, on_delete=models.PROTECT, null=True, blank=True, related_name="loose_counts", verbose_name="kept in"
    )
    counted_out = models.PositiveIntegerField("counted out", validators=[MaxValueValidator(100_000)])
    counted_in = models.PositiveIntegerField(
        "counted in", null=True, blank=True, validators=[MaxValueValidator(100_000)]
    )
    remark = models.TextField("remark", blank=True)

    page = "loose_count"

    class Meta:
        verbose_name = "count"
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name

    @property
    def difference(self) -> int | None:
        """How many are missing (negative) or too many; None until they are counted in."""
        return None if self.counted_in is None else self.counted_in - self.counted_out
