"""What a plan is made from: jobs, parts and joints as plain data. Records are turned into these elsewhere.

Ids are whole numbers, each kind with its own. Hours are hours of work; ``None`` is not guessed yet.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tickover.units import BadInput

MILESTONES = ("first start", "rolling chassis", "road-ready")
"""Milestones of a build, the first one first."""

ASSUMED_HOURS = 1.0
"""Taken for a job whose hours nobody has guessed, only to put jobs in order."""


def rank(milestone: str) -> int:
    """Place of a milestone in the order of a build; `BadInput` for a word that is none.

    >>> rank("rolling chassis")
    1
    """
    if milestone not in MILESTONES:
        raise BadInput(f"“{milestone}” is no milestone; the milestones are {', '.join(MILESTONES)}.")
    return MILESTONES.index(milestone)


@dataclass(frozen=True, slots=True)
class Buy:
    """Something bought for a job or a part: ``state`` is to order, on order or arrived."""

    id: int
    what: str
    state: str
    expected: date | None = None

    @property
    def open(self) -> bool:
        return self.state != "arrived"

    @property
    def says(self) -> str:
        """How it stands, in one sentence without its stop."""
        if self.state == "to order":
            return f"“{self.what}” is not ordered yet"
        if self.state == "arrived":
            return f"“{self.what}” has arrived"
        when = f", expected {self.expected.day} {self.expected:%b %Y}" if self.expected else ""
        return f"“{self.what}” is on order{when}"


@dataclass(frozen=True, slots=True)
class After:
    """The job with this id must be signed off first."""

    job: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class ReadingNeeded:
    """A reading without which a job is not signed off; ``part`` is the part it is taken on."""

    name: str
    taken: bool = False
    verdict: str | None = None
    part: int | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """One job card. It puts its ``fits`` on the bike ready to use; its ``needs`` must be at hand or on."""

    id: int
    title: str
    chapter: str = ""
    hours: float | None = None
    needed_for: str = ""
    signed_off: bool = False
    fits: tuple[int, ...] = ()
    needs: tuple[int, ...] = ()
    after: tuple[After, ...] = ()
    readings: tuple[ReadingNeeded, ...] = ()
    buys: tuple[Buy, ...] = ()

    @property
    def hours_for_order(self) -> float:
        return ASSUMED_HOURS if self.hours is None else self.hours


@dataclass(frozen=True, slots=True)
class Part:
    """A part; ``covered_by`` are the parts that must come off before it can be reached."""

    id: int
    name: str
    needed_for: str = ""
    now: str = "in stores"
    condition: str = "good"
    to_do: str = "refit"
    lash_up: bool = False
    covered_by: tuple[int, ...] = ()
    buys: tuple[Buy, ...] = ()
    place: str = ""

    @property
    def on(self) -> bool:
        return self.now in ("on the bike", "fitted")

    @property
    def fit_for_use(self) -> bool:
        """On the bike, and not to be replaced or mended first. What was fitted was fitted ready to use."""
        if self.now == "fitted":
            return True
        return self.on and self.condition not in ("damaged", "missing") and self.to_do not in ("replace", "make")


@dataclass(frozen=True, slots=True)
class Joint:
    """A fastener set that ``holds`` a part; ``state`` is apart, finger-tight, torqued or witness-marked."""

    id: int
    name: str
    state: str
    holds: int | None = None

    @property
    def loose(self) -> bool:
        return self.state in ("apart", "finger-tight")


def the(name: str) -> str:
    """A part's name inside a sentence.

    >>> the("Left side cover"), the("TDC mark plug")
    ('the left side cover', 'the TDC mark plug')
    """
    plain = name[:1].lower() + name[1:] if name[1:2].islower() or name[1:2] == " " else name
    return f"the {plain}"


def and_(names: list[str], last: str = "and") -> str:
    """Names in a row; the same name stands once.

    >>> and_(["the fork", "the yokes", "the stem"]), and_(["the fork", "the stem"], "or")
    ('the fork, the yokes and the stem', 'the fork or the stem')
    """
    once = list(dict.fromkeys(names))
    return once[0] if len(once) == 1 else f"{', '.join(once[:-1])} {last} {once[-1]}"
