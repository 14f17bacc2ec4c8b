"""The order of job cards, without circles."""

from __future__ import annotations

from collections import defaultdict

from tickover.records.models import JobCard, JobOrder


def makes_a_circle(first: JobCard, then: JobCard) -> bool:
    """Whether ``then`` already has to come before ``first``, directly or through other cards. One query."""
    following: dict[int, list[int]] = defaultdict(list)
    orders = JobOrder.objects.filter(build_id=first.build_id)
    for before, after in orders.values_list("first_id", "then_id"):
        following[before].append(after)
    reached, to_follow = {then.pk}, [then.pk]
    while to_follow:
        for card in following[to_follow.pop()]:
            if card not in reached:
                reached.add(card)
                to_follow.append(card)
    return first.pk in reached
