"""The framework of the sheets: declaration, uncertainty, verdicts, refusals, and the faces made from them."""

from __future__ import annotations

import importlib
import inspect
import json
import math
import pkgutil
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat
from uncertainties.umath import cos, sin, tan

from tickover import chapters, sheets
from tickover.sheets import Choice, Limit, Quantity, Sheet, Worked, as_text, get, sheet, verdict, work
from tickover.standards.instruments import INSTRUMENTS
from tickover.units import DIMENSIONS, BadInput, Measure

TRAIL = {"rake": "27 ± 0.2 deg", "offset": "55 ± 0.5 mm", "front_radius": "305 ± 1 mm"}

EXAMPLES: dict[str, dict[str, str | float | Measure | None]] = {
    "chassis.trail": dict(TRAIL),
    "fabrication.hole_centres": {"outer": "80.12 ± 0.02 mm", "inner": "63.52 ± 0.02 mm", "wanted": "71.8 mm"},
    "fabrication.bolt_torque": {"diameter": "10 mm", "pitch": "1.25 mm", "property_class": "8.8", "friction": "0.12"},
    "electrics.voltage_drop": {"length": "3 m", "area": "1.5 mm²", "current": "5 ± 0.2 A"},
    "electrics.charge_balance": {
        "cut_in": "1000 rpm",
        "low_speed": "2000 rpm",
        "low_output": "5 ± 0.5 A",
        "full_speed": "4000 rpm",
        "full_output": "15 A",
        "idle": "1200 rpm",
        "cruise": "4500 rpm",
        "always": "35 W",
        "headlamp": "55 W",
        "led_lamps": "20 W",
    },
    "electrics.cold_cranking": {
        "rest_volts": "12.7 V",
        "starter_ohms": "60 ± 5 mΩ",
        "battery_ohms": "12 mΩ",
        "min_volts": "8 V",
    },
    "engine.cranking_compression": {"compression_ratio": "9:1", "read_1": "150 psi", "read_2": "128 psi"},
    "engine.wear": {"service_limit": "67.10 mm", "reading": "67.06 ± 0.01 mm", "standard": "67.02 mm"},
    "fuel.bowl_level": {"target": "4 mm", "level": "6.5 ± 0.4 mm", "float_arm": "30 mm", "tang_arm": "6 mm"},
    "brakes.lever_force": {
        "force": "100 N",
        "lever_ratio": "5",
        "master_bore": "5/8 in",
        "piston_bore": "38 mm",
    },
    "final_drive.road_speed": {
        "engine_speed": "5000 rpm",
        "primary": "72:31",
        "gear": "1.04",
        "front": "16",
        "rear": "38",
        "rolling": "1.95 m",
        "apart": "560 mm",
    },
    "engine.bore_shape": {
        "top_across": "67.06 ± 0.01 mm",
        "top_along": "67.04 mm",
        "middle_across": "67.05 mm",
        "middle_along": "67.04 mm",
        "bottom_across": "67.03 mm",
        "bottom_along": "67.02 mm",
        "out_of_round_limit": "0.05 mm",
    },
    "engine.piston_clearance": {"bore": "67.05 ± 0.01 mm", "piston": "66.94 mm", "at_most": "0.12 mm"},
    "fuel.jet_flow": {"jet": "95", "instead_of": "100"},
}


@pytest.fixture(params=sorted(EXAMPLES))
def worked(request: pytest.FixtureRequest) -> Worked:
    """Each sheet of the house worked on a plain example."""
    return work(request.param, EXAMPLES[request.param])


def test_every_sheet_that_is_declared_is_indexed() -> None:
    """The chapters' ``SHEETS`` name exactly the functions that carry the decorator, wherever they stand."""
    for module in pkgutil.walk_packages(chapters.__path__, chapters.__name__ + "."):
        importlib.import_module(module.name)
    declared = {i for i, s in sheets._declared.items() if s.function.__module__.startswith(chapters.__name__ + ".")}
    assert declared == set(sheets.index())
    for sheet_id, module_name in sheets.index().items():
        assert get(sheet_id).function.__module__ == module_name


def test_every_sheet_is_tried_here() -> None:
    assert set(EXAMPLES) == set(sheets.index())


