"""When a job card may be signed off, and what its signing off writes down."""

from __future__ import annotations

from django.utils import timezone

from tickover.records.models import JobCard, JobPart, JobStep, NeededReading, Part
from tickover.records.models.words import Now
from tickover.units import BadInput


def what_is_missing(steps: list[JobStep], readings: list[NeededReading]) -> list[str]:
    """Names of what a card still lacks: “step 2”, “the reading “fuel level, left bowl””."""
    undone = [str(place) for place, step in enumerate(steps, start=1) if step.done_at is None]
    lacking = []
    if undone:
        lacking.append(f"step{'s' if len(undone) > 1 else ''} {', '.join(undone)}")
    lacking += [f"the reading “{needed.name}”" for needed in readings if needed.reading_id is None]
    return lacking


def sign_off(card: JobCard, who: str) -> list[Part]:
    """Sign a card off, and put the parts it fits down as fitted; those are returned.

    `BadInput` names what is missing. Call it inside one `writing` block.
    """
    if card.signed_off_at is not None:
        raise BadInput(f"“{card}” is already signed off.")
    lacking = what_is_missing(list(card.steps.all()), list(card.needed_readings.all()))
    if lacking:
        raise BadInput(f"“{card}” cannot be signed off yet: {', '.join(lacking)} not done.")
    card.signed_off_at = timezone.now()
    card.signed_off_by = who
    card.save()
    fitted = [
        job_part.part
        for job_part in card.job_parts.filter(role=JobPart.Role.FITS).select_related("part")
        if job_part.part.now != Now.FITTED
    ]
    for part in fitted:
        part.now = Now.FITTED
        part.save()
    return fitted


def open_again(card: JobCard) -> None:
    """Take a card's signature away. The parts stay on the bike: that is for their own pages."""
    if card.signed_off_at is None:
        raise BadInput(f"“{card}” is not signed off, so there is nothing to open again.")
    card.signed_off_at = None
    card.signed_off_by = ""
    card.save()


def must_be_open(card: JobCard) -> None:
    """`BadInput` for a card that is signed off: what was signed is not changed behind the signature."""
    if card.signed_off_at is not None:
        raise BadInput(f"“{card}” is signed off; open it again before changing it.")
