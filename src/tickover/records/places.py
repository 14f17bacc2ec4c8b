"""Which place stands in which, and what lies in a place and in all that it holds."""

from __future__ import annotations

import re
from functools import cached_property

from django.db.models import Count

from tickover.records.models import FastenerSet, LooseCount, Part, Store
from tickover.records.remembered import as_long_as_nothing_changes

Kept = Part | FastenerSet | LooseCount
KEPT: tuple[type[Kept], ...] = (Part, FastenerSet, LooseCount)
"""What can lie in a place."""


def as_counted(mark: str) -> list[tuple[int, int, str]]:
    """Sorts marks in the order in which they are counted.

    >>> sorted(["10a", "J2", "10", "9"], key=as_counted)
    ['9', '10', '10a', 'J2']
    """
    pieces = re.findall(r"[0-9]{1,18}|[^0-9]+", mark.casefold())
    return [(0, int(piece), "") if piece[0] in "0123456789" else (1, 0, piece) for piece in pieces]


class Places:
    """The places of one build, read once: names, what each stands in, what each holds."""

    def __init__(self, build_id: int) -> None:
        rows = Store.objects.filter(build=build_id).values_list("pk", "name", "mark", "inside")
        self.inside: dict[int, int | None] = {}
        self.called: dict[int, str] = {}
        self.short: dict[int, str] = {}
        self.holds: dict[int | None, list[int]] = {}
        for number, name, mark, inside in sorted(rows, key=lambda row: (as_counted(row[2] or row[1]), row[0])):
            self.inside[number] = inside
            self.called[number] = f"{mark} ({name})" if mark and mark != name else name
            self.short[number] = mark or name
            self.holds.setdefault(inside, []).append(number)

    def within(self, place: int) -> list[int]:
        """The numbers of a place and of all that stands in it, each before what it holds."""
        found: list[int] = []
        seen: set[int] = set()
        waiting = [place]
        while waiting:
            number = waiting.pop()
            if number not in seen:
                seen.add(number)
                found.append(number)
                waiting.extend(reversed(self.holds.get(number, [])))
        return found

    def path(self, place: int) -> list[int]:
        """The numbers of all that a place stands in, the outermost first, and its own."""
        numbers: list[int] = []
        at: int | None = place
        while at is not None and at not in numbers:
            numbers.insert(0, at)
            at = self.inside.get(at)
        return numbers

    def says(self, place: int, below: int | None = None) -> str:
        """“shelf B › box 5”; ``below`` leaves out that place and all that it stands in."""
        path = self.path(place)
        if below in path:
            path = path[path.index(below) + 1 :]
        return " › ".join(self.short[number] for number in path if number in self.short)

    @cached_property
    def lying(self) -> dict[type[Kept], dict[int, int]]:
        """How many things of each kind lie in each place itself; read from the indexes alone."""
        return {
            model: dict(
                model._default_manager.filter(place__isnull=False)
                .order_by()
                .values_list("place")
                .annotate(count=Count("pk"))
            )
            for model in KEPT
        }

    @cached_property
    def counts(self) -> tuple[dict[int, int], dict[int, int]]:
        """How many things lie in each place itself, and with all that it holds."""
        here = {number: sum(lying.get(number, 0) for lying in self.lying.values()) for number in self.inside}
        within = dict(here)
        for root in self.holds.get(None, []):
            for number in reversed(self.within(root)):
                outer = self.inside[number]
                if outer is not None:
                    within[outer] += within[number]
        return here, within


def places_of(build_id: int) -> Places:
    """All places of a build, read anew when something was written."""
    return as_long_as_nothing_changes((build_id, "places"), lambda: Places(build_id))


def by_mark(build_id: int, typed: str) -> list[Store]:
    """Places by what is written on them or by their name: the exact mark first, at most 30."""
    words = " ".join(typed.split())
    if not words:
        return []
    places = Store.objects.filter(build=build_id).select_related("inside")
    exact = list(places.filter(mark__iexact=words)[:30]) or list(places.filter(name__iexact=words)[:30])
    known = {place.pk for place in exact}
    for word in words.split():
        places = places.filter(mark__icontains=word) | places.filter(name__icontains=word)
    return exact + [place for place in places.distinct()[:30] if place.pk not in known]


def is_mark(place: Store, typed: str) -> bool:
    """Whether this very mark or name was typed."""
    words = " ".join(typed.split()).casefold()
    return words in (place.mark.casefold(), place.name.casefold())
