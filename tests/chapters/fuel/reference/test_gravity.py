"""A gravity supply against cases that others worked out.

OpenStax, College Physics, section 12.4, "What pressure produces this flow rate?": saline at 0.120 cm³/s through
a needle of radius 0.150 mm and length 2.50 cm, viscosity of water, needs 1.51e4 Pa across the needle.
OpenStax, College Physics, chapter 12: Torricelli's theorem, v = √(2 g h).
Darcy's law by the definition of the darcy.
"""

from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.fuel.gravity import (
    STANDARD_GRAVITY,
    demand,
    filter_resistance,
    hole_resistance,
    pipe_resistance,
    supply,
)


def test_the_drips_needle() -> None:
    assert pipe_resistance(0.300e-3, 2.50e-2, 1.00e-3) * 0.120e-6 == pytest.approx(1.51e4, rel=5e-3)


def test_a_hole_without_loss_is_torricellis() -> None:
    head = 0.4
    flow = supply(head, tap_bore=0.004, hose_bore=1.0, hose_length=1e-6, density=1000.0, viscosity=1e-9)
    velocity = flow / (0.62 * pi * 0.002**2)
    assert velocity == pytest.approx(sqrt(2 * STANDARD_GRAVITY * head), rel=1e-6)


def test_a_thick_filter_alone_is_darcys() -> None:
    loss = filter_resistance(area=1e-4, thickness=1e-2, permeability=9.869233e-13, viscosity=1e-3)
    head = 101_325.0 / (1000.0 * STANDARD_GRAVITY)
    flow = supply(head, tap_bore=1.0, hose_bore=1.0, hose_length=1e-6, filter_loss=loss, density=1000.0)
    assert flow == pytest.approx(1e-6, rel=1e-6)


@given(st.floats(0.01, 1.0), st.floats(0.001, 0.01), st.floats(0.0, 1e10))
def test_the_head_is_spent_to_the_last_pascal(head: float, tap: float, loss: float) -> None:
    flow = supply(head, tap_bore=tap, hose_bore=0.006, hose_length=0.4, filter_loss=loss)
    spent = hole_resistance(tap, 745.0) * flow**2 + (pipe_resistance(0.006, 0.4, 0.55e-3) + loss) * flow
    assert spent == pytest.approx(745.0 * STANDARD_GRAVITY * head, rel=1e-9)


def test_a_pumps_filter_starves_a_gravity_supply() -> None:
    """A quarter of a metre of head against a filter that loses 20 kPa at the 2 L/min of a pumped system."""
    needed = demand(27_000.0)
    open_filter = supply(0.25, tap_bore=0.004, hose_bore=0.006, hose_length=0.4, filter_loss=5e7)
    fine_filter = supply(0.25, tap_bore=0.004, hose_bore=0.006, hose_length=0.4, filter_loss=20e3 / (2e-3 / 60))
    assert open_filter > 3.0 * needed
    assert fine_filter < needed


@pytest.mark.parametrize("wrong", [{"head": -0.1}, {"tap_bore": 0.0}, {"hose_bore": -0.001}])
def test_sizes_that_cannot_be_are_refused(wrong: dict[str, float]) -> None:
    sizes = {"head": 0.25, "tap_bore": 0.004, "hose_bore": 0.006, "hose_length": 0.4} | wrong
    with pytest.raises(ValueError, match="above zero"):
        supply(**sizes)
