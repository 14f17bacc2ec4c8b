"""The bike's wiring: its components, and the wire tags that are its wires."""

from __future__ import annotations

from django.db import models

from tickover.records.models.base import Record
from tickover.records.models.parts import Part
from tickover.records.models.words import Condition


class LoomComponent(Record):
    """A component of the loom document (docs/loom.md)."""

    ident = models.CharField("id", max_length=30)
    name = models.CharField("name", max_length=120, blank=True)
    kind = models.CharField("kind", max_length=20)
    values = models.JSONField("values", default=dict, blank=True)
    part = models.ForeignKey(Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="in_loom")
    condition = models.CharField("as found", max_length=10, choices=Condition, default=Condition.UNKNOWN)

    page = "loom_component"

    class Meta:
        verbose_name = "loom component"
        ordering = ["ident"]
        constraints = [models.UniqueConstraint(fields=["build", "ident"], name="component_ident_once")]

    def __str__(self) -> str:
        return f"{self.ident}, {self.name}" if self.name else self.ident


class WireTag(Record):
    """The mark on a wire's two ends. With both ends known it is a wire of the loom."""

    mark = models.CharField("mark", max_length=20)
    ident = models.CharField("id in the loom", max_length=30, blank=True)
    colours = models.CharField("colours", max_length=8, blank=True, help_text="IEC 60757, main colour first: GN/YE")
    area = models.FloatField("conductor", null=True, blank=True)
    length = models.FloatField("length", null=True, blank=True)
    contact_ohms = models.FloatField("contact resistance", null=True, blank=True)
    values = models.JSONField("further values", default=dict, blank=True)
    """What the loom document says of the wire beside: ``reach_minutes``, ``behind``."""
    function = models.CharField("what it may be", max_length=160, blank=True)
    condition = models.CharField("as found", max_length=10, choices=Condition, default=Condition.UNKNOWN)
    lash_up = models.BooleanField(
        "lash-up", default=False, help_text="Only there for now; must be gone before the road."
    )
    remark = models.TextField("remark", blank=True)

    page = "wire_tag"
    dimensions = {"area": "area", "length": "length", "contact_ohms": "resistance"}

    class Meta:
        verbose_name = "wire tag"
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["build", "mark"], name="tag_mark_once")]

    def __str__(self) -> str:
        return f"tag {self.mark}" + (f", {self.colours}" if self.colours else "")


class WireEnd(Record):
    """One end of a tagged wire: the component's pin it sits on, or the connector and cavity it was found in."""

    class Side(models.TextChoices):
        FROM = "from", "one end"
        TO = "to", "other end"

    tag = models.ForeignKey(WireTag, on_delete=models.CASCADE, related_name="ends")
    side = models.CharField(max_length=4, choices=Side)
    component = models.ForeignKey(
        LoomComponent,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="wire_ends",
        verbose_name="component",
    )
    pin = models.CharField("pin", max_length=20, blank=True)
    colours = models.CharField("colours at this end", max_length=8, blank=True)
    """Where they were seen to differ from the tag's; empty where they are the same."""
    connector = models.CharField("connector", max_length=80, blank=True)
    cavity = models.CharField("cavity", max_length=20, blank=True)
    remark = models.CharField("remark", max_length=200, blank=True)

    page = "wire_tag"

    class Meta:
        verbose_name = "wire end"
        ordering = ["tag_id", "side"]
        constraints = [models.UniqueConstraint(fields=["tag", "side"], name="two_ends_a_tag")]

    def __str__(self) -> str:
        return f"{self.tag}, {self.get_side_display()}"

    def get_absolute_url(self) -> str:
        return self.tag.get_absolute_url()

    @property
    def is_known(self) -> bool:
        return self.component_id is not None and bool(self.pin)
