"""A short remark on any record, typed or spoken; and what was received from a phone, once."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from tickover.records.models.base import Build, Record
from tickover.records.models.stints import Stint


class Remark(Record):
    """Typed, spoken, or both; the sound is kept under the hash of its content, as photos are."""

    on_kind = models.CharField(max_length=40)
    on_record = models.BigIntegerField()
    stint = models.ForeignKey(Stint, on_delete=models.SET_NULL, null=True, blank=True, related_name="remarks")
    text = models.TextField("remark", blank=True)
    sound = models.CharField(max_length=64, blank=True)
    sound_kind = models.CharField(max_length=10, blank=True)
    said_at = models.DateTimeField(default=timezone.now)

    page = "remark"

    class Meta:
        verbose_name = "remark"
        ordering = ["-said_at", "-id"]
        indexes = [models.Index(fields=["build", "on_kind", "on_record"])]

    def __str__(self) -> str:
        return self.text[:80] or "spoken remark"


class Received(models.Model):
    """What a phone kept while it had no connection and sent later. Its mark makes a second sending harmless."""

    mark = models.UUIDField(primary_key=True)
    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="received")
    kind = models.CharField(max_length=20)
    answer = models.JSONField(default=dict)
    at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"{self.kind} {self.mark}"
