"""Whole inspections, and rebuild kits held against what came out."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from django.utils import timezone

from tickover.records.models.base import Record
from tickover.records.models.jobs import Purchase
from tickover.records.models.measuring import Limit, Reading
from tickover.records.models.parts import Part
from tickover.records.models.words import Chapter


class Inspection(Record):
    """One round of measuring: bores in three heights and two directions, ring gaps, run-outs, thicknesses."""

    name = models.CharField("what is inspected", max_length=160)
    chapter = models.CharField("chapter", max_length=20, choices=Chapter, default=Chapter.ENGINE)
    begun_at = models.DateTimeField(default=timezone.now)
    remark = models.TextField("remark", blank=True)

    page = "inspection"

    class Meta:
        verbose_name = "inspection"
        ordering = ["-begun_at", "-id"]

    def __str__(self) -> str:
        return self.name


class InspectionLine(Record):
    """One reading that the inspection asks for, and the reading once it is taken."""

    inspection = models.ForeignKey(Inspection, on_delete=models.CASCADE, related_name="lines")
    number = models.PositiveSmallIntegerField()
    name = models.CharField("where", max_length=160)
    limit = models.ForeignKey(Limit, on_delete=models.SET_NULL, null=True, blank=True, related_name="inspection_lines")
    part = models.ForeignKey(Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="inspection_lines")
    reading = models.ForeignKey(
        Reading, on_delete=models.SET_NULL, null=True, blank=True, related_name="inspection_lines"
    )

    page = "inspection"

    class Meta:
        verbose_name = "line of an inspection"
        ordering = ["inspection_id", "number"]
        constraints = [models.UniqueConstraint(fields=["inspection", "number"], name="inspection_line_once")]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return self.inspection.get_absolute_url()


class Kit(Record):
    """A rebuild kit or a bought replacement, held against what came out."""

    name = models.CharField("kit", max_length=160)
    number = models.CharField("number on it", max_length=60, blank=True)
    purchase = models.ForeignKey(Purchase, on_delete=models.SET_NULL, null=True, blank=True, related_name="kits")
    arrived_on = models.DateField("arrived", null=True, blank=True)
    remark = models.TextField("remark", blank=True)

    page = "kit"

    class Meta:
        verbose_name = "kit"
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class KitItem(Record):
    """One thing of a kit: stamped number and measured size of the old, of the new, and of the book."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="items")
    name = models.CharField("what", max_length=120)
    part = models.ForeignKey(Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="kit_items")
    count_out = models.PositiveIntegerField("came out", default=1, validators=[MaxValueValidator(10_000)])
    count_in = models.PositiveIntegerField("in the kit", default=1, validators=[MaxValueValidator(10_000)])
    stamped_old = models.CharField("stamped, old", max_length=40, blank=True)
    stamped_new = models.CharField("stamped, new", max_length=40, blank=True)
    stamped_book = models.CharField("stamped, by the book", max_length=40, blank=True)
    dimension = models.CharField("kind of quantity", max_length=20, default="length")
    old = models.ForeignKey(Reading, on_delete=models.SET_NULL, null=True, blank=True, related_name="kit_old")
    new = models.ForeignKey(Reading, on_delete=models.SET_NULL, null=True, blank=True, related_name="kit_new")
    limit = models.ForeignKey(Limit, on_delete=models.SET_NULL, null=True, blank=True, related_name="kit_items")
    sheet = models.CharField("effect worked out by", max_length=60, blank=True)
    sheet_input = models.CharField("as its input", max_length=60, blank=True)
    sheet_others = models.JSONField("its other inputs", default=dict, blank=True)
    remark = models.TextField("remark", blank=True)

    page = "kit"

    class Meta:
        verbose_name = "item of a kit"
        ordering = ["kit_id", "id"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return self.kit.get_absolute_url()
