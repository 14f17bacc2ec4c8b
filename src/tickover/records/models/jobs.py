"""Job cards with their steps, needs and order; and what has to be bought for them."""

from __future__ import annotations

from django.db import models

from tickover.records.models.base import Record
from tickover.records.models.measuring import Limit, Reading
from tickover.records.models.parts import Part
from tickover.records.models.words import Bought, Chapter, Milestone


class JobCard(Record):
    """One job. It is signed off when its steps are done and its needed readings are taken."""

    title = models.CharField("job", max_length=160)
    chapter = models.CharField("chapter", max_length=20, choices=Chapter, default=Chapter.ENGINE)
    needed_for = models.CharField(
        "needed for",
        max_length=20,
        choices=Milestone,
        blank=True,
        help_text="Only where the milestone asks for the job itself; what its parts need is worked out.",
    )
    why = models.TextField("why", blank=True)
    tools = models.CharField("tools", max_length=300, blank=True)
    consumables = models.CharField("consumables", max_length=300, blank=True)
    caution = models.TextField("caution", blank=True)
    hours = models.FloatField("hours, about", null=True, blank=True)
    complaint = models.CharField(
        "complaint to search from",
        max_length=300,
        blank=True,
        help_text="Where the job is to find a fault: the complaint as a reading, such as seen:cranks@KEY=on=no.",
    )
    signed_off_at = models.DateTimeField("signed off", null=True, blank=True)
    signed_off_by = models.CharField("by", max_length=80, blank=True)
    remark = models.TextField("remark", blank=True)

    page = "job_card"

    class Meta:
        verbose_name = "job card"
        ordering = ["id"]

    def __str__(self) -> str:
        return self.title


class JobStep(Record):
    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="steps")
    number = models.PositiveSmallIntegerField()
    says = models.TextField("step")
    done_at = models.DateTimeField(null=True, blank=True)

    page = "job_card"

    class Meta:
        verbose_name = "step"
        ordering = ["card_id", "number"]
        constraints = [models.UniqueConstraint(fields=["card", "number"], name="step_number_once")]

    def __str__(self) -> str:
        return f"{self.card}, step {self.number}"

    def get_absolute_url(self) -> str:
        return self.card.get_absolute_url()


class JobPart(Record):
    """A part that the job needs at hand (``needs``) or puts on the bike ready to use (``fits``)."""

    class Role(models.TextChoices):
        FITS = "fits", "fits"
        NEEDS = "needs", "needs"

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="job_parts")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="job_parts")
    role = models.CharField(max_length=6, choices=Role, default=Role.FITS)

    page = "job_card"

    class Meta:
        verbose_name = "part of a job"
        constraints = [models.UniqueConstraint(fields=["card", "part"], name="job_part_once")]

    def __str__(self) -> str:
        return f"{self.card} {self.role} {self.part}"

    def get_absolute_url(self) -> str:
        return self.card.get_absolute_url()


class JobOrder(Record):
    """``first`` must be signed off before ``then`` can begin."""

    first = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="comes_before")
    then = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="comes_after")
    why = models.CharField(max_length=200, blank=True)

    page = "job_card"

    class Meta:
        verbose_name = "order of jobs"
        constraints = [
            models.UniqueConstraint(fields=["first", "then"], name="job_order_once"),
            models.CheckConstraint(condition=~models.Q(first=models.F("then")), name="job_before_another"),
        ]

    def __str__(self) -> str:
        return f"{self.first} before {self.then}"

    def get_absolute_url(self) -> str:
        return self.then.get_absolute_url()


class NeededReading(Record):
    """A reading without which the card cannot be signed off."""

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="needed_readings")
    name = models.CharField("what to measure", max_length=160)
    dimension = models.CharField(max_length=20, default="length")
    limit = models.ForeignKey(Limit, on_delete=models.SET_NULL, null=True, blank=True, related_name="needed")
    reading = models.ForeignKey(Reading, on_delete=models.SET_NULL, null=True, blank=True, related_name="answers")

    page = "job_card"

    class Meta:
        verbose_name = "needed reading"
        ordering = ["card_id", "id"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return self.card.get_absolute_url()


class Purchase(Record):
    """Something to buy, and what waits for it."""

    what = models.CharField("what", max_length=160)
    count = models.PositiveIntegerField("how many", default=1)
    price = models.DecimalField("price each", max_digits=9, decimal_places=2, null=True, blank=True)
    supplier = models.CharField("from whom", max_length=120, blank=True)
    state = models.CharField("state", max_length=10, choices=Bought, default=Bought.TO_ORDER)
    ordered_on = models.DateField("ordered", null=True, blank=True)
    expected_on = models.DateField("expected", null=True, blank=True)
    arrived_on = models.DateField("arrived", null=True, blank=True)
    card = models.ForeignKey(JobCard, on_delete=models.SET_NULL, null=True, blank=True, related_name="purchases")
    part = models.ForeignKey(Part, on_delete=models.SET_NULL, null=True, blank=True, related_name="purchases")
    remark = models.TextField("remark", blank=True)

    page = "purchase"

    class Meta:
        verbose_name = "purchase"
        ordering = ["state", "what"]

    def __str__(self) -> str:
        return self.what
