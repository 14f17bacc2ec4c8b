"""A search from a complaint to the cause, kept step by step so that it survives a year's gap."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from tickover.records.models.base import Record
from tickover.records.models.jobs import JobCard


class FaultSearch(Record):
    card = models.ForeignKey(JobCard, on_delete=models.SET_NULL, null=True, blank=True, related_name="searches")
    complaint = models.CharField("complaint", max_length=300)
    started = models.DateTimeField(default=timezone.now)
    ended = models.DateTimeField(null=True, blank=True)
    cured = models.BooleanField(null=True, blank=True)
    """Whether the complaint was gone after the repair; null until it was tried again."""
    mended_before = models.JSONField(default=list, blank=True)
    """Faults that were mended before this search began: they are out of suspicion."""
    found = models.JSONField(default=list, blank=True)
    repair = models.CharField("repair", max_length=300, blank=True)
    mended_at = models.DateTimeField(null=True, blank=True)

    page = "fault_search"

    class Meta:
        verbose_name = "fault search"
        ordering = ["-started", "-id"]

    def __str__(self) -> str:
        return f"search of {self.started:%d %b %Y}"


class FaultReading(Record):
    """One answer at the bike, in the contract's words: the test and the value."""

    search = models.ForeignKey(FaultSearch, on_delete=models.CASCADE, related_name="readings")
    test = models.CharField(max_length=300)
    value = models.CharField(max_length=60)
    taken_at = models.DateTimeField(default=timezone.now)
    ruled_out = models.TextField(blank=True)

    page = "fault_search"

    class Meta:
        verbose_name = "fault-finding reading"
        ordering = ["search_id", "id"]

    def __str__(self) -> str:
        return f"{self.test}={self.value}"

    def get_absolute_url(self) -> str:
        return self.search.get_absolute_url()
