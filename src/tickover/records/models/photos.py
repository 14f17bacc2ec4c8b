"""Photos, and the balloons that point at what they show."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from tickover.records.models.base import Record
from tickover.records.models.loom import WireTag
from tickover.records.models.parts import FastenerSet, Part, Store
from tickover.records.models.stints import Stint


class Photo(Record):
    """One picture; the original is kept under the hash of its content."""

    sha256 = models.CharField(max_length=64, db_index=True)
    kind = models.CharField(max_length=10, default="jpeg")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    taken_at = models.DateTimeField("taken", null=True, blank=True)
    stint = models.ForeignKey(Stint, on_delete=models.SET_NULL, null=True, blank=True, related_name="photos")
    shows = models.CharField("what it shows", max_length=200, blank=True)

    page = "photo"

    class Meta:
        verbose_name = "photo"
        ordering = ["-taken_at", "-id"]
        indexes = [models.Index(fields=["build", "taken_at"])]

    def __str__(self) -> str:
        return self.shows or f"photo {self.pk}"


class Balloon(Record):
    """A numbered mark on a photo. ``x`` and ``y`` are shares of its width and height, from the top left."""

    photo = models.ForeignKey(Photo, on_delete=models.CASCADE, related_name="balloons")
    number = models.PositiveSmallIntegerField()
    x = models.FloatField(validators=[MinValueValidator(0.0), MaxValueValidator(1.0)])
    y = models.FloatField(validators=[MinValueValidator(0.0), MaxValueValidator(1.0)])
    part = models.ForeignKey(Part, on_delete=models.CASCADE, null=True, blank=True, related_name="balloons")
    fasteners = models.ForeignKey(FastenerSet, on_delete=models.CASCADE, null=True, blank=True, related_name="balloons")
    tag = models.ForeignKey(WireTag, on_delete=models.CASCADE, null=True, blank=True, related_name="balloons")
    place = models.ForeignKey(Store, on_delete=models.CASCADE, null=True, blank=True, related_name="balloons")
    remark = models.CharField(max_length=200, blank=True)

    page = "photo"

    class Meta:
        verbose_name = "balloon"
        ordering = ["photo_id", "number"]
        constraints = [models.UniqueConstraint(fields=["photo", "number"], name="balloon_number_once")]

    def __str__(self) -> str:
        return f"balloon {self.number}: {self.target or self.remark}"

    @property
    def target(self) -> Part | FastenerSet | WireTag | Store | None:
        return self.part or self.fasteners or self.tag or self.place

    def get_absolute_url(self) -> str:
        return self.photo.get_absolute_url()
