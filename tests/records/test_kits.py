"""What a kit's thing does against what came out: by its sheet, with the uncertainty of the difference."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover import sheets
from tickover.records.kits import compare, effects, usual_effect
from tickover.records.models import Build, Kit, KitItem, Limit, Reading

BUILD = Build(name="Penhallow Heron 450")


def size(value: float, plus_minus: float = 0.0) -> Reading:
    return Reading(build=BUILD, name="size", dimension="length", typed="", value=value, plus_minus=plus_minus)


def thing(**facts: object) -> KitItem:
    return KitItem(build=BUILD, kit=Kit(build=BUILD, name="kit"), name="thing", **facts)


JET = {"sheet": "fuel.jet_flow", "sheet_input": "jet", "sheet_others": {"instead_of": "100"}}
GEARING = {
    "sheet": "final_drive.road_speed",
    "sheet_others": {"engine_speed": "5000 rpm", "primary": "2.32", "gear": "1.04", "rolling": "1.95 ± 0.02 m"},
}
BRAKE = {
    "sheet": "brakes.lever_force",
    "sheet_input": "master_bore",
    "sheet_others": {"force": "100 ± 5 N", "lever_ratio": "5", "piston_bore": "38 mm"},
}


def test_a_jet_of_95_instead_of_100_flows_almost_a_tenth_less() -> None:
    """Areas of circles are as the squares of their diameters: 0.95² = 0.9025."""
    [effect] = effects(thing(stamped_old="100", stamped_new="#95", **JET))
    assert (effect.before, effect.after) == ("100", "95")
    figures = {figure.name: figure for figure in effect.figures}
    assert figures["more"].after == "−9.75 %"
    assert figures["flow"].share in ("−9.7 %", "−9.8 %")


def test_sprocket_teeth_change_the_road_speed_by_their_share() -> None:
    item = thing(
        stamped_old="16T", stamped_new="17T", sheet_input="front",
        **{**GEARING, "sheet_others": {**GEARING["sheet_others"], "rear": "38"}},
    )  # fmt: skip
    [effect] = effects(item)
    speed = next(figure for figure in effect.figures if figure.name == "speed")
    assert speed.share == "+6.2 %"  # one of sixteen


def test_what_stays_the_same_shifts_both_alike() -> None:
    """A rolling way known to 1 % makes the difference of two speeds uncertain by 1 % of it, not of the speeds."""
    item = thing(
        stamped_old="16", stamped_new="17", sheet_input="front",
        **{**GEARING, "sheet_others": {**GEARING["sheet_others"], "rear": "38"}},
    )  # fmt: skip
    [effect] = effects(item)
    speed = next(figure for figure in effect.figures if figure.name == "speed")
    # 102.1 km/h with 16 teeth; one more is 1/16 of it; 0.02/1.95 of that is its uncertainty
    was = 5000 / (2.32 * 1.04 * 38 / 16) * 1.95 * 60 / 1000
    shown = sheets.Quantity("speed").show(was / 16 / 3.6, was / 16 / 3.6 * 0.02 / 1.95)
    assert speed.difference.startswith(f"+{shown}")


@given(st.floats(0.010, 0.020), st.floats(0.010, 0.020), st.floats(1e-6, 5e-5))
def test_the_difference_carries_both_sizes_and_agrees_with_the_plain_formula(
    old: float, new: float, spread: float
) -> None:
    """Line pressure = F·i/(π/4·d²); by hand: each d adds 2·p/d·u, the common force shifts both alike."""
    if abs(new - old) < 1e-4:
        return
    [effect] = effects(thing(old=size(old, spread), new=size(new, spread), **BRAKE))
    pressure = [500 / (math.pi / 4 * d**2) for d in (old, new)]
    difference = pressure[1] - pressure[0]
    by_hand = math.hypot(*(2 * p / d * spread for p, d in zip(pressure, (old, new), strict=True)), difference * 0.05)
    figure = next(figure for figure in effect.figures if figure.name == "line pressure")
    quantity = sheets.get("brakes.lever_force").results["line_pressure"]
    shown = figure.difference[1:]
    low, high = (quantity.show(abs(difference), by_hand * (1 + e), digits=3) for e in (-2e-3, 2e-3))
    assert shown in (quantity.show(abs(difference), by_hand, digits=3), low, high)


def test_the_book_is_held_against_it_too() -> None:
    limit = Limit(build=BUILD, name="master cylinder", dimension="length", standard_low=0.0127, standard_high=0.0129)
    against = {one.against: one for one in effects(thing(old=size(0.0127), new=size(0.014), limit=limit, **BRAKE))}
    assert set(against) == {"what came out", "the book"}
    assert against["the book"].before == "12.8 mm"
    [both] = effects(thing(stamped_old="100", stamped_book="100", stamped_new="95", **JET))
    assert both.against == "what came out and the book"


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"stamped_new": "95", **JET}, "the old one’s"),
        ({"stamped_old": "100", **JET}, "the new one’s"),
    ],
)
def test_it_waits_for_what_is_not_known(facts: dict[str, object], says: str) -> None:
    [effect] = effects(thing(**facts))
    assert says in effect.waits_for


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"stamped_old": "100", "stamped_new": "huge", **JET}, "does not start with a number"),
        ({"stamped_old": "16", "stamped_new": "17", "sheet_input": "front", **GEARING}, "needs rear"),
        (
            {"stamped_old": "1", "stamped_new": "2", "sheet": "fuel.jet_flow", "sheet_input": "numbered"},
            "takes no size",
        ),
        ({"stamped_old": "1", "stamped_new": "2", "sheet": "moon.phase", "sheet_input": "x"}, "there is no sheet"),
    ],
)
def test_what_cannot_be_worked_is_one_sentence(facts: dict[str, object], says: str) -> None:
    effect = compare(thing(**facts)).effects[0]
    assert says in effect.wrong
    assert not effect.figures


@pytest.mark.parametrize(
    ("facts", "says", "differs"),
    [
        ({"count_out": 2, "count_in": 1}, "1 too few: 2 came out, 1 in the kit", True),
        ({"count_out": 1, "count_in": 3}, "2 more than came out", True),
        ({"count_out": 2, "count_in": 2}, "as many as came out: 2", False),
        ({"stamped_old": "100", "stamped_new": "95"}, "stamped 95; 100 is stamped on what came out", True),
        ({"stamped_old": "n424", "stamped_new": "N424"}, "stamped N424, as what came out", False),
        ({"stamped_old": "100", "stamped_book": "95"}, "was not what the book says (95)", True),
        ({"old": size(0.001, 1e-5), "new": size(0.00101, 1e-5)}, "no difference in size that", False),
        ({"old": size(0.001, 1e-6), "new": size(0.00095, 1e-6)}, "smaller than what came out by 0.0500", True),
        ({"old": size(0.001), "new": size(0.001)}, "no difference in size", False),
    ],
)
def test_every_difference_is_said(facts: dict[str, object], says: str, differs: bool) -> None:
    row = compare(thing(**facts))
    assert says in " | ".join(one.says for one in row.said)
    assert row.differs == differs


def test_a_new_part_is_held_against_the_standard_value_not_the_service_limit() -> None:
    limit = Limit(
        build=BUILD, name="bore", dimension="length", standard_low=0.0200, standard_high=0.0201, service_high=0.0210
    )
    row = compare(thing(new=size(0.0205, 1e-6), limit=limit))
    assert row.verdict is not None
    assert row.verdict.verdict == "outside"
    assert "standard value" in row.verdict.why


@pytest.mark.parametrize(
    ("name", "sheet"),
    [
        ("main jet", "fuel.jet_flow"),
        ("float needle seat", "fuel.jet_flow"),
        ("Gearbox sprocket, 17T", "final_drive.road_speed"),
        ("front master cylinder", "brakes.lever_force"),
    ],
)
def test_the_usual_sheet_is_found_by_name(name: str, sheet: str) -> None:
    found = usual_effect(name)
    assert found is not None
    assert found[0] == sheet
    asked = sheets.get(sheet).inputs[found[1]]
    assert asked.quantity is not None
