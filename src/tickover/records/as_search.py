"""A fault search on record as the search that fault-finding works out, on the bike's loom as it is now."""

from __future__ import annotations

from collections.abc import Sequence

from tickover.chapters.electrics.loom.document import Loom, read
from tickover.faultfinding.search import Search
from tickover.records.as_loom import loom_document
from tickover.records.models import Build, FaultSearch, Part
from tickover.records.models.words import Now
from tickover.units import BadInput


def loom_of(build: Build) -> Loom:
    """The build's loom. `BadInput` where nothing of it is on record or where it cannot be used."""
    document = loom_document(build)
    if not document.get("components"):
        raise BadInput("The loom has no component on record; fault-finding needs the battery and what is wired to it.")
    return read(document, source="the loom")


def search_of(record: FaultSearch, *, loom: Loom | None = None, also: Sequence[str] = ()) -> Search:
    """Work the search out from the readings on record and those in ``also``.

    `BadInput` where the loom has changed under them.
    """
    readings = [str(reading) for reading in record.readings.all()]
    off = Part.objects.filter(build_id=record.build_id).exclude(now__in=(Now.ON_THE_BIKE, Now.FITTED))
    return Search(
        loom or loom_of(record.build),
        record.complaint,
        [*readings, *also],
        taken_off=frozenset(off.values_list("name", flat=True)),
        mended=record.mended_before,
    )
