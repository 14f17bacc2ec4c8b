"""What must come off first, against an independent library of graphs."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.records.access import _in_order, all_to_reach, makes_a_circle, to_reach
from tickover.records.models import Build, Cover, Part

COVERS = st.lists(st.tuples(st.integers(0, 14), st.integers(0, 14)).filter(lambda pair: pair[0] < pair[1]))
"""Pairs (cover, covered); a lower number covers a higher one, so nothing goes round in a circle."""


def _over(covers: list[tuple[int, int]]) -> dict[int, set[int]]:
    over: dict[int, set[int]] = {}
    for cover, covered in covers:
        over.setdefault(covered, set()).add(cover)
    return over


@given(COVERS, st.integers(0, 14))
def test_everything_above_comes_off_once_and_covers_before_what_they_cover(
    covers: list[tuple[int, int]], part: int
) -> None:
    graph = nx.DiGraph(covers)
    graph.add_node(part)
    order = _in_order(part, _over(covers))
    assert sorted(order) == sorted(nx.ancestors(graph, part))
    place = {number: index for index, number in enumerate(order)}
    assert all(place[a] < place[b] for a, b in covers if a in place and b in place)


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6))), st.integers(0, 6))
def test_covers_that_go_round_in_a_circle_still_end(covers: list[tuple[int, int]], part: int) -> None:
    graph = nx.DiGraph(covers)
    graph.add_node(part)
    assert set(_in_order(part, _over(covers))) == nx.ancestors(graph, part) - {part}


@pytest.mark.django_db
def test_the_same_from_the_records() -> None:
    build = Build(name="Penhallow Heron 450")
    build.save()
    seat, tank, box, coil = (Part(build=build, name=name) for name in ("seat", "tank", "airbox", "coil"))
    for part in (seat, tank, box, coil):
        part.save()
    for cover, covered in ((seat, tank), (tank, coil), (seat, box)):
        Cover(build=build, cover=cover, covered=covered).save()
    assert to_reach(coil) == [seat, tank]
    assert to_reach(seat) == []
    assert all_to_reach(build.pk) == {tank.pk: [seat], coil.pk: [seat, tank], box.pk: [seat]}
    assert makes_a_circle(coil, seat)
    assert makes_a_circle(coil, coil)
    assert not makes_a_circle(box, coil)
