"""The laws of the strip-down order, against an independent library of graphs."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.planning.strip_order import Covering, Part, access, find_circles, likely_cover, refit

PAIRS = st.lists(
    st.tuples(st.integers(0, 9), st.integers(0, 9)).filter(lambda pair: pair[0] != pair[1]), unique=True, max_size=25
)
"""Pairs (cover, covered); they may go round."""
DOWNWARD = PAIRS.map(lambda pairs: [pair for pair in pairs if pair[0] < pair[1]])
"""Pairs of which none goes round: a lower number covers a higher one."""
HOW = st.lists(st.sampled_from(["covers", "holds"]), min_size=25, max_size=25)


def coverings_of(pairs: list[tuple[int, int]], how: list[str] | None = None, guessed: int = 0) -> list[Covering]:
    return [
        Covering(number, *pair, (how or ["covers"] * 99)[number], bool(guessed >> number & 1))
        for number, pair in enumerate(pairs)
    ]


@given(DOWNWARD, HOW, st.integers(0, 9), st.permutations(range(10)))
def test_everything_above_comes_off_once_and_covers_before_what_they_cover(
    pairs: list[tuple[int, int]], how: list[str], part: int, numbers: list[int]
) -> None:
    graph = nx.DiGraph(pairs)
    graph.add_node(part)
    order = access(part, coverings_of(pairs, how), dict(enumerate(numbers)), taking_off=True)
    assert sorted(order) == sorted(nx.ancestors(graph, part))
    place = {number: index for index, number in enumerate(order)}
    assert all(place[a] < place[b] for a, b in pairs if a in place and b in place)


@given(DOWNWARD, HOW, st.integers(0, 9))
def test_to_reach_a_part_what_only_holds_it_stays(pairs: list[tuple[int, int]], how: list[str], part: int) -> None:
    coverings = coverings_of(pairs, how)
    graph = nx.DiGraph((c.cover, c.covered) for c in coverings if not (c.covered == part and c.how == "holds"))
    graph.add_node(part)
    assert set(access(part, coverings, {})) == nx.ancestors(graph, part)


@given(PAIRS, st.integers(0, 9))
def test_an_access_list_ends_where_covers_go_round(pairs: list[tuple[int, int]], part: int) -> None:
    graph = nx.DiGraph(pairs)
    graph.add_node(part)
    order = access(part, coverings_of(pairs), {})
    assert sorted(order) == sorted(nx.ancestors(graph, part) - {part})


@given(PAIRS, st.integers(0, 2**25 - 1), st.permutations(range(10)))
def test_circles_are_found_where_there_are_any_and_striking_out_ends_them(
    pairs: list[tuple[int, int]], guessed: int, numbers: list[int]
) -> None:
    coverings = coverings_of(pairs, guessed=guessed)
    parts = {number: Part(number, f"part {number}", number=place) for number, place in enumerate(numbers)}
    circles = find_circles(coverings, parts)
    assert bool(circles) != nx.is_directed_acyclic_graph(nx.DiGraph(pairs))
    struck = {circle.strike.id for circle in circles}
    assert len(struck) == len(circles)
    assert nx.is_directed_acyclic_graph(nx.DiGraph((c.cover, c.covered) for c in coverings if c.id not in struck))
    for circle in circles:
        ring = [*circle.coverings, circle.coverings[0]]
        assert all(one.covered == other.cover for one, other in pairwise(ring))
        if any(c.guessed for c in circle.coverings):
            assert circle.strike.guessed
        else:
            assert parts[circle.strike.cover].number > parts[circle.strike.covered].number  # type: ignore[operator]


@given(DOWNWARD, st.sets(st.integers(0, 9)), st.sets(st.integers(0, 9)), st.permutations(range(10)))
def test_what_is_covered_goes_on_before_what_covers_it(
    pairs: list[tuple[int, int]], on: set[int], away: set[int], numbers: list[int]
) -> None:
    parts = [
        Part(number, f"part {number}", on=number in on, number=place + 1, waits="on order" if number in away else "")
        for number, place in enumerate(numbers)
    ]
    worked = refit(parts, coverings_of(pairs))
    order = [step.part.id for step in worked.steps]
    assert sorted(order) == sorted(set(range(10)) - on)
    graph = nx.DiGraph(pairs)
    graph.add_nodes_from(range(10))
    place = {number: index for index, number in enumerate(order)}
    for step in worked.steps:
        below = nx.descendants(graph, step.part.id) - on
        assert all(place[number] < place[step.part.id] for number in below)
        assert bool(step.waits) == bool(({step.part.id} | below) & away)
        assert set(step.off_first) <= on & nx.ancestors(graph, step.part.id)
    assert [bool(step.waits) for step in worked.steps] == sorted(bool(step.waits) for step in worked.steps)


@given(st.permutations(range(1, 9)))
def test_without_any_covering_the_last_one_off_is_the_first_one_on(numbers: list[int]) -> None:
    steps = refit([Part(number, f"part {number}", number=number) for number in numbers], []).steps
    assert [step.part.number for step in steps] == list(range(8, 0, -1))


def test_a_part_on_the_bike_between_two_that_are_off() -> None:
    """The cover may not go on before what lies under the part that it covers; and that part is in the way."""
    cover, plate, pump = Part(1, "Cover"), Part(2, "Plate", on=True), Part(3, "Pump")
    first, then = refit([cover, plate, pump], [Covering(1, 1, 2), Covering(2, 2, 3)]).steps
    assert (first.part, first.off_first, first.ready) == (pump, (2,), True)
    assert (then.part, then.after, then.ready) == (cover, (3,), False)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Left side cover", "right side cover"), ("front axle", "Rear axle"), ("upper yoke", "lower yoke")],
)
def test_the_two_of_a_pair_do_not_cover_each_other(one: str, other: str) -> None:
    parts = Part(1, one, number=1), Part(2, other, number=2)
    assert likely_cover(parts[1], parts[0], written=False, refused=False, open_questions=0) is None
