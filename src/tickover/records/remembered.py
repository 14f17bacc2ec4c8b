"""What was worked out from the records, kept as long as nothing is written.

Every record that is written leaves a line of history, so the newest line stands for the state of all of them. Inside a
transaction nothing is remembered: what is written there may still be taken away. What is loaded without a history
(``writing(kept=False)``) makes all that was remembered void.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Max

T = TypeVar("T")

MOST = 32
_kept: dict[Hashable, tuple[object, Any]] = {}


def as_long_as_nothing_changes(key: Hashable, work: Callable[[], T]) -> T:
    """What ``work`` answers, from memory where the records are still what they were when it last did."""
    from tickover.records.models import ChangeLine

    if connection.in_atomic_block:
        return work()
    state = (connection.settings_dict["NAME"], ChangeLine.objects.aggregate(newest=Max("id"))["newest"])
    known = _kept.get(key)
    if known is not None and known[0] == state:
        answer: T = known[1]
        return answer
    answer = work()
    if len(_kept) >= MOST:
        _kept.clear()
    _kept[key] = (state, answer)
    return answer


def forget() -> None:
    _kept.clear()
