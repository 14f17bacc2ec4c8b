"""Fuel through a jet: what another number on it does."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from tickover.chapters.cautions import PETROL_VAPOUR
from tickover.sheets import Choice, Quantity, sheet

TORRICELLI = (
    "Discharge through a small hole, E. Torricelli (1644), with a discharge coefficient: flow = Cd·A·√(2·Δp/ρ), "
    "as in ISO 5167-1:2003 for a hole that is small against its pipe"
)

Number = Annotated[
    float,
    Quantity("ratio", low=5.0, high=1000.0, usual=(20.0, 400.0), says="number stamped on the jet", digits=4),
]
Instead = Annotated[
    float, Quantity("ratio", low=5.0, high=1000.0, says="number of the jet that it takes the place of", digits=4)
]
Numbered = Annotated[
    Literal["by bore", "by flow"],
    Choice("whether the number is the bore in hundredths of a millimetre, or a flow in cm³ a minute"),
]
Drop = Annotated[
    float,
    Quantity("pressure", low=10.0, high=50e3, says="pressure difference over the jet", assumed=300.0),
]
Discharge = Annotated[
    float,
    Quantity(
        "ratio",
        low=0.4,
        high=1.0,
        says="discharge coefficient: 0.6 for a sharp edge, 0.7 to 0.8 for a short drilled jet",
        assumed=0.05,
    ),
]
Change = Annotated[float, Quantity("ratio", metric="%", inch_pound="%", says="flow more than through the other jet")]
Through = Annotated[float, Quantity("flow", says="petrol through it at this pressure difference")]
JetBore = Annotated[float, Quantity("length", says="bore that the number stands for")]

PETROL = 745.0
"""Density of petrol at 20 °C in kg/m³ (EN 228 allows 720 to 775)."""


@dataclass(frozen=True)
class JetFlow:
    """A jet's bore in metres, its flow in m³/s, and its flow against the jet it replaces."""

    more: Change | None
    flow: Through | None
    bore: JetBore | None
    notes: tuple[str, ...] = ()


@sheet(title="Flow through a jet, and what another size does", sources=[TORRICELLI], cautions=[PETROL_VAPOUR])
def jet_flow(
    jet: Number,
    instead_of: Instead | None = None,
    numbered: Numbered = "by bore",
    drop: Drop = 1000.0,
    discharge: Discharge = 0.75,
) -> JetFlow:
    """What a jet lets through, and how much more or less than the one it takes the place of.

    Most jets are numbered by their bore: 100 is 1.00 mm, so the flow goes with the square of the number. Some
    are numbered by the flow they were tested at, and the flow goes with the number itself. A jet that was
    measured with a pin gauge goes in as the hundredths of a millimetre it has. Two jets of one number from
    different makers need not flow the same: the shape of the edges counts. Weak running burns pistons: after
    any change, read the plugs.

    flow = Cd · π/4 · bore² · √(2·Δp/ρ), petrol of 745 kg/m³; more = (jet / instead of)² − 1 by bore,
    jet / instead of − 1 by flow.

    >>> round(jet_flow(jet=95, instead_of=100).more, 4), round(jet_flow(95, 100, "by flow").more, 4)
    (-0.0975, -0.05)
    """
    power = 2 if numbered == "by bore" else 1
    more = None if instead_of is None else (jet / instead_of) ** power - 1
    if numbered == "by flow":
        only = "A jet numbered by flow was tested at its maker's own pressure: only the share is known."
        return JetFlow(more, None, None, (only,))
    bore = jet * 1e-5
    flow = discharge * math.pi / 4 * bore**2 * math.sqrt(2 * drop / PETROL)
    return JetFlow(more, flow, bore)
