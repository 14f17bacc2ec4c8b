"""The distance between two holes or pins, from two calliper readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from tickover.drawing import Circle, Dimension, Drawing
from tickover.sheets import Limit, Quantity, sheet
from tickover.units import BadInput

MEAN_OF_TWO = (
    "Plane geometry: the outer and the inner reading differ from the centre distance by the mean of the two "
    "diameters, one more, one less"
)

_CALLIPERS = ("vernier_calliper", "digital_calliper", "inside_micrometer")

Outer = Annotated[
    float,
    Quantity(
        "length",
        low=1e-3,
        high=2.0,
        says="over both: from the far edge of one hole or pin to the far edge of the other",
        read_with=_CALLIPERS,
    ),
]
Inner = Annotated[
    float,
    Quantity(
        "length",
        low=0.0,
        high=2.0,
        says="between both: from the near edge of one to the near edge of the other",
        read_with=_CALLIPERS,
    ),
]
Wanted = Annotated[
    float, Quantity("length", low=1e-4, high=2.0, says="centre distance on the drawing, if there is one")
]
Tolerance = Annotated[
    float, Quantity("length", low=0.0, high=0.05, says="how far the centre distance may be off, either way")
]
Centres = Annotated[float, Quantity("length", says="from centre to centre", digits=5)]
MeanDiameter = Annotated[float, Quantity("length", says="mean diameter of the two", digits=5)]


@dataclass(frozen=True)
class HoleCentres:
    """Centre distance and mean diameter in metres."""

    centres: Centres
    mean_diameter: MeanDiameter
    limits: Mapping[str, Limit] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()


def draw(result: HoleCentres, *, outer: float, inner: float, **_: float | None) -> Drawing:
    """The two holes at full size, to be laid over the part."""
    mm = 1000.0
    apart, radius = result.centres * mm, result.mean_diameter * mm / 2
    left, right = (0.0, 0.0), (apart, 0.0)
    return Drawing(
        "Hole centres",
        (
            Circle(left, radius, cross=True),
            Circle(right, radius, cross=True),
            Dimension(left, right, away=-(radius + 16.0), name="centres"),
            Dimension((-radius, 0.0), (apart + radius, 0.0), away=radius + 18.0, name="outer"),
            Dimension((radius, 0.0), (apart - radius, 0.0), away=radius + 8.0, name="inner"),
        ),
    )


@sheet(title="Hole centres from two readings", sources=[MEAN_OF_TWO], draws=draw)
def hole_centres(
    outer: Outer, inner: Inner, wanted: Wanted | None = None, tolerance: Tolerance | None = None
) -> HoleCentres:
    """The centre distance of two holes or pins that no instrument reaches directly.

    Read once over both and once between both, square to the edges, each twice. It does not matter whether the
    two have the same diameter. With the distance that the drawing asks for and its tolerance, the sheet says
    whether the part will go on. The drawing prints at full size: lay it over the part.

    centres = (outer + inner) / 2;
    mean diameter = (outer − inner) / 2. All in metres.

    A calliper's inside jaws have narrow flats and read holes under about 10 mm a little small.

    >>> result = hole_centres(outer=0.08012, inner=0.06352)
    >>> round(result.centres * 1e3, 2), round(result.mean_diameter * 1e3, 2)
    (71.82, 8.3)
    """
    if outer <= inner:
        raise BadInput("outer must be more than inner: over both is always the longer reading")
    if tolerance is not None and wanted is None:
        raise BadInput("tolerance needs wanted: the centre distance that it belongs to")
    centres = (outer + inner) / 2
    limits = {}
    if wanted is not None and tolerance is not None:
        limits["centres"] = Limit(wanted - tolerance, wanted + tolerance, "tolerance")
    return HoleCentres(centres, (outer - inner) / 2, limits)
