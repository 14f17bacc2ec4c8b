"""Limits from the book, readings taken, and worked sheets that stand on them."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from tickover.records.models.base import Record
from tickover.records.models.parts import Part
from tickover.records.models.stints import Stint
from tickover.records.models.words import Chapter


class Limit(Record):
    """Standard values and service limits, in SI, with the page they came from."""

    name = models.CharField("what", max_length=120)
    chapter = models.CharField("chapter", max_length=20, choices=Chapter, default=Chapter.ENGINE)
    part = models.ForeignKey(Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="limits")
    dimension = models.CharField("kind of quantity", max_length=20, default="length")
    standard_low = models.FloatField("standard, from", null=True, blank=True)
    standard_high = models.FloatField("standard, to", null=True, blank=True)
    service_low = models.FloatField("service limit, lowest", null=True, blank=True)
    service_high = models.FloatField("service limit, highest", null=True, blank=True)
    source = models.CharField("from", max_length=160, blank=True)

    page = "limit"

    class Meta:
        verbose_name = "limit"
        ordering = ["chapter", "name", "id"]
        indexes = [models.Index(fields=["build", "chapter", "name"])]

    def __str__(self) -> str:
        return self.name


class Reading(Record):
    """One value taken with an instrument: SI value, one standard uncertainty, and what was typed."""

    name = models.CharField("what was measured", max_length=160)
    part = models.ForeignKey(Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="readings")
    limit = models.ForeignKey(Limit, on_delete=models.SET_NULL, null=True, blank=True, related_name="readings")
    stint = models.ForeignKey(Stint, on_delete=models.SET_NULL, null=True, blank=True, related_name="readings")
    dimension = models.CharField("kind of quantity", max_length=20, default="length")
    typed = models.CharField("reading", max_length=60)
    value = models.FloatField()
    plus_minus = models.FloatField(default=0.0)
    instrument = models.CharField("instrument", max_length=40, blank=True)
    taken_at = models.DateTimeField("taken", default=timezone.now)
    remark = models.TextField("remark", blank=True)

    page = "reading"

    class Meta:
        verbose_name = "reading"
        ordering = ["-taken_at", "-id"]
        indexes = [models.Index(fields=["build", "taken_at"]), models.Index(fields=["limit", "name", "taken_at"])]

    def __str__(self) -> str:
        return f"{self.name}: {self.typed}"


class SavedSheet(Record):
    """A worked sheet: its inputs as typed, the readings some came from, and what it answered."""

    sheet = models.CharField(max_length=60)
    name = models.CharField("for", max_length=160, blank=True)
    inputs = models.JSONField(default=dict)
    readings = models.JSONField(default=dict, blank=True)
    """Input name to the reading's number and the value it had: ``{"outside": {"reading": 12, "value": 0.06124}}``."""
    answer = models.JSONField(default=dict)
    worked_at = models.DateTimeField(default=timezone.now)

    page = "saved_sheet"

    class Meta:
        verbose_name = "worked sheet"
        ordering = ["-worked_at", "-id"]

    def __str__(self) -> str:
        return self.name or self.sheet
