"""What was worked out from the records, kept as long as nothing is written.

Every record that is written leaves a line of history, so the newest line stands for the state of all of them. Inside a
transaction nothing is remembered: what is written there may still be taken away. What is loaded without a history
(``writing(kept=False)``) makes all that was remembered void.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from django.db import connection

T = TypeVar("T")

MOST = 200
_kept: dict[Hashable, tuple[object, Any]] = {}


def as_long_as_nothing_changes(key: Hashable, work: Callable[[], T]) -> T:
    """What ``work`` answers, from memory where the records are still what they were when it last did."""
    if connection.in_atomic_block:
        return work()
    with connection.cursor() as cursor:
        cursor.execute("SELECT max(id) FROM records_changeline")
        state = (connection.settings_dict["NAME"], cursor.fetchone()[0])
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