def test_a_sheet_says_what_is_needed_to_trust_it(worked: Worked) -> None:
    this = worked.sheet
    assert this.title
    assert this.sources
    assert len(this.says) > 100
    assert ">>>" in (inspect.getdoc(this.function) or "")
    assert ">>>" not in this.says
    for one in this.inputs.values():
        assert one.says, f"{this.id}: {one.name} says nothing"
        if one.quantity is not None:
            assert one.quantity.dimension in DIMENSIONS
            assert one.quantity.low < one.quantity.high
            assert all(name in INSTRUMENTS for name in one.quantity.read_with)
    for name, quantity in this.results.items():
        assert quantity.says, f"{this.id}: {name} says nothing"


@pytest.mark.parametrize(
    ("sheet_id", "word"),
    [
        ("chassis.trail", "licensed engineer"),
        ("brakes.lever_force", "licensed engineer"),
        ("fuel.bowl_level", "vapour"),
        ("engine.cranking_compression", "sparks"),
        ("electrics.charge_balance", "Exhaust gas"),
        ("electrics.cold_cranking", "dropped spanner"),
    ],
)
def test_work_that_can_hurt_carries_its_caution(sheet_id: str, word: str) -> None:
    assert any(word in caution for caution in get(sheet_id).cautions)


def test_json_is_the_contracts_object(worked: Worked) -> None:
    answer = json.loads(json.dumps(worked.as_json(), allow_nan=False))
    assert answer["sheet"] == worked.sheet.id
    for name, value in answer["inputs"].items():
        quantity = worked.sheet.inputs[name].quantity
        if quantity is not None:
            assert set(value) == {"value", "unit", "plus_minus"}
            assert value["unit"] == DIMENSIONS[quantity.dimension].si
    for name, value in answer["results"].items():
        assert value["value"] is None or value["unit"] == DIMENSIONS[worked.sheet.results[name].dimension].si
    for found in answer["verdicts"]:
        assert set(found) == {"on", "verdict", "why"}
        assert found["verdict"] in ("inside", "outside", "too close to call", "not measured")
    assert all(isinstance(answer[k], list) for k in ("warnings", "cautions", "sources"))


def test_the_contracts_own_example() -> None:
    answer = work("chassis.trail", {"rake": "27deg", "offset": "55 ± 0.5 mm", "front_radius": "305mm"}).as_json()
    assert answer["inputs"]["rake"] == {
        "value": pytest.approx(0.4712, abs=5e-5),
        "unit": "rad",
        "plus_minus": 0,
    }  # type: ignore[index]
    trail = answer["results"]["trail"]  # type: ignore[index]
    assert trail["value"] == pytest.approx(0.0937, abs=5e-5)
    assert trail["plus_minus"] == pytest.approx(0.0006, abs=5e-5)


def test_the_description_is_plain_data(worked: Worked) -> None:
    told = json.loads(json.dumps(worked.sheet.describe(), allow_nan=False))
    assert set(told["inputs"]) == set(worked.sheet.inputs)
    required = {name for name, i in told["inputs"].items() if i["required"]}
    assert required <= set(EXAMPLES[worked.sheet.id])


@pytest.mark.parametrize("system", ["metric", "inch-pound"])
def test_the_text_names_every_input_and_result(worked: Worked, system: Literal["metric", "inch-pound"]) -> None:
    text = as_text(worked, system)
    for name in (*EXAMPLES[worked.sheet.id], *worked.results):
        assert f"\n  {name} " in text
    assert sheets.describe_as_text().count("from: ") >= len(EXAMPLES)


def test_inputs_typed_inch_pound_give_the_same(worked: Worked) -> None:
    """What is shown in inches and pounds, typed again, works out the same: every face has one computation."""
    again: dict[str, str | float | Measure | None] = {}
    for name, value in worked.inputs.items():
        quantity = worked.sheet.inputs[name].quantity
        if isinstance(value, Measure) and quantity is not None:
            again[name] = quantity.show(value.value, 0.0, "inch-pound", digits=9)
        else:
            again[name] = value
    other = work(worked.sheet.id, again, "inch-pound")
    for name, result in worked.results.items():
        theirs = other.results[name]
        assert (result is None) == (theirs is None)
        if result is not None and theirs is not None:
            assert theirs.value == pytest.approx(result.value, rel=1e-5, abs=1e-9)


