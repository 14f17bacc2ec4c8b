"""The next free mark: 17 is followed by 18, J3 by J4, W09 by W10, 12a by 12b.

>>> next_mark("17", {"17", "18"})
'19'
>>> next_mark("J3"), next_mark("W09"), next_mark("12a"), next_mark("earth")
('J4', 'W10', '12b', 'earth2')
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable


def next_mark(after: str, taken: Collection[str] = ()) -> str:
    """The mark that continues ``after`` and is not in ``taken``. Leading noughts stay as wide as they are."""
    mark = _follower(after.strip())
    while mark in taken:
        mark = _follower(mark)
    return mark


def first_free(taken: Iterable[str]) -> str:
    """The mark after the highest plain number in ``taken``.

    >>> first_free(["3", "J9", "12"]), first_free([])
    ('13', '1')
    """
    return str(max((int(mark) for mark in taken if mark.isdecimal()), default=0) + 1)


def _follower(mark: str) -> str:
    if number := re.search(r"[0-9]+$", mark):
        figures = number.group()
        return mark[: number.start()] + str(int(figures) + 1).zfill(len(figures))
    if re.search(r"(^|[^A-Za-z])[A-Ya-y]$", mark):
        return mark[:-1] + chr(ord(mark[-1]) + 1)
    return f"{mark}2" if mark else "1"
