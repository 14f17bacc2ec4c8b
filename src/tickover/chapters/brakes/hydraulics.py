"""A hydraulic brake: from the hand on the lever to the tyre."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

from tickover.chapters.cautions import BRAKES
from tickover.sheets import Choice, Limit, Quantity, sheet

PASCAL = "Pascal's principle and the law of the lever (OpenStax College Physics, section 11.5)"
LIMPERT = "R. Limpert, Brake Design and Safety, 2nd edition (1999), chapter 5: hydraulic brakes, disc torque"
R78 = "UN Regulation No. 78, rev. 2: control force at most 200 N at a hand lever, 350 N at a foot pedal"

GREATEST_FORCE = {"hand": 200.0, "foot": 350.0}

Force = Annotated[
    float,
    Quantity(
        "force",
        low=0.0,
        high=1500.0,
        usual=(10.0, 500.0),
        says="force at the lever",
        read_with=("spring_scale",),
    ),
]
LeverRatio = Annotated[
    float,
    Quantity("ratio", low=1.0, high=15.0, usual=(3.0, 8.0), says="pivot to fingers over pivot to master piston"),
]
MasterBore = Annotated[
    float, Quantity("length", low=5e-3, high=0.04, usual=(9e-3, 0.02), says="bore of the master cylinder")
]
PistonBore = Annotated[float, Quantity("length", low=0.01, high=0.08, says="diameter of one calliper piston")]
Pistons = Annotated[
    int,
    Quantity("count", low=1, high=8, says="pistons on one side of the disc; a sliding calliper has all on one"),
]
Callipers = Annotated[int, Quantity("count", low=1, high=2, says="callipers on this master cylinder")]
Friction = Annotated[
    float,
    Quantity("ratio", low=0.1, high=0.8, usual=(0.3, 0.6), says="friction of pad on disc", assumed=0.05),
]
DiscRadius = Annotated[
    float, Quantity("length", low=0.05, high=0.2, says="from the spindle to the middle of the pad's track")
]
TyreRadius = Annotated[float, Quantity("length", low=0.15, high=0.5, says="from the spindle to the ground, loaded")]
Needed = Annotated[
    float,
    Quantity("force", low=0.0, high=10e3, says="braking force wanted at the tyre, to see what it takes by hand"),
]
Control = Annotated[Literal["hand", "foot"], Choice("which control it is")]
HydraulicRatio = Annotated[float, Quantity("ratio", says="piston area pressing on one side over master cylinder area")]
WholeRatio = Annotated[float, Quantity("ratio", says="force on each pad side over force at the lever")]
Line = Annotated[
    float,
    Quantity("pressure", metric="bar", inch_pound="psi", usual=(0.0, 100e5), says="pressure in the hose"),
]
Clamp = Annotated[float, Quantity("force", says="force that presses the pads on one side of the discs")]
Torque = Annotated[float, Quantity("torque", says="braking torque at the wheel")]
AtTyre = Annotated[float, Quantity("force", says="braking force where the tyre meets the road")]
LeverNeeded = Annotated[float, Quantity("force", says="force at the lever for the braking force wanted")]


@dataclass(frozen=True)
class LeverForce:
    """What a force at the lever becomes: newtons, pascals, newton metres."""

    hydraulic_ratio: HydraulicRatio
    whole_ratio: WholeRatio
    line_pressure: Line
    clamp: Clamp
    torque: Torque | None
    at_tyre: AtTyre | None
    needed_at_lever: LeverNeeded | None
    limits: Mapping[str, Limit] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()


@sheet(title="Brake ratio and lever force", sources=[PASCAL, LIMPERT, R78], cautions=[BRAKES])
def lever_force(
    force: Force,
    lever_ratio: LeverRatio,
    master_bore: MasterBore,
    piston_bore: PistonBore,
    pistons: Pistons = 1,
    callipers: Callipers = 1,
    friction: Friction = 0.4,
    disc_radius: DiscRadius | None = None,
    tyre_radius: TyreRadius | None = None,
    wanted: Needed | None = None,
    control: Control = "hand",
) -> LeverForce:
    """What a hand on the lever does at the pads and at the tyre.

    A larger master cylinder moves the pads with less travel and asks for a stronger hand; a smaller one the
    other way round. Change one part of an old brake and this ratio changes with it: keep it near what the
    machine had, or know why not. With the disc and the tyre, the sheet goes on to the road; with a braking
    force that is wanted, it says what the lever asks for and holds that against the greatest control force of
    UN R78.

    line pressure = force · lever ratio / (π/4 · bore²);
    clamp = pressure · π/4 · piston² · pistons · callipers;
    torque = 2 · friction · clamp · disc radius; at the tyre = torque / tyre radius.
    Newtons, metres, pascals. Losses in seals and hoses, which grow with age, are left out.

    >>> result = lever_force(force=100.0, lever_ratio=5.0, master_bore=5e-3, piston_bore=0.025)
    >>> round(result.line_pressure / 1e6, 1), round(result.clamp), round(result.hydraulic_ratio, 1)
    (25.5, 12500, 25.0)
    """
    master = math.pi / 4 * master_bore**2
    slave = math.pi / 4 * piston_bore**2 * pistons * callipers
    pressure = force * lever_ratio / master
    clamp = pressure * slave
    torque = None if disc_radius is None else 2 * friction * clamp * disc_radius
    at_tyre = None if torque is None or tyre_radius is None else torque / tyre_radius
    needed, limits = None, {}
    if wanted is not None and disc_radius is not None and tyre_radius is not None:
        per_newton = 2 * friction * lever_ratio * slave / master * disc_radius / tyre_radius
        needed = wanted / per_newton
        limits = {"needed_at_lever": Limit(None, GREATEST_FORCE[control], "greatest control force")}
    warnings = (
        ("Over 100 bar is more than a hose of unknown age should see: check bore, lever ratio and force.",)
        if pressure > 100e5
        else ()
    )
    return LeverForce(
        slave / master,
        lever_ratio * slave / master,
        pressure,
        clamp,
        torque,
        at_tyre,
        needed,
        limits,
        warnings,
    )
