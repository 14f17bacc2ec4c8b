"""The torque of a bolt whose torque stands in no book, from its thread, its property class and its friction."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from tickover.chapters.cautions import STRUCTURE
from tickover.sheets import Choice, Quantity, sheet
from tickover.units import BadInput

VDI_2230 = (
    "VDI 2230 part 1 (2003): assembly preload at a share of the yield point in tension and torsion (R8), "
    "tightening torque (R13)"
)
ISO_898_1 = "ISO 898-1:2013, table 3: yield point of property classes 4.6 to 12.9"
ISO_3506_1 = "ISO 3506-1:2009, table 2: 0.2 % proof strength of stainless bolts A2-70 and A4-80"
ISO_724 = "ISO 724: basic dimensions of the 60° thread, d₂ = d − 0.6495·P and d₃ = d − 1.2269·P"

YIELD = {
    "4.6": 240e6, "5.6": 300e6, "5.8": 420e6, "6.8": 480e6, "8.8": 640e6, "9.8": 720e6, "10.9": 940e6,
    "12.9": 1100e6, "A2-70": 450e6, "A4-80": 600e6,
}  # fmt: skip
"""Least yield point or 0.2 % proof strength in Pa by property class; of 8.8 up to 16 mm (ISO 898-1, ISO 3506-1)."""

Class = Literal["4.6", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9", "A2-70", "A4-80"]

ABOVE_16 = 660e6
"""Yield point in Pa of class 8.8 above 16 mm (ISO 898-1)."""

HEAD = 1.3
"""Mean diameter under a plain hexagon or socket head over the thread's, near enough from M5 to M16 (ISO 4014)."""

Diameter = Annotated[float, Quantity("length", low=3e-3, high=0.03, says="nominal diameter of the thread")]
Pitch = Annotated[float, Quantity("length", low=0.4e-3, high=4e-3, says="pitch of the thread")]
PropertyClass = Annotated[Class, Choice("property class, as stamped on the head; the weaker of bolt and nut")]
ThreadFriction = Annotated[
    float,
    Quantity(
        "ratio", low=0.04, high=0.4, usual=(0.08, 0.25), assumed=0.02,
        says="friction in the thread: about 0.10 oiled, 0.12 lightly oiled, 0.14 to 0.20 dry zinc, 0.08 anti-seize",
    ),
]  # fmt: skip
HeadFriction = Annotated[
    float,
    Quantity("ratio", low=0.04, high=0.4, usual=(0.08, 0.25), says="friction under the head; as in the thread if left"),
]
Share = Annotated[
    float,
    Quantity(
        "ratio", low=0.2, high=1.0, usual=(0.5, 0.9),
        says="how much of the yield point is used: 0.9 steel in steel, about 0.5 to 0.6 into aluminium",
    ),
]  # fmt: skip
HeadDiameter = Annotated[
    float,
    Quantity("length", low=4e-3, high=0.06, says="mean diameter that rubs under the head; 1.3 times the thread's"),
]
Torque = Annotated[float, Quantity("torque", says="torque to set on the wrench", digits=3)]
Preload = Annotated[float, Quantity("force", metric="kN", says="force with which each bolt then clamps", digits=3)]
Stress = Annotated[float, Quantity("pressure", metric="MPa", inch_pound="psi", says="tension in the thread", digits=3)]


@dataclass(frozen=True)
class BoltTorque:
    """Torque in N·m, clamping force in N, tension in Pa."""

    torque: Torque
    preload: Preload
    tension: Stress
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@sheet(
    title="Torque of a bolt that is in no book",
    sources=[VDI_2230, ISO_898_1, ISO_3506_1, ISO_724],
    cautions=[STRUCTURE],
)
def bolt_torque(
    diameter: Diameter,
    pitch: Pitch,
    property_class: PropertyClass,
    friction: ThreadFriction = 0.12,
    head_friction: HeadFriction | None = None,
    share: Share = 0.9,
    head_diameter: HeadDiameter | None = None,
) -> BoltTorque:
    """The torque that brings a steel bolt in a steel thread to a share of its yield point.

    A torque from the book always goes first: the book knows the gasket, the casting and the thread's depth. This
    sheet knows the bolt alone. A thread in aluminium, a thin flange or a rubber mount gives way long before the
    bolt does. Friction moves the result more than anything else, so prepare the threads as it was chosen.

    d₂ = d − 0.6495·P; d₃ = d − 1.2269·P; d₀ = (d₂ + d₃)/2;
    F = π/4·d₀²·ν·Rp / √(1 + 3·(3/2·d₂/d₀·(P/(π·d₂) + 1.155·μ))²);
    M = F·(0.16·P + 0.58·d₂·μ + D/2·μ_head). Metres, pascals, newtons, newton metres.

    The table of VDI 2230 for M10 × 1.25, class 8.8, friction 0.12, gives 31.6 kN and 51 N·m.

    >>> result = bolt_torque(0.010, 0.00125, "8.8", friction=0.12)
    >>> round(result.preload / 1e3, 1), round(result.torque)
    (31.6, 51)
    """
    if pitch > 0.3 * diameter:
        raise BadInput("pitch must be well under the diameter: an M8 has 1.25 mm, a 1/4-20 has 1.27 mm")
    mean = diameter - 0.6495 * pitch
    core = diameter - 1.2269 * pitch
    stressed = (mean + core) / 2
    area = math.pi / 4 * stressed**2
    strength = ABOVE_16 if property_class == "8.8" and diameter > 0.016 else YIELD[property_class]
    twist = 1.5 * mean / stressed * (pitch / (math.pi * mean) + 1.155 * friction)
    tension = share * strength / math.sqrt(1 + 3 * twist**2)
    preload = tension * area
    under = friction if head_friction is None else head_friction
    rubbing = HEAD * diameter if head_diameter is None else head_diameter
    torque = preload * (0.16 * pitch + 0.58 * mean * friction + rubbing / 2 * under)
    warnings = []
    if property_class in ("A2-70", "A4-80") and friction < 0.1:
        warnings.append("stainless on stainless seizes without anti-seize; the friction of a dry pair is above 0.2")
    if share > 0.9:
        warnings.append("more than nine tenths of the yield point leaves nothing for friction that is lower than said")
    note = "For steel in steel. Into aluminium take a lower share, and at least twice the diameter of thread."
    return BoltTorque(torque, preload, tension, tuple(warnings), (note,))
