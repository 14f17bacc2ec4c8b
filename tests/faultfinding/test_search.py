"""Searches on the demo and on one lamp: suspects, what is asked next, when it stops, what contradicts."""

import json
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tickover.chapters.causes import CAUSES
from tickover.chapters.electrics.loom.document import Loom, as_json, read
from tickover.faultfinding import table
from tickover.faultfinding.information import entropy
from tickover.faultfinding.search import Search, fault_list, fault_next, kept_after, ruled_out
from tickover.faultfinding.simulate import Answering, walk
from tickover.units import BadInput

DARK = "seen:lit.H1@S1=on=no"
NO_START = "seen:fires@KEY=on,START=in=no"
EARTH = "open:FRAME.coil_bracket"
FILTER = "fuel:filter_too_fine"

READINGS = [
    "volts:F1.b@S1=on=12.6",
    "volts:F1.b=12.5",
    "volts:S1.b@S1=on=12.5",
    "volts:H1.b@S1=on=0",
    "volts:H1.a@S1=on=12.3",
    "ohms:F1.a,F1.b=0.1",
    "ohms:H1.a,H1.b=OL",
    "lamp:S1.a=bright",
    "volts:BAT.+=12.3",
]


def probabilities(search: Search) -> dict[str, float]:
    return search.by_name


# What is suspected


def test_priors_sum_to_one_and_every_cause_is_listed(demo: Loom) -> None:
    every = fault_list(demo)
    assert sum(float(str(row["prior"])) for row in every) == pytest.approx(1.0)
    assert {row["fault"] for row in every} >= set(CAUSES) | {EARTH}


def test_a_loom_without_an_engine_has_no_other_causes(lamp_loom: Loom) -> None:
    assert not {row["fault"] for row in fault_list(lamp_loom)} & set(CAUSES)


def test_a_worn_part_is_suspected_more(lamp_loom: Loom) -> None:
    document = as_json(lamp_loom)
    worn = json.loads(json.dumps(document))
    next(c for c in worn["components"] if c["id"] == "S1")["condition"] = "damaged"
    before = probabilities(Search(lamp_loom, DARK))["stuck_open:S1"]
    assert probabilities(Search(read(worn), DARK))["stuck_open:S1"] > before


def test_the_condition_on_record_speaks_for_a_cause(demo: Loom) -> None:
    plain = probabilities(Search(demo, NO_START))[FILTER]
    assert probabilities(Search(demo, NO_START, conditions={FILTER: "damaged"}))[FILTER] > 2.0 * plain
    with pytest.raises(BadInput, match="is no cause"):
        Search(demo, NO_START, conditions={"fuel:ghost": "worn"})


def test_only_what_explains_the_complaint_is_suspected(lamp_loom: Loom) -> None:
    suspects = {s.fault for s in Search(lamp_loom, DARK).suspects}
    assert {"open:W1", "open:F1", "stuck_open:S1", "open:H1", "open:FRAME.lamp"} <= suspects
    assert "stuck_closed:S1" not in suspects
    lit = {s.fault for s in Search(lamp_loom, "seen:lit.H1=yes").suspects}
    assert lit == {"stuck_closed:S1"}


def test_volts_before_and_after_the_switch_name_the_switch(lamp_loom: Loom) -> None:
    search = Search(lamp_loom, DARK, ["volts:S1.a@S1=on=12.6", "volts:S1.b@S1=on=0"])
    assert search.found is not None
    assert search.found.faults[0] == "stuck_open:S1"
    assert "S1" in search.found.repair
    assert search.next == []


@pytest.mark.parametrize(
    ("readings", "faults"),
    [
        (["volts:F1.a=12.6", "volts:F1.b=0", "ohms:S1.a,FRAME.lamp=0.2"], {"grounded:S1.a", "grounded:F1.b"}),
        (["volts:F1.b=12.6", "volts:F1.b@S1=on=0"], {"grounded:S1.b", "grounded:H1.a"}),
    ],
    ids=["left", "renewed"],
)
def test_a_short_is_found_whether_its_fuse_was_left_or_renewed(
    lamp_loom: Loom, readings: list[str], faults: set[str]
) -> None:
    """A run that touches the frame has blown the fuse as the complaint was tried."""
    search = Search(lamp_loom, DARK, readings)
    assert search.contradictions == []
    assert search.found is not None
    assert faults <= set(search.found.faults)
    assert "touches the frame" in search.found.repair
    names = [s.fault for s in search.suspects]
    assert len(names) == len(set(names))
    assert sum(search.by_name.values()) == pytest.approx(1.0)


# Laws


@given(st.lists(st.sampled_from(READINGS), max_size=6), st.randoms())
@settings(max_examples=40, deadline=None)
def test_probabilities_sum_to_one_and_the_order_does_not_matter(
    lamp_loom: Loom, readings: list[str], random: object
) -> None:
    forward = Search(lamp_loom, DARK, readings)
    assert forward.probabilities.sum() == pytest.approx(1.0)
    assert probabilities(Search(lamp_loom, DARK, readings[::-1])) == pytest.approx(probabilities(forward))


