"""What must come off before a part can be reached."""

from __future__ import annotations

from collections import defaultdict

from tickover.records.models import Cover, Part


def _coverings(build_id: int) -> dict[int, set[int]]:
    """The numbers of what covers each part directly."""
    over: dict[int, set[int]] = defaultdict(set)
    for cover, covered in Cover.objects.filter(build_id=build_id).values_list("cover_id", "covered_id"):
        over[covered].add(cover)
    return over


def _in_order(number: int, over: dict[int, set[int]]) -> list[int]:
    """The numbers of all that covers a part, a cover's own covers before it."""
    order: list[int] = []
    seen: set[int] = {number}
    waiting = [(number, iter(sorted(over.get(number, ()))))]
    while waiting:
        number, covers = waiting[-1]
        following = next((cover for cover in covers if cover not in seen), None)
        if following is None:
            waiting.pop()
            order.append(number)
        else:
            seen.add(following)
            waiting.append((following, iter(sorted(over.get(following, ())))))
    return order[:-1]


def to_reach(part: Part) -> list[Part]:
    """All that covers a part, directly or through another cover, in the order in which it comes off."""
    order = _in_order(part.pk, _coverings(part.build_id))
    parts = Part.objects.in_bulk(order)
    return [parts[number] for number in order]


def all_to_reach(build_id: int) -> dict[int, list[Part]]:
    """The same for every part of a build that is covered, by its number; two queries."""
    over = _coverings(build_id)
    parts = Part.objects.in_bulk({cover for covers in over.values() for cover in covers})
    return {covered: [parts[number] for number in _in_order(covered, over)] for covered in over}


def makes_a_circle(cover: Part, covered: Part) -> bool:
    """Whether ``covered`` already has to come off before ``cover`` can be reached."""
    return cover == covered or covered in to_reach(cover)
