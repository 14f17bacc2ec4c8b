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


def to_reach(part: Part) -> list[Part]:
    """All that covers a part, directly or through another cover, in the order in which it comes off."""
    over = _coverings(part.build_id)
    order: list[int] = []
    seen: set[int] = {part.pk}
    waiting = [(part.pk, iter(sorted(over[part.pk])))]
    while waiting:  # depth first: a cover's own covers come before it
        number, covers = waiting[-1]
        following = next((cover for cover in covers if cover not in seen), None)
        if following is None:
            waiting.pop()
            order.append(number)
        else:
            seen.add(following)
            waiting.append((following, iter(sorted(over[following]))))
    parts = Part.objects.in_bulk(order[:-1])
    return [parts[number] for number in order[:-1]]


def makes_a_circle(cover: Part, covered: Part) -> bool:
    """Whether ``covered`` already has to come off before ``cover`` can be reached."""
    return cover == covered or covered in to_reach(cover)
