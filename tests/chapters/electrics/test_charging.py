"""Generator, charge balance and cold cranking: laws that must hold, and the words that come with them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.chapters.electrics.battery import WARM
from tickover.chapters.electrics.charging import charge_balance
from tickover.chapters.electrics.cranking import cold_cranking
from tickover.chapters.electrics.generator import RPM, Generator
from tickover.sheets import work
from tickover.units import BadInput

from .loom.build import battery, loom_data, part, solved


@st.composite
def generators(draw: st.DrawFn) -> Generator:
    count = draw(st.integers(2, 6))
    steps = draw(st.lists(st.floats(50, 2000), min_size=count, max_size=count))
    amps = draw(st.lists(st.floats(0, 40), min_size=count, max_size=count))
    speeds = [sum(steps[: k + 1]) * RPM for k in range(count)]
    return Generator(tuple(zip(speeds, amps, strict=True)))


@given(generators(), st.floats(0, 1))
def test_the_curve_stays_between_its_points(generator: Generator, part: float) -> None:
    for (slow, low), (fast, high) in zip(generator.points, generator.points[1:], strict=False):
        found = generator.output(slow + part * (fast - slow))
        assert min(low, high) - 1e-9 <= found <= max(low, high) + 1e-9


@given(generators(), st.floats(0, 45), st.floats(0, 45))
def test_more_load_never_lowers_the_break_even_speed(generator: Generator, one: float, other: float) -> None:
    less, more = sorted((one, other))
    below, above = generator.speed_for(less), generator.speed_for(more)
    if above is not None:
        assert below is not None
        assert below <= above
    if below is None:
        assert max(amps for _, amps in generator.points) < less


@given(generators(), st.floats(0.01, 40))
def test_break_even_gives_the_load_and_a_little_slower_gives_no_more(generator: Generator, load: float) -> None:
    speed = generator.speed_for(load)
    if speed is None:
        return
    assert generator.output(speed) >= load
    assert generator.output(0.999 * speed) <= load


BOOK = {
    "cut_in": "1000 rpm", "low_speed": "2000 rpm", "low_output": "5 A", "full_speed": "4000 rpm", "full_output": "15 A",
    "idle": "1200 rpm", "cruise": "4500 rpm", "always": "35 W", "headlamp": "55 W", "other_lamps": "10 W",
}  # fmt: skip


def test_break_even_carries_the_uncertainty_of_the_points_and_the_watts() -> None:
    """On a straight line the speed is cut-in + slope · load: the shares follow by hand."""
    worked = work("electrics.charge_balance", BOOK | {"always": "35 ± 2.7 W"})
    found = worked.results["break_even"]
    assert found is not None
    assert found.plus_minus == pytest.approx(2.7 / 13.5 * 200 * RPM, rel=1e-6)
    shaky = work("electrics.charge_balance", BOOK | {"full_output": "15 ± 1 A", "low_output": "5 ± 0.5 A"})
    assert shaky.results["break_even"] is not None
    assert shaky.results["break_even"].plus_minus > 0


def test_words_of_the_balance() -> None:
    fine = work("electrics.charge_balance", BOOK)
    assert fine.verdicts[0].verdict == "inside"
    assert any("drains at idle" in note for note in fine.notes)
    assert fine.drawing is not None
    weak = work("electrics.charge_balance", BOOK | {"headlamp": "250 W"})
    assert weak.verdicts[0].verdict == "outside"
    assert weak.results["break_even"] is None
    assert "drains at any speed" in weak.warnings[-1]
    assert weak.drawing is not None
    burning = work("electrics.charge_balance", BOOK | {"battery": "lithium", "volts": "15.2 V"})
    assert any("overcharges a lithium battery" in warning for warning in burning.warnings)
    with pytest.raises(BadInput, match="by rising engine speed"):
        work("electrics.charge_balance", BOOK | {"low_speed": "900 rpm"})
    with pytest.raises(BadInput, match="give both or neither"):
        work("electrics.charge_balance", BOOK | {"middle_speed": "3000 rpm"})


@given(st.floats(0, 200), st.floats(0, 1), st.floats(0, 100))
def test_led_lamps_save_what_they_draw_less(lamps: float, duty: float, led: float) -> None:
    found = charge_balance(
        cut_in=1000 * RPM, low_speed=2000 * RPM, low_output=5.0, full_speed=4000 * RPM, full_output=15.0,
        idle=1200 * RPM, cruise=4000 * RPM, always=30.0, headlamp=lamps, now_and_then=42.0, duty=duty, led_lamps=led,
    )  # fmt: skip
    assert found.saved == pytest.approx((lamps - led) / 13.5, abs=1e-12)
    assert found.at_idle_led == pytest.approx(found.at_idle + (lamps - led) / 13.5, abs=1e-12)


@given(
    st.floats(11, 13.5),
    st.floats(0.02, 0.3),
    st.floats(0.005, 0.05),
    st.floats(0, 0.02),
    st.floats(240, 310),
    st.floats(1, 30),
)
def test_the_volts_add_up_and_the_cold_takes_some(
    rest: float, starter: float, own: float, leads: float, temperature: float, colder_by: float
) -> None:
    found = cold_cranking(rest, starter, temperature, battery_ohms=own, leads=leads)
    lost = found.current * (found.cold_ohms + leads)
    assert found.starter_volts + lost == pytest.approx(rest)
    assert found.cranking_volts - found.current * leads == pytest.approx(found.starter_volts)
    assert found.starter_power == pytest.approx(found.starter_volts * found.current)
    colder = cold_cranking(rest, starter, temperature - colder_by, battery_ohms=own, leads=leads)
    assert colder.cranking_volts < found.cranking_volts


@given(st.floats(0.02, 0.3), st.floats(0.005, 0.05))
def test_cranking_agrees_with_the_solver_of_the_loom(starter: float, own: float) -> None:
    """The same circuit as a loom document, its three wires a milliohm each; that solver is held against ngspice."""
    found = cold_cranking(12.7, starter, WARM, battery_ohms=own, leads=3e-3)
    solution = solved(
        loom_data(
            [battery(12.7, own), part("ST", "starter", ohms=starter)], "BAT.+ ST.+", "ST.- FRAME.a", "BAT.- FRAME.b"
        )
    )
    positive, negative = solution.volts["BAT.+"], solution.volts["BAT.-"]
    assert positive is not None
    assert negative is not None
    assert solution.amps["ST"] == pytest.approx(found.current, rel=1e-6)
    assert positive - negative == pytest.approx(found.cranking_volts, rel=1e-6)


def test_words_of_cold_cranking() -> None:
    base = {"rest_volts": "12.7 V", "starter_ohms": "60 mΩ", "min_volts": "8 V"}
    fine = work("electrics.cold_cranking", base | {"battery_ohms": "12 mΩ"})
    assert fine.verdicts[0].verdict == "inside"
    assert fine.results["cranking_volts"] is not None
    assert fine.results["cranking_volts"].plus_minus > 0
    old = work("electrics.cold_cranking", base | {"battery_ohms": "45 mΩ", "plate_amps": "200 A"})
    assert old.verdicts[0].verdict == "outside"
    assert "weaker" in old.notes[-1]
    with pytest.raises(BadInput, match="needs battery_ohms as read, or plate_amps"):
        work("electrics.cold_cranking", base)
    with pytest.raises(BadInput, match="within 3 K"):
        work("electrics.cold_cranking", base | {"battery_ohms": "8 mΩ", "battery": "lithium"})
    read_cold = {"battery_ohms": "8 mΩ", "battery": "lithium", "read_at": "-18 °C", "temperature": "-18 °C"}
    assert work("electrics.cold_cranking", base | read_cold).results["cold_ohms"].value == pytest.approx(0.008)
    with pytest.raises(BadInput, match="read a charged battery"):
        work("electrics.cold_cranking", base | {"rest_volts": "7 V", "plate_amps": "200 A"})
