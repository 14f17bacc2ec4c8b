"""A ride: no charge is made or lost, and the closed forms agree with published cases and an integrator."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tickover.chapters.electrics.battery import charge_after, charge_efficiency
from tickover.chapters.electrics.generator import RPM, Generator
from tickover.chapters.electrics.ride import Battery, Leg, draw, ride
from tickover.units import BadInput

CASES = json.loads((Path(__file__).parent / "reference" / "batteries.json").read_text("utf-8"))
BOOK = Generator(((1000 * RPM, 0.0), (2000 * RPM, 5.0), (4000 * RPM, 15.0)))
STILL = 0.0

batteries = st.builds(
    Battery,
    capacity=st.floats(2 * 3600.0, 60 * 3600.0),
    charge=st.floats(0, 1),
    kind=st.sampled_from(["lead-acid", "lithium"]),
    exponent=st.none() | st.floats(1, 1.5),
    most_amps=st.floats(0, 30),
    temperature=st.floats(250, 310),
)
legs = st.lists(
    st.builds(
        Leg, name=st.just("leg"), time=st.floats(0, 20000), speed=st.floats(0, 6000 * RPM), load=st.floats(0, 30)
    ),
    max_size=5,
)


@given(batteries, legs)
def test_what_goes_in_less_what_goes_out_is_what_the_battery_gains(battery: Battery, on_the_way: list[Leg]) -> None:
    done = ride(BOOK, battery, on_the_way)
    charge = battery.charge
    for leg in done.legs:
        near = pytest.approx
        scale = 1e-9 * (battery.capacity + leg.given + leg.leg.load * leg.leg.time)
        assert leg.given == near(BOOK.output(leg.leg.speed) * leg.leg.time, abs=scale)
        assert leg.carried + leg.taken + leg.turned_away == near(leg.given, abs=scale)
        assert leg.carried + leg.drawn + leg.missing == near(leg.leg.load * leg.leg.time, abs=scale)
        gained = leg.taken - leg.lost - leg.drawn - leg.stayed_behind
        assert gained == near((leg.charge - charge) * battery.capacity, abs=scale)
        parts = (leg.carried, leg.taken, leg.turned_away, leg.lost, leg.drawn, leg.stayed_behind, leg.missing)
        assert all(part >= -scale for part in parts)
        charge = leg.charge
    assert all(-1e-12 <= charge <= 1 + 1e-12 for _, charge in done.trace)
    assert done.trace[-1] == (pytest.approx(sum(leg.time for leg in on_the_way)), done.charge)


@given(batteries, st.floats(0, 6000 * RPM), st.floats(0, 30), st.floats(0, 10), st.floats(1, 7200))
def test_more_load_never_leaves_more_charge(
    battery: Battery, speed: float, load: float, more: float, time: float
) -> None:
    with_less = ride(BOOK, battery, [Leg("leg", time, speed, load)]).charge
    with_more = ride(BOOK, battery, [Leg("leg", time, speed, load + more)]).charge
    assert with_more <= with_less + 1e-12


@given(batteries, legs, st.floats(0, 1))
def test_a_leg_in_two_parts_is_the_leg(battery: Battery, on_the_way: list[Leg], part: float) -> None:
    cut = [Leg(leg.name, leg.time * share, leg.speed, leg.load) for leg in on_the_way for share in (part, 1.0 - part)]
    assert ride(BOOK, battery, cut).charge == pytest.approx(ride(BOOK, battery, on_the_way).charge, abs=1e-8)


@pytest.mark.parametrize("case", CASES["peukert"], ids=lambda case: str(case["amps"]))
def test_peukert_against_published_times(case: dict[str, Any]) -> None:
    battery = Battery(case["capacity_ah"] * 3600.0, exponent=case["exponent"], rated_time=case["rated_hours"] * 3600.0)
    done = ride(BOOK, battery, [Leg("parked, lights on", 2e6, STILL, case["amps"])])
    assert done.flat_after is not None
    assert done.flat_after / 3600 == pytest.approx(case["hours"], abs=case["within"])
    assert "flat after" in done.warnings[0]


@given(st.floats(0, 0.999), st.floats(0.05, 5), st.floats(10, 40000))
def test_charging_against_an_integrator(charge: float, tenths: float, time: float) -> None:
    """The closed form against scipy's LSODA on the published efficiency itself."""
    capacity = 12 * 3600.0
    amps = tenths * capacity / 36000.0
    solved = solve_ivp(
        lambda _, s: [amps * charge_efficiency(amps, s[0], capacity) / capacity],
        (0.0, time),
        [charge],
        method="LSODA",
        rtol=1e-9,
        atol=1e-11,
    )
    assert charge_after(time, amps, charge, capacity) == pytest.approx(float(solved.y[0, -1]), abs=1e-6)


def test_lithium_takes_no_charge_in_the_frost() -> None:
    road = [Leg("open road", 3600.0, 4000 * RPM, 7.5)]
    frost = ride(BOOK, Battery(6 * 3600.0, 0.5, "lithium", temperature=268.15), road)
    assert frost.charge == 0.5
    assert "must not be charged below 0 °C" in frost.warnings[0]
    warm = ride(BOOK, Battery(6 * 3600.0, 0.5, "lithium"), road)
    assert warm.charge == 1.0
    assert warm.legs[0].taken == pytest.approx(0.5 * 6 * 3600.0)
    assert warm.warnings == ()


def test_a_ride_in_words_and_lines() -> None:
    done = ride(
        BOOK,
        Battery(12 * 3600.0, 0.8),
        [
            Leg("town", 1200.0, 1800 * RPM, 7.0),
            Leg("idle in the rain, lights on", 1200.0, 1200 * RPM, 9.0),
            Leg("open road", 2400.0, 4000 * RPM, 7.5),
        ],
    )
    assert done.lowest < 0.5 < done.charge
    assert "below 50 % a lead-acid battery is harmed" in done.warnings[0]
    drawing = draw(done)
    assert [item.words for item in drawing.items if getattr(item, "words", "") == "open road"]
    assert math.isfinite(done.trace[-1][0])


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Battery(0.0), "capacity"),
        (lambda: Battery(1.0, 1.2), "between 0, flat, and 1, full"),
        (lambda: Battery(1.0, exponent=0.5), "Peukert's exponent"),
        (lambda: Leg("town", -1.0, 0.0, 0.0), "town: time"),
        (lambda: Generator(((1.0, 1.0),)), "two points"),
        (lambda: Generator(((1.0, 1.0), (2.0, -1.0))), "cannot give"),
        (lambda: Generator(((1.0, 1.0), (2.0, math.nan))), "must be numbers"),
    ],
)
def test_bad_input_is_named(make: Any, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        make()