def test_a_bare_number_is_in_the_unit_of_the_system() -> None:
    metric = work("chassis.trail", {"rake": "27", "offset": "55", "front_radius": "305"})
    inches = work("chassis.trail", {"rake": "27", "offset": "2.1654", "front_radius": "12.0079"}, "inch-pound")
    assert inches.results["trail"].value == pytest.approx(metric.results["trail"].value, rel=1e-4)  # type: ignore[union-attr]


def test_uncertainty_agrees_with_an_independent_program() -> None:
    """The ``uncertainties`` package propagates by derivatives, the framework by differences."""
    rake, offset, radius = (
        ufloat(math.radians(27), math.radians(0.2)),
        ufloat(0.055, 5e-4),
        ufloat(0.305, 1e-3),
    )
    trail = radius * tan(rake) - offset / cos(rake)
    normal = radius * sin(rake) - offset
    ours = work("chassis.trail", EXAMPLES["chassis.trail"])
    for name, theirs in (("trail", trail), ("normal_trail", normal)):
        mine = ours.results[name]
        assert mine is not None
        assert mine.value == pytest.approx(theirs.nominal_value, rel=1e-12)
        assert mine.plus_minus == pytest.approx(theirs.std_dev, rel=1e-4)
    share = trail.error_components()
    assert abs(ours.shares["trail"]["rake"]) == pytest.approx(share[rake], rel=1e-4)


@given(
    st.floats(0.02, 0.2),
    st.floats(0.0, 0.018),
    st.floats(1e-6, 1e-4),
    st.floats(1e-6, 1e-4),
)
def test_uncertainty_of_a_linear_sheet_is_exact(a: float, b: float, ua: float, ub: float) -> None:
    ours = work("fabrication.hole_centres", {"outer": Measure(a, ua, "length"), "inner": Measure(b, ub, "length")})
    theirs = (ufloat(a, ua) + ufloat(b, ub)) / 2
    assert ours.results["centres"].plus_minus == pytest.approx(theirs.std_dev, rel=1e-6)  # type: ignore[union-attr]


def test_gum_example_of_a_product() -> None:
    """Power by volts and amps: relative variances add (JCGM 100:2008, 5.1.6)."""
    ours = work("electrics.voltage_drop", {"length": "2 ± 0.04 m", "area": "1 ± 0.03 mm²", "current": "5 ± 0.2 A"})
    drop = ours.results["drop"]
    assert drop is not None
    relative = math.sqrt(0.02**2 + 0.03**2 + 0.04**2)
    assert drop.plus_minus / drop.value == pytest.approx(relative, rel=2e-3)


# A sheet of this test's own, to reach every corner of the framework.
Mm = Annotated[float, Quantity("length", low=0.0, high=1.0, says="a length", usual=(0.01, 0.5))]
Warm = Annotated[float, Quantity("temperature", low=200.0, high=400.0, says="a temperature")]
Root = Annotated[float, Quantity("ratio", says="a root")]
HeldTo = Annotated[float, Quantity("length", says="a bound that is measured too")]


@dataclass(frozen=True)
class Probe:
    """What the probe sheet answers."""

    length: Mm
    root: Root
    maybe: Mm | None
    limits: Mapping[str, Limit] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@sheet(title="Probe", sources=["none"])
def probe(
    length: Mm,
    bound: Annotated[float, Quantity("length", says="bound")] = 0.2,
    warm: Warm = 293.15,
    count: Annotated[int, Quantity("count", low=1, high=9, says="how many")] = 2,
    guess: Annotated[float, Quantity("length", says="a guess", assumed=0.01)] = 0.0,
    side: Annotated[Literal["left", "right"], Choice("which side")] = "left",
    maybe: Mm | None = None,
) -> Probe:
    """A probe that is a sheet only for its tests, with a help of more than a few words.

    >>> probe(0.25).root
    0.5
    """
    assert isinstance(count, int)
    return Probe(
        length + guess,
        math.sqrt(length) + 0.0 * warm,
        maybe,
        {"length": Limit(None, bound, "bound"), "maybe": Limit(0.1, None, "least")},
        (f"{side} {count}",),
    )


