"""The shape of a worn cylinder from six readings, and the clearance of the piston in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from tickover.sheets import Limit, Quantity, sheet
from tickover.units import BadInput

TWO_POINT = "ISO 14405-1:2016: two-point sizes of a bore, and their differences in one section and along it"
DIFFERENCE = "Bore less piston, two-point sizes (ISO 14405-1:2016; ISO 286-1:2010, 3.3.3: clearance)"

_BORE = ("telescopic_gauge", "inside_micrometer", "bore_gauge")

Bore = Annotated[float, Quantity("length", low=5e-3, high=0.3, says="bore at this height", read_with=_BORE, digits=6)]
BoreLimit = Annotated[float, Quantity("length", low=5e-3, high=0.3, says="widest bore that the book allows", digits=6)]
ShapeLimit = Annotated[float, Quantity("length", low=0.0, high=2e-3, says="greatest that the book allows", digits=3)]
Skirt = Annotated[
    float,
    Quantity(
        "length",
        low=5e-3,
        high=0.3,
        says="piston across the skirt, at right angles to its pin, at the book's height",
        read_with=("digital_calliper", "micrometer"),
        digits=6,
    ),
]
Clearance = Annotated[float, Quantity("length", low=0.0, high=2e-3, says="clearance that the book allows", digits=3)]
Widest = Annotated[float, Quantity("length", says="widest of the six", read_with=_BORE, digits=6)]
Mean = Annotated[float, Quantity("length", says="mean of the six", digits=6)]
OutOfRound = Annotated[
    float, Quantity("length", says="across less along the crank, at this height", read_with=_BORE, digits=2)
]
Taper = Annotated[float, Quantity("length", says="top less bottom, in this direction", read_with=_BORE, digits=2)]
Gap = Annotated[float, Quantity("length", says="bore less piston", digits=2)]


@dataclass(frozen=True)
class BoreShape:
    """Sizes and differences of a bore in metres. A difference keeps its sign, so its uncertainty is plain."""

    widest: Widest
    mean: Mean
    out_of_round_top: OutOfRound
    out_of_round_middle: OutOfRound
    out_of_round_bottom: OutOfRound
    taper_across: Taper
    taper_along: Taper
    limits: Mapping[str, Limit] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class PistonClearance:
    """Clearance of a piston in its bore, in metres."""

    clearance: Gap
    limits: Mapping[str, Limit] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()


@sheet(title="Shape of a bore: out of round and taper", sources=[TWO_POINT])
def bore_shape(
    top_across: Bore,
    top_along: Bore,
    middle_across: Bore,
    middle_along: Bore,
    bottom_across: Bore,
    bottom_along: Bore,
    service_limit: BoreLimit | None = None,
    out_of_round_limit: ShapeLimit | None = None,
    taper_limit: ShapeLimit | None = None,
) -> BoreShape:
    """How far a cylinder has worn out of round and tapered, from its diameter at three heights and two ways.

    Measure clean and at room temperature: some 10 mm below the top edge, half way down, and 10 mm above the
    bottom of the piston's travel; at each height across the crankshaft, where the piston is thrust, and along
    it. Read every place twice. Two directions do not find a bore with three lobes: where the rings show
    bright patches, turn the gauge further. A torque plate changes a bore by some hundredths of a millimetre.

    out of round = across − along at each height; taper = top − bottom in each direction. Positive out of round
    is wider across the crank, positive taper is wider at the top. All in metres.

    >>> result = bore_shape(0.06705, 0.06703, 0.06704, 0.06703, 0.06702, 0.06702)
    >>> round(result.out_of_round_top * 1e6), round(result.taper_across * 1e6), round(result.widest * 1e3, 2)
    (20, 30, 67.05)
    """
    six = (top_across, top_along, middle_across, middle_along, bottom_across, bottom_along)
    if max(six) - min(six) > 0.05 * min(six):
        raise BadInput("the six readings differ by more than a twentieth; check for one with a slipped figure or unit")
    limits: dict[str, Limit] = {}
    if service_limit is not None:
        limits["widest"] = Limit(None, service_limit, "service limit")
    if out_of_round_limit is not None:
        for height in ("top", "middle", "bottom"):
            limits[f"out_of_round_{height}"] = Limit(-out_of_round_limit, out_of_round_limit, "limit, either way")
    if taper_limit is not None:
        for way in ("across", "along"):
            limits[f"taper_{way}"] = Limit(-taper_limit, taper_limit, "limit, either way")
    belly = [
        way
        for way, top, middle, bottom in (
            ("across", top_across, middle_across, bottom_across),
            ("along", top_along, middle_along, bottom_along),
        )
        if middle > max(top, bottom)
    ]
    notes = tuple(
        f"{way.capitalize()} the crank it is widest in the middle, which taper does not show: look at its readings."
        for way in belly
    )
    return BoreShape(
        widest=max(six),
        mean=sum(six) / len(six),
        out_of_round_top=top_across - top_along,
        out_of_round_middle=middle_across - middle_along,
        out_of_round_bottom=bottom_across - bottom_along,
        taper_across=top_across - bottom_across,
        taper_along=top_along - bottom_along,
        limits=limits,
        notes=notes,
    )


@sheet(title="Clearance of the piston in its bore", sources=[DIFFERENCE])
def piston_clearance(
    bore: Bore, piston: Skirt, at_least: Clearance | None = None, at_most: Clearance | None = None
) -> PistonClearance:
    """How much room a piston has in its bore, and whether that is what the book allows.

    Take the bore across the crankshaft where the book says, or where it is narrowest for a new piston and
    widest for a worn one; take the piston across its skirt. Both parts must be equally warm: 10 K between an
    aluminium piston and an iron bore of 67 mm are about a hundredth of a millimetre.

    clearance = bore − piston. All in metres.

    >>> round(piston_clearance(bore=0.06705, piston=0.06694).clearance * 1e6)
    110
    """
    if at_least is not None and at_most is not None and at_least > at_most:
        raise BadInput("at_least is above at_most; change them over or correct one")
    limits = {} if at_least is None and at_most is None else {"clearance": Limit(at_least, at_most, "book's clearance")}
    clearance = bore - piston
    warnings = ("The piston is larger than the bore: check both readings.",) if clearance <= 0 else ()
    return PistonClearance(clearance, limits, warnings)
