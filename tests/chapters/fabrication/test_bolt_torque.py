"""Bolt torque: more friction clamps less, and what cannot be."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.fabrication.bolt_torque import bolt_torque
from tickover.sheets import work
from tickover.standards.threads import designation
from tickover.units import BadInput

THREADS = st.sampled_from(["M5", "M6", "M8", "M8x1", "M10", "M10x1.25", "M12", "1/4-20", "3/8 UNF"])


@given(THREADS, st.floats(0.06, 0.3), st.floats(0.01, 0.05))
def test_more_friction_takes_more_torque_and_clamps_less(thread: str, friction: float, more: float) -> None:
    size = designation(thread)
    smooth = bolt_torque(size.diameter, size.pitch, "8.8", friction)
    rough = bolt_torque(size.diameter, size.pitch, "8.8", friction + more)
    assert rough.torque > smooth.torque
    assert rough.preload < smooth.preload


@given(THREADS, st.floats(0.06, 0.3), st.floats(0.2, 1.0))
def test_the_bolt_stands_at_its_share_of_the_yield_point(thread: str, friction: float, share: float) -> None:
    """Von Mises: tension and twist together are the share of the yield point, worked out from the torque alone."""
    size = designation(thread)
    found = bolt_torque(size.diameter, size.pitch, "10.9", friction, head_friction=0.05, share=share)
    in_thread = found.torque - found.preload * 1.3 * size.diameter / 2 * 0.05
    stressed = size.diameter - (0.6495 + 1.2269) / 2 * size.pitch
    tension = found.preload / (math.pi / 4 * stressed**2)
    twist = in_thread / (math.pi / 12 * stressed**3)
    assert math.sqrt(tension**2 + 3 * twist**2) == pytest.approx(share * 940e6, rel=6e-3)


def test_friction_that_was_only_assumed_is_said_to_be() -> None:
    worked = work("fabrication.bolt_torque", {"diameter": "8 mm", "pitch": "1.25 mm", "property_class": "8.8"})
    torque = worked.results["torque"]
    assert torque is not None
    assert "friction" in worked.assumed
    assert 0.05 < torque.plus_minus / torque.value < 0.2
    assert "licensed engineer" in worked.cautions[0]


def test_what_cannot_be() -> None:
    with pytest.raises(BadInput, match="pitch must be well under the diameter"):
        work("fabrication.bolt_torque", {"diameter": "4 mm", "pitch": "1.25 mm", "property_class": "8.8"})
    with pytest.raises(BadInput, match="property_class"):
        work("fabrication.bolt_torque", {"diameter": "8 mm", "pitch": "1.25 mm", "property_class": "8.9"})