@given(
    st.lists(st.sampled_from(READINGS), max_size=4),
    st.sampled_from(["volts:S1.a=unsure", "volts:H1.a@S1=on=out_of_reach", "ohms:F1.a,F1.b=unsure"]),
)
@settings(max_examples=30, deadline=None)
def test_an_answer_that_tells_nothing_changes_nothing(lamp_loom: Loom, readings: list[str], nothing: str) -> None:
    before, after = Search(lamp_loom, DARK, readings), Search(lamp_loom, DARK, [*readings, nothing])
    assert probabilities(after) == probabilities(before)


@given(st.lists(st.sampled_from(READINGS), max_size=4))
@settings(max_examples=30, deadline=None)
def test_no_test_promises_more_than_is_unknown(lamp_loom: Loom, readings: list[str]) -> None:
    search = Search(lamp_loom, DARK, readings)
    unknown = entropy(search.probabilities)
    for step in search.next:
        assert 0.0 < step.bits <= unknown + 0.02
        assert step.minutes > 0.0
        assert sum(a.probability for a in step.answers) == pytest.approx(1.0, abs=0.05)


def test_a_reading_given_twice_counts_once(lamp_loom: Loom) -> None:
    once, twice = (Search(lamp_loom, DARK, ["volts:S1.b@S1=on=12.5"] * n) for n in (1, 2))
    assert probabilities(once) == probabilities(twice)


# What to do next


def test_a_test_is_not_asked_again(demo: Loom) -> None:
    readings: list[str] = []
    for _ in range(6):
        step = Search(demo, NO_START, readings).next[0]
        assert step.test not in {r.rpartition("=")[0] for r in readings}
        readings.append(f"{step.test}=unsure")


def test_a_pin_out_of_reach_is_not_asked_in_any_setting(demo: Loom) -> None:
    readings = ["seen:cranks@KEY=on,START=in=yes", "seen:spark@KEY=on,START=in=no"]
    first = next(s.test for s in Search(demo, NO_START, readings).next if s.test.startswith("volts:"))
    pin = first.removeprefix("volts:").partition("@")[0]
    later = Search(demo, NO_START, [*readings, f"{first}=out_of_reach"])
    assert later.next
    assert all(pin not in step.test for step in later.next)


def test_what_is_off_the_bike_need_not_come_off_again(demo: Loom) -> None:
    readings = ["seen:cranks@KEY=on,START=in=yes", "seen:spark@KEY=on,START=in=no"]

    def minutes(**more: tuple[str, ...]) -> float:
        search = Search(demo, NO_START, readings, **more)
        return next(row[1] for row in search._ranked if str(row[3].test) == "volts:IGN.31@KEY=on")

    assert minutes(taken_off=("tank",)) < minutes()
    assert all("tank" not in s.takes_off for s in Search(demo, NO_START, readings, taken_off=("tank",)).next)


def test_each_step_says_how_why_and_what_to_take_care_of(demo: Loom) -> None:
    for step in Search(demo, NO_START).next:
        assert step.how.endswith((".", "?"))
        assert step.why.endswith(".")
        assert step.expect
        assert len(step.answers) >= 2
        assert step.caution
        assert "neutral" in step.caution
    probe = Search(demo, NO_START, ["seen:cranks@KEY=on,START=in=yes", "seen:spark@KEY=on,START=in=no"])
    text = probe.as_text()
    assert "IGN" in text
    assert "tag" in text


def test_a_spark_test_warns_of_high_tension_and_vapour(demo: Loom) -> None:
    search = Search(demo, NO_START, ["seen:cranks@KEY=on,START=in=yes"])
    spark = next(s for s in search.next if s.test.startswith("seen:spark"))
    assert spark.caution is not None
    assert "thousands of volts" in spark.caution
    assert "vapour" in spark.caution


# When readings cannot be true together


def test_two_readings_that_exclude_each_other_are_named(lamp_loom: Loom) -> None:
    readings = ["volts:F1.b@S1=on=12.6", "volts:S1.a@S1=on=12.6", "volts:F1.a@S1=on=0"]
    clash = Search(lamp_loom, DARK, readings).contradictions
    assert len(clash) == 1
    assert "volts:F1.a@S1=on=0" in clash[0].readings
    assert len(clash[0].readings) <= 3


def test_readings_that_go_together_contradict_nothing(lamp_loom: Loom) -> None:
    assert Search(lamp_loom, DARK, ["volts:F1.b@S1=on=12.6", "volts:S1.b@S1=on=0"]).contradictions == []


def test_a_complaint_that_a_sound_bike_would_have_is_said(demo: Loom) -> None:
    search = Search(demo, "seen:cranks=no")
    assert "sound bike" in search.contradictions[0].why
    assert search.found is None