@pytest.fixture
def a_probe(monkeypatch: pytest.MonkeyPatch) -> Sheet:
    """The probe, known to the framework under a chapter's name."""
    this = next(s for i, s in sheets._declared.items() if i.endswith(".probe"))
    monkeypatch.setattr(sheets, "get", lambda _: this)
    return this


def test_limit_and_reading_both_carry_their_uncertainty(a_probe: Sheet) -> None:
    """The distance to a measured bound has the uncertainty of both: 10 against √(3² + 4²) is two."""
    near = work("probe", {"length": "190 ± 3 mm", "bound": "200 ± 4.01 mm", "guess": "0 mm"})
    off = work("probe", {"length": "190 ± 3 mm", "bound": "200 ± 3.99 mm", "guess": "0 mm"})
    assert near.verdicts[0].verdict == "too close to call"
    assert off.verdicts[0].verdict == "inside"


@pytest.mark.parametrize(
    ("length", "word"),
    [
        ("190 mm", "inside"),
        ("210 mm", "outside"),
        ("200 mm", "inside"),
        ("190 ± 4 mm", "inside"),
        ("190 ± 6 mm", "too close to call"),
        ("210 ± 6 mm", "too close to call"),
        ("210 ± 4 mm", "outside"),
    ],
)
def test_verdicts(a_probe: Sheet, length: str, word: str) -> None:
    answer = work("probe", {"length": length, "guess": "0 mm"})
    assert answer.verdicts[0].verdict == word
    assert answer.verdicts[1].verdict == "not measured"
    assert answer.holds == (word != "outside")


def test_a_close_call_says_what_would_settle_it(a_probe: Sheet) -> None:
    why = work("probe", {"length": "198 ± 3 mm", "guess": "0 mm"}).verdicts[0].why
    assert "length to ± 1 mm (as with: tape measure or steel rule)" in why
    assumed = work("probe", {"length": "198 ± 0.1 mm"}).verdicts[0]
    assert assumed.verdict == "too close to call"
    assert "most of the doubt is in guess, which is only assumed" in assumed.why


def test_what_was_assumed_is_not_mixed_with_what_was_given(a_probe: Sheet) -> None:
    answer = work("probe", {"length": "50 mm", "count": "", "side": None})
    assert answer.assumed == {"bound", "warm", "count", "guess", "side"}
    assert answer.inputs["maybe"] is None
    assert "maybe" not in answer.as_json()["inputs"]  # type: ignore[operator]
    assert answer.results["maybe"] is None
    assert answer.results["length"].plus_minus == pytest.approx(0.01)  # type: ignore[union-attr]


def test_unusual_is_a_warning_and_impossible_an_error(a_probe: Sheet) -> None:
    assert work("probe", {"length": "50 mm"}).warnings == ()
    assert "below the usual 10 mm" in work("probe", {"length": "5 mm"}).warnings[0]
    assert "above the usual 500 mm" in work("probe", {"length": "0.6 m"}).warnings[0]
    assert "spans most of what is possible" in work("probe", {"length": "0.4 ± 0.3 m"}).warnings[0]
    with pytest.raises(BadInput, match="length: 1001 mm is out of range; it takes 0 mm to 1000 mm"):
        work("probe", {"length": "1001 mm"})


def test_at_the_edge_of_the_range_the_other_side_stands_in(a_probe: Sheet) -> None:
    """√x refuses below nought: the share is then the whole step up, never a crash and never nought."""
    answer = work("probe", {"length": "1 ± 4 mm"})
    assert answer.results["root"].plus_minus == pytest.approx(math.sqrt(0.005) - math.sqrt(0.001))  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("inputs", "says"),
    [
        ({}, "needs length: a length, in mm, in or thou"),
        ({"length": "  "}, "needs length"),
        ({"lenght": "1 mm"}, "has no input 'lenght'; it has length"),
        ({"length": "3 bananas"}, "length: '3 bananas' for length: 'bananas' is no unit"),
        ({"length": math.nan}, "length: the figure is not a number"),
        ({"length": math.inf}, "length: the figure is not a number"),
        ({"length": Measure(0.1, math.nan, "length")}, "length: the figure is not a number"),
        ({"length": Measure(0.1, 0.0, "mass")}, "a mass was given; it takes a length"),
        ({"length": "50 mm", "count": "2.5"}, "count: 2.5 is not a whole number"),
        ({"length": "50 mm", "count": "2 ± 1"}, "count is whole and has no ±"),
        ({"length": "50 mm", "count": "12"}, "count: 12 is out of range; it takes 1 to 9"),
        ({"length": "50 mm", "side": "up"}, "side: 'up' is not known; write one of left, right"),
        ({"length": "50 mm", "warm": "-200 °C"}, "is out of range"),
    ],
)
def test_bad_input_is_one_clear_sentence(
    a_probe: Sheet, inputs: dict[str, str | float | Measure | None], says: str
) -> None:
    with pytest.raises(BadInput) as caught:
        work("probe", inputs)
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("trail", "chassis.trail"),
        ("chassis.trial", "chassis.trail"),
        ("engine.waer", "engine.wear"),
        ("", "engine."),
    ],
)
def test_an_unknown_sheet_names_the_nearest(asked: str, near: str) -> None:
    with pytest.raises(BadInput, match=f"there is no sheet '{asked}'; there is .*{near}"):
        get(asked)


