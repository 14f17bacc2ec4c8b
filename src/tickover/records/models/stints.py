"""Spells of work with their handover, and the milestones reached."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from tickover.records.models.base import Record
from tickover.records.models.words import Milestone


class Stint(Record):
    """One spell of work. Its end asks where it stopped, what is next and what is not safe yet."""

    who = models.CharField("who", max_length=80, blank=True)
    started = models.DateTimeField("started", default=timezone.now)
    ended = models.DateTimeField("ended", null=True, blank=True)
    aim = models.CharField("what for", max_length=200, blank=True)
    stopped_at = models.TextField("where it stopped", blank=True)
    next_up = models.TextField("what is next", blank=True)
    not_safe = models.TextField("what is not safe yet", blank=True)

    page = "stint"

    class Meta:
        verbose_name = "stint"
        ordering = ["-started"]
        indexes = [models.Index(fields=["build", "started"]), models.Index(fields=["build", "ended"])]

    def __str__(self) -> str:
        return self.aim or f"stint of {self.started:%d %b %Y}"


class MilestoneReached(Record):
    """The day on which a milestone was reached, and what showed it."""

    milestone = models.CharField(max_length=20, choices=Milestone)
    on = models.DateTimeField(default=timezone.now)
    shown_by = models.CharField(max_length=200, blank=True)

    page = "bench"

    class Meta:
        verbose_name = "milestone reached"
        constraints = [models.UniqueConstraint(fields=["build", "milestone"], name="milestone_once")]

    def __str__(self) -> str:
        return self.milestone

    def get_absolute_url(self) -> str:
        return self.build.get_absolute_url()