def test_dry_plugs_are_a_complaint_though_a_sound_bike_may_have_them(demo: Loom) -> None:
    search = Search(demo, "seen:plugs=dry", ["seen:spark@KEY=on,START=in=yes", "seen:fuel_flow=too little"])
    assert search.contradictions == []
    assert search.suspects[0].fault.startswith("fuel:")


def test_a_complaint_that_nothing_explains_is_said(lamp_loom: Loom) -> None:
    document = as_json(lamp_loom)
    document["components"] = [*document["components"], {"id": "H2", "kind": "bulb", "watts": 5, "volts": 12}]  # type: ignore[misc]
    loom = read(document)
    search = Search(loom, "seen:lit.H2=yes")
    assert "explains the complaint" in search.contradictions[0].why
    assert search.found is None


def test_one_wrong_reading_is_outweighed(demo: Loom) -> None:
    """A slip of the probe early on; the readings after it bring the right fault back to the top."""
    bike = Answering(demo, [EARTH])
    readings = ["volts:IGN.15@KEY=on=0"]
    for test in ("seen:cranks@KEY=on,START=in", "seen:spark@KEY=on,START=in", "volts:IGN.31@KEY=on",
                 "volts:SP2.d@KEY=on", "volts:IGN.trigger@KEY=on", "volts:C1.15@KEY=on"):  # fmt: skip
        readings.append(f"{test}={bike.value(test)}")
    search = Search(demo, NO_START, readings)
    assert search.suspects[0].fault in ("open:W18", "open:SP3.c", EARTH)
    assert any("volts:IGN.15@KEY=on=0" in c.readings for c in search.contradictions)


# The two planted faults


@pytest.mark.parametrize(
    "complaint",
    [NO_START, "seen:fires@KEY=on,KILL=run,START=in,CLUTCH=in=no", "seen:spark@KEY=on,START=in=no"],
)
def test_the_earth_is_found_and_behind_it_the_filter(demo: Loom, complaint: str) -> None:
    first = walk(demo, complaint, Answering(demo, [EARTH, FILTER]))
    assert EARTH in first.faults
    assert len(first.readings) <= 7
    assert first.search.found is not None
    assert "FRAME coil_bracket" in first.search.found.repair
    kept = kept_after(first.search, first.faults)
    assert not any("spark" in reading for reading in kept)
    again = complaint.replace("seen:spark", "seen:fires")
    second = walk(demo, again, Answering(demo, [FILTER]), readings=kept, mended=first.faults)
    assert second.faults == (FILTER,)
    assert second.search.found is not None
    assert "filter" in second.search.found.repair
    assert second.search.found.caution is not None
    assert "vapour" in second.search.found.caution
    assert len(second.readings) <= 7


def test_the_meters_noise_does_not_mislead(demo: Loom) -> None:
    for seed in range(10):
        assert EARTH in walk(demo, NO_START, Answering(demo, [EARTH], noise=seed)).faults


def test_what_a_reading_rules_out_is_said(demo: Loom) -> None:
    before = Search(demo, NO_START)
    after = Search(demo, NO_START, ["seen:cranks@KEY=on,START=in=yes"])
    said = ruled_out(before, after)
    assert said.startswith("Rules out ")
    assert said.endswith(".")
    assert ruled_out(before, Search(demo, NO_START, ["seen:cranks@KEY=on,START=in=unsure"])) == "Rules nothing out."


# Out


def test_json_is_the_contracts_object(demo: Loom) -> None:
    result = json.loads(json.dumps(fault_next(demo, NO_START, ["seen:cranks@KEY=on,START=in=yes"]).as_json()))
    assert set(result) == {"suspects", "next", "found", "contradictions"}
    assert {"fault", "probability", "why"} <= set(result["suspects"][0])
    assert {"test", "minutes", "bits", "why"} <= set(result["next"][0])
    assert result["found"] is None
    ranks = [s["probability"] for s in result["suspects"]]
    assert ranks == sorted(ranks, reverse=True)
    found = json.loads(json.dumps(walk(demo, NO_START, Answering(demo, [EARTH])).search.as_json()))["found"]
    assert EARTH in found["faults"]
    assert found["probability"] >= 0.95
    assert found["repair"]


def test_the_next_step_comes_at_once_from_the_table(demo: Loom) -> None:
    Search(demo, NO_START).as_json()
    taken = []
    for _ in range(3):
        start = time.perf_counter()
        Search(demo, NO_START, ["seen:cranks@KEY=on,START=in=yes"]).as_json()
        taken.append(time.perf_counter() - start)
    assert min(taken) < 0.5


def test_the_table_is_kept_by_the_looms_content(demo: Loom) -> None:
    first = Search(demo, NO_START).table
    assert Search(read(as_json(demo)), NO_START).table is first
    changed = json.loads(json.dumps(as_json(demo)))
    changed["components"][0]["volts"] = 12.2
    assert Search(read(changed), DARK.replace("H1@S1=on", "HTL@KEY=on")).table.garage is not first.garage
    assert table.Document.of(demo).text == table.Document.of(read(as_json(demo))).text