TYPED = st.one_of(
    st.text(max_size=20),
    st.floats(),
    st.floats(1e-6, 100),
    st.builds(Measure, st.floats(), st.floats(), st.sampled_from(sorted(DIMENSIONS))),
    st.builds("{:g} ± {:g}".format, st.floats(0, 100), st.floats(0, 100)),
)


@given(st.sampled_from(sorted(EXAMPLES)), st.data())
def test_whatever_is_typed_is_worked_or_refused(sheet_id: str, data: st.DataObject) -> None:
    names = list(get(sheet_id).inputs)
    inputs = {**EXAMPLES[sheet_id], **data.draw(st.dictionaries(st.sampled_from(names), TYPED, max_size=3))}
    try:
        answer = work(sheet_id, inputs)
    except BadInput as refused:
        said = str(refused)
    else:
        said = ""
        json.dumps(answer.as_json(), allow_nan=False)
        as_text(answer, "inch-pound")
        for result in answer.results.values():
            assert result is None or (math.isfinite(result.value) and 0 <= result.plus_minus < math.inf)
    assert len(said.splitlines()) <= 1


class TestVerdictAlone:
    """`verdict` on one reading, for records and pages that hold a limit of their own."""

    BORE = Quantity("length", read_with=("telescopic_gauge", "bore_gauge"))

    def test_words(self) -> None:
        assert verdict(None, high=1.0).verdict == "not measured"
        assert verdict(0.5).verdict == "not measured"
        assert verdict(0.5, high=1.0).verdict == "inside"
        assert verdict(1.5, high=1.0).verdict == "outside"
        assert verdict(1.5, low=2.0).verdict == "outside"
        assert verdict(1.5, low=1.0, high=2.0).verdict == "inside"
        assert verdict(1.5, 0.3, low=1.0, high=2.0).verdict == "too close to call"
        assert verdict(1.5, 0.24, low=1.0, high=2.0).verdict == "inside"

    def test_names_an_instrument_that_settles_it(self) -> None:
        found = verdict(0.06108, 12e-6, high=0.06110, on="bore", quantity=self.BORE, called="service limit")
        assert found.verdict == "too close to call"
        assert "service limit 61.1 mm at most" in found.why
        assert "dial bore gauge" in found.why
        assert INSTRUMENTS["bore_gauge"].uncertainty(0.06108) <= 1e-5

    @given(st.floats(0.001, 1), st.floats(1e-6, 0.1), st.floats(0.001, 1))
    def test_is_called_only_beyond_two_uncertainties(self, value: float, plus_minus: float, high: float) -> None:
        found = verdict(value, plus_minus, high=high).verdict
        if abs(value - high) < 2 * plus_minus * (1 - 1e-9):
            assert found == "too close to call"
        elif abs(value - high) > 2 * plus_minus * (1 + 1e-9):
            assert found == ("inside" if value < high else "outside")


def test_a_calculation_imports_neither_django_nor_numpy() -> None:
    code = (
        "import sys, tickover.sheets as s; s.all_sheets(); "
        "w = s.work('chassis.trail', {'rake': '27', 'offset': '55', 'front_radius': '305'}); s.as_text(w); "
        "print([m for m in ('django', 'numpy', 'scipy', 'networkx', 'ezdxf', 'typst') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
