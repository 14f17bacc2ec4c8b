"""Job card templates: the usual jobs of such a build, in ``data/cards/*.toml``, and the baths of ``data/bath.toml``.

A template that is done to each of several things (a bowl, a wheel, a cylinder) has ``{each}`` in its steps and
readings; such a line is written once for every one that the builder names.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tickover.chapters import cautions as usual
from tickover.units import BadInput

DATA = Path(__file__).parent / "data"
MOST = 12
"""No bike has more of one thing than this that a card would name one by one."""


@dataclass(frozen=True, slots=True)
class PartWanted:
    """A part by the words of its name, and whether the job ``fits`` it or ``needs`` it at hand."""

    name: str
    role: str


@dataclass(frozen=True, slots=True)
class ReadingWanted:
    """A reading without which the card is not signed off; ``limit`` are the words of its limit's name."""

    name: str
    dimension: str
    limit: str


@dataclass(frozen=True, slots=True)
class Bath:
    """One row of the table of ultrasonic baths."""

    material: str
    dilution: str
    temperature: str
    minutes: str
    mind: str
    source: str

    def __str__(self) -> str:
        return f"{self.material}: {self.dilution}, {self.temperature}, {self.minutes}. {self.mind}"


@dataclass(frozen=True, slots=True)
class CardTemplate:
    """A job card before it is written: everything that is not of one bike."""

    id: str
    title: str
    chapter: str
    needed_for: str
    why: str
    tools: str
    consumables: str
    caution: str
    hours: float
    each: str
    each_usual: str
    steps: tuple[str, ...]
    readings: tuple[ReadingWanted, ...]
    parts: tuple[PartWanted, ...]

    def steps_for(self, each: Sequence[str]) -> list[str]:
        """The steps, those with ``{each}`` once for every name in ``each``."""
        return [line for step in self.steps for line in _spread(step, each)]

    def readings_for(self, each: Sequence[str]) -> list[ReadingWanted]:
        """The readings, those with ``{each}`` once for every name in ``each``."""
        return [
            ReadingWanted(name[0].lower() + name[1:], reading.dimension, reading.limit)
            for reading in self.readings
            for name in _spread(reading.name, each)
        ]


def _spread(line: str, each: Sequence[str]) -> list[str]:
    if "{each}" not in line:
        return [line]
    found = [" ".join(line.replace("{each}", name).split()).replace(" ,", ",") for name in each]
    return [text[0].upper() + text[1:] for text in found]


def names_of(typed: str, what: str = "one") -> list[str]:
    """What a builder types for “which ones”: names with commas between, or how many there are.

    >>> names_of("left, right"), names_of("2"), names_of("3"), names_of("1")
    (['left', 'right'], ['left', 'right'], ['no. 1', 'no. 2', 'no. 3'], [''])
    """
    typed = typed.strip()
    if typed.isdecimal():
        count = int(typed)
        if not 1 <= count <= MOST:
            raise BadInput(f"“{typed}” is no number of them; write 1 to {MOST}, or their names with commas between.")
        return [""] if count == 1 else ["left", "right"] if count == 2 else [f"no. {n}" for n in range(1, count + 1)]
    names = [name for part in typed.split(",") if (name := " ".join(part.split()))]
    if not names:
        raise BadInput(f"Name each {what}, such as “left, right”, or write how many there are.")
    if len(names) > MOST or len(set(names)) < len(names) or max(map(len, names)) > 40:
        raise BadInput(f"Write each {what} once, with a short name, and at most {MOST} of them.")
    return names


@cache
def all_templates() -> dict[str, CardTemplate]:
    """Every template by its id, in the order of the files and of their lines."""
    found: dict[str, CardTemplate] = {}
    for path in sorted((DATA / "cards").glob("*.toml")):
        for card in tomllib.loads(path.read_text("utf-8"))["card"]:
            template = _template(card)
            if template.id in found:
                raise BadInput(f"{path.name}: two templates are called “{template.id}”; give each its own id.")
            found[template.id] = template
    return found


def get(template_id: str) -> CardTemplate:
    """The template of this id; `BadInput` where there is none."""
    found = all_templates().get(template_id)
    if found is None:
        raise BadInput(f"There is no template “{template_id}”; there is {', '.join(all_templates())}.")
    return found


@cache
def baths() -> tuple[Bath, ...]:
    """The table of ultrasonic baths, by material."""
    told = tomllib.loads((DATA / "bath.toml").read_text("utf-8"))
    return tuple(Bath(**row) for row in told["bath"])


def _template(card: dict[str, Any]) -> CardTemplate:
    sentences = [getattr(usual, name) for name in card.get("cautions", ())]
    if "caution" in card:
        sentences.append(card["caution"])
    table = "\n".join(f"– {bath}" for bath in baths())
    return CardTemplate(
        id=card["id"],
        title=card["title"],
        chapter=card["chapter"],
        needed_for=card.get("needed_for", ""),
        why=card["why"],
        tools=card["tools"],
        consumables=card["consumables"],
        caution=_once(" ".join(sentences)),
        hours=float(card["hours"]),
        each=card.get("each", ""),
        each_usual=card.get("each_usual", ""),
        steps=tuple(step.replace("{bath}", table) for step in card["steps"]),
        readings=tuple(
            ReadingWanted(one["name"], one.get("dimension", "length"), one.get("limit", ""))
            for one in card.get("readings", ())
        ),
        parts=tuple(PartWanted(name, role) for role in ("fits", "needs") for name in card.get(role, ())),
    )


def _once(text: str) -> str:
    """The text with the sentence about approval standing once, at its end, and about the card."""
    if usual.NO_APPROVAL not in text:
        return text
    without = " ".join(text.replace(usual.NO_APPROVAL, "").split())
    return f"{without} {usual.NO_APPROVAL.replace('This result', 'This card')}"
