"""Names that were written freely, held against the plain words of a template."""

from __future__ import annotations

import re
from collections.abc import Iterable

_WORD = re.compile(r"[^\W_]+")


def words(name: str) -> list[str]:
    """The words of a name without case and without the plural's s.

    >>> words("Exhaust valves, left (2)")
    ['exhaust', 'valve', 'left', '2']
    """
    return [_singular(word) for word in _WORD.findall(name.casefold())]


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def fits(wanted: str, name: str) -> bool:
    """Whether all words that are wanted stand in the name; ``a|b`` is one or the other.

    >>> fits("wheel bearing", "rear wheel bearings"), fits("wheel bearing", "rear wheel")
    (True, False)
    >>> fits("clutch plate|friction plate", "friction plates")
    True
    """
    there = set(words(name))
    return any((found := set(words(one))) and found <= there for one in wanted.split("|"))


def is_one(wanted: str, name: str) -> bool:
    """Whether the name is one of what is wanted: its last words are those, whatever stands before.

    >>> is_one("carburettor", "left carburettor"), is_one("carburettor", "carburettor rubbers")
    (True, False)
    """
    there = words(name)
    return any((last := words(one)) and there[-len(last) :] == last for one in wanted.split("|"))


def nearest(wanted: str, names: Iterable[str]) -> str | None:
    """The name that fits with the fewest words too many; the first of equals, None where none fits.

    >>> nearest("ring gap top", ["ring gap, second ring", "ring gap, top ring", "ring gap, top ring, new"])
    'ring gap, top ring'
    """
    fitting = [name for name in names if fits(wanted, name)]
    return min(fitting, key=lambda name: len(words(name)), default=None)
