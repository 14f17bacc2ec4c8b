"""A reading held against its standard value and its service limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

from tickover.chapters.cautions import NO_APPROVAL
from tickover.sheets import Choice, Limit, Quantity, sheet
from tickover.units import BadInput

DECISION = "ISO 14253-1:2013, decision rules for proving conformity, expanded uncertainty of two standard ones"

_FINE = (
    "vernier_calliper",
    "digital_calliper",
    "telescopic_gauge",
    "bore_gauge",
    "inside_micrometer",
    "micrometer",
)

Read = Annotated[
    float,
    Quantity("length", low=0.0, high=2.0, says="what was measured, with its ±", read_with=_FINE, digits=6),
]
ServiceLimit = Annotated[
    float, Quantity("length", low=0.0, high=2.0, says="service limit of the workshop manual", digits=6)
]
Standard = Annotated[
    float,
    Quantity(
        "length",
        low=0.0,
        high=2.0,
        says="standard value when new; with two, the one nearer the limit",
        digits=6,
    ),
]
Which = Annotated[
    Literal["at most", "at least"],
    Choice("whether the reading may be at most the limit (a bore, a clearance) or at least (a pin, a disc)"),
]
Reading = Annotated[float, Quantity("length", says="what was measured", read_with=_FINE, digits=6)]
Worn = Annotated[float, Quantity("length", says="how far it has worn from standard; negative has not worn", digits=6)]
Left = Annotated[float, Quantity("length", says="how far it is from the limit; negative is past it", digits=6)]
Used = Annotated[float, Quantity("ratio", metric="%", inch_pound="%", says="wear, of what the manual allows", digits=3)]


@dataclass(frozen=True)
class Wear:
    """A reading and its distances to standard and limit, in metres."""

    reading: Reading | None
    left: Left | None
    worn: Worn | None
    used: Used | None
    limits: Mapping[str, Limit] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()


@sheet(
    title="Wear against standard and service limit",
    sources=[DECISION],
    cautions=["Of brake, steering, frame and wheel parts: " + NO_APPROVAL],
)
def wear(
    service_limit: ServiceLimit,
    reading: Read | None = None,
    standard: Standard | None = None,
    may_be: Which = "at most",
) -> Wear:
    """Whether a worn part is inside its service limit, as far as the reading can tell.

    Measure where the part wears most, and twice at right angles. A reading within two standard uncertainties
    of the limit is too close to call: then the verdict names an instrument that would settle it. This sheet
    is for any length: bore, piston, journal, clearance, spring, chain, disc.

    worn = reading − standard and left = limit − reading where the reading may be at most the limit; both
    turned round where it may be at least the limit; used = worn / (limit − standard). All in metres.

    >>> result = wear(service_limit=0.06710, reading=0.06706, standard=0.06702)
    >>> round(result.left * 1e6), round(result.worn * 1e6), round(result.used, 2)
    (40, 40, 0.5)
    """
    sign = 1.0 if may_be == "at most" else -1.0
    if standard is not None and sign * (service_limit - standard) < 0:
        raise BadInput(
            f"the service limit is on the wrong side of standard for a reading that may be {may_be} "
            "the limit; check both, or may_be"
        )
    limit = Limit(None, service_limit, "service limit") if sign > 0 else Limit(service_limit, None, "service limit")
    left = None if reading is None else sign * (service_limit - reading)
    worn = None if reading is None or standard is None else sign * (reading - standard)
    allowed = 0.0 if standard is None else sign * (service_limit - standard)
    used = worn / allowed if worn is not None and allowed > 0 else None
    warnings = (
        ("The reading is on the new side of standard: check the instrument's zero and the manual's page.",)
        if worn is not None and worn < -0.25 * allowed
        else ()
    )
    return Wear(reading, left, worn, used, {"reading": limit}, warnings)
