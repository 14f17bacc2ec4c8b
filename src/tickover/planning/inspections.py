"""Patterns of inspections, in ``data/inspections.toml``: the places that are read, and what is worked out from them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from tickover.planning.card_templates import DATA
from tickover.units import BadInput


def spread(form: str, each: str) -> str:
    """A place's name for one of the things that are inspected.

    >>> spread("{each} bore, top", "left"), spread("{each} bore, top", "")
    ('left bore, top', 'bore, top')
    """
    return re.sub(r"\s+,", ",", " ".join(form.replace("{each}", each).split()))


@dataclass(frozen=True)
class Group:
    """Places that share a limit, a kind of part and the instruments that can read them."""

    limit: str
    dimension: str
    part: str
    read_with: tuple[str, ...]
    card: str
    places: tuple[str, ...]

    @cached_property
    def _names(self) -> re.Pattern[str]:
        forms = (".*".join(re.escape(piece.strip()) for piece in place.split("{each}")) for place in self.places)
        return re.compile("|".join(forms), re.IGNORECASE)

    def has(self, name: str) -> bool:
        """Whether a line of this name is one of these places, whatever it was spread over."""
        return self._names.fullmatch(name.strip()) is not None


@dataclass(frozen=True, slots=True)
class Derived:
    """What a sheet works out from the places: input to place, and input to the limit's words and its bound."""

    sheet: str
    name: str
    inputs: dict[str, str]
    limits: dict[str, tuple[str, str]]

    def each_of(self, names: Iterable[str]) -> list[str]:
        """For which things all places stand among these names of lines.

        >>> shape = all_patterns()["bores"].derived[0]
        >>> shape.each_of(spread(place, "left") for place in shape.inputs.values())
        ['left']
        """
        there = {name.casefold() for name in names}
        first = next(iter(self.inputs.values()))
        pieces = [re.escape(piece.strip()) for piece in first.split("{each}")]
        form = re.compile(r"\s*(.*?)\s*".join(pieces), re.IGNORECASE)
        eachs = [match[1] if match.groups() else "" for name in sorted(there) if (match := form.fullmatch(name))]
        return [
            each for each in eachs if all(spread(place, each).casefold() in there for place in self.inputs.values())
        ]


@dataclass(frozen=True, slots=True)
class Pattern:
    """One kind of inspection."""

    id: str
    title: str
    chapter: str
    says: str
    each: str
    each_usual: str
    groups: tuple[Group, ...]
    derived: tuple[Derived, ...]

    def places(self, each: Sequence[str]) -> list[tuple[Group, str, str]]:
        """Every place in the order it is read, one thing after the other: its group, its name, what it is on."""
        rows: list[tuple[Group, str, str]] = []
        for number, one in enumerate(each):
            for group in self.groups:
                for place in group.places:
                    if "{each}" in place or number == 0:
                        rows.append((group, spread(place, one), one))
        return rows


@cache
def all_patterns() -> dict[str, Pattern]:
    """Every pattern by its id, in the order of the file."""
    told = tomllib.loads((DATA / "inspections.toml").read_text("utf-8"))
    return {one["id"]: _pattern(one) for one in told["inspection"]}


def get(pattern_id: str) -> Pattern:
    """The pattern of this id; `BadInput` where there is none."""
    found = all_patterns().get(pattern_id)
    if found is None:
        raise BadInput(f"There is no inspection “{pattern_id}”; there is {', '.join(all_patterns())}.")
    return found


def group_of(name: str) -> Group | None:
    """The group that a place of this name belongs to, or None where the place was named by hand.

    >>> group_of("left bore, top, across").limit
    'cylinder bore'
    >>> group_of("play of the kickstarter") is None
    True
    """
    for pattern in all_patterns().values():
        for group in pattern.groups:
            if group.has(name):
                return group
    return None


def _pattern(told: dict[str, Any]) -> Pattern:
    return Pattern(
        id=told["id"],
        title=told["title"],
        chapter=told["chapter"],
        says=told["says"],
        each=told.get("each", ""),
        each_usual=told.get("each_usual", "1"),
        groups=tuple(
            Group(
                limit=one["limit"],
                dimension=one.get("dimension", "length"),
                part=one["part"],
                read_with=tuple(one["read_with"]),
                card=one.get("card", ""),
                places=tuple(one["places"]),
            )
            for one in told["group"]
        ),
        derived=tuple(
            Derived(
                sheet=one["sheet"],
                name=one["name"],
                inputs=dict(one["inputs"]),
                limits={name: (words, bound) for name, (words, bound) in one.get("limits", {}).items()},
            )
            for one in told.get("derived", ())
        ),
    )
