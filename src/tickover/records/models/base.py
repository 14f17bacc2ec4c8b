"""A build, the record that everything else of it is, and the history of changes."""

from __future__ import annotations

from functools import cache
from typing import Any, ClassVar

from django.db import models, transaction
from django.urls import reverse

from tickover.records import history
from tickover.records.models.words import Milestone, System


@cache
def _before_the_number(page: str) -> str:
    """What stands before the number in the address of a record's page, such as “/p/”."""
    return reverse(page, args=[0]).removesuffix("0")


class Record(models.Model):
    """Something written down about one build. Saving and deleting keep their own history."""

    build = models.ForeignKey("records.Build", on_delete=models.CASCADE, related_name="%(class)ss")
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    page: ClassVar[str] = ""
    """Name of the record's own page; its address is a letter and the number, and never changes."""

    class Meta:
        abstract = True

    def get_absolute_url(self) -> str:
        return self.address_of(self.pk)

    @classmethod
    def address_of(cls, number: int) -> str:
        """The address of the page of the record with this number."""
        return f"{_before_the_number(cls.page)}{number}"

    @transaction.atomic
    def save(self, *args: Any, **kwargs: Any) -> None:
        before = None
        if self.pk is not None:
            stored = type(self)._base_manager.filter(pk=self.pk).first()
            before = history.fields_of(stored) if stored is not None else None
        super().save(*args, **kwargs)
        history.note(self, before, history.fields_of(self))

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        with history.writing(says=f"Struck out {self._meta.verbose_name}: {self}"):
            history.note_deletion(self)
            return super().delete(*args, **kwargs)


class Build(Record):
    """One bike being taken apart, changed and put together. It belongs to itself."""

    build = models.ForeignKey("self", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    name = models.CharField("the bike", max_length=120)
    year = models.PositiveSmallIntegerField("year", null=True, blank=True)
    engine = models.CharField("engine", max_length=120, blank=True)
    aim = models.CharField("what it is to become", max_length=300, blank=True)
    frame_number = models.CharField("frame number", max_length=60, blank=True)
    engine_number = models.CharField("engine number", max_length=60, blank=True)
    milestone = models.CharField("working towards", max_length=20, choices=Milestone, default=Milestone.FIRST_START)
    system = models.CharField("shown in", max_length=12, choices=System, default=System.METRIC)
    volts = models.FloatField("battery volts", default=12.6)
    loom = models.JSONField("the loom as a whole", default=dict, blank=True)
    """What a loom document says of the whole loom: ``name``, ``celsius``."""

    address = models.CharField(
        "address on labels",
        max_length=120,
        blank=True,
        help_text="Where a phone reaches this workshop, such as http://192.168.1.20:8000; it stands in every QR code.",
    )

    page = "bench"

    class Meta:
        verbose_name = "build"
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @transaction.atomic
    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is None:
            models.Model.save(self, *args, **kwargs)
            self.build_id = self.pk
            type(self)._base_manager.filter(pk=self.pk).update(build_id=self.pk)
            history.note(self, None, history.fields_of(self))
        else:
            super().save(*args, **kwargs)


class Change(models.Model):
    """What one press of a button changed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="changes")
    when = models.DateTimeField()
    who = models.CharField(max_length=80)
    says = models.CharField(max_length=300)
    takes_back = models.OneToOneField(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="taken_back_by"
    )

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["build", "-id"])]

    def __str__(self) -> str:
        return self.says


class ChangeLine(models.Model):
    """One record's fields before and after; ``before`` is null where it was new, ``after`` where it was struck out."""

    change = models.ForeignKey(Change, on_delete=models.CASCADE, related_name="lines")
    kind = models.CharField(max_length=40)
    record = models.BigIntegerField()
    name = models.CharField(max_length=200)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)

    class Meta:
        indexes = [models.Index(fields=["kind", "record"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.name}"
