"""One search over everything that is written down, forgiving of how it is typed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

from django.db import connection
from django.db.models import Max, Q
from rapidfuzz import fuzz, process

from tickover.records.find_index import BY_MODEL, BY_NUMBER, KINDS, KINDS_MOST, Kind, Words, words_of
from tickover.records.find_words import compact, words
from tickover.records.models import Balloon, Build, FastenerSet, Part, Photo, Record, Store, WireTag

MOST = 24
"""As many are shown."""
LOOKED_AT = 80
"""Records that are weighed against each other, for each way of asking."""
ENOUGH = 8
"""With fewer that hold what was typed, the nearest other words are looked for as well."""
NEAR = 80
"""Likeness in per cent from which a word may be a mistyped other one."""
NEAR_WITH_FIGURES = 88
"""The same for words that hold figures: part numbers and sizes."""
MOST_SPELLINGS = 6
HOLDS_MORE = 8
"""Letters by which a word that holds another may be longer."""
SAYS_NOTHING = {"the", "of", "a", "an", "in", "on", "and", "for", "to"}

BESIDE = {
    "part": ("place__inside",),
    "fastenerset": ("place__inside", "holds"),
    "loosecount": ("place__inside",),
    "store": ("inside__inside",),
    "reading": ("part",),
    "limit": ("part",),
}


@dataclass(frozen=True)
class Found:
    """A record, a photo that points at it, where it is kept, and what of the words typed stands otherwise in it."""

    record: Record
    kind: str
    photo: Photo | None
    place: Store | None
    differs: str


@dataclass(frozen=True)
class Asked:
    """One reading of what was typed: for each word those on record that it may be, with their likeness (0 to 1)."""

    typed: tuple[str, ...]
    may_be: tuple[dict[str, float], ...]
    every: bool = True

    @cached_property
    def whole(self) -> str:
        """All of it as one word."""
        return compact(" ".join(self.typed))


def find(build: Build, typed: str, *, among: Sequence[type[Record]] = (), most: int = MOST) -> list[Found]:
    """The records nearest to what was typed, the nearest first, of all kinds together.

    Those in which every word stands come first; where they are few, those follow in which the words nearest to the
    ones typed stand; where there are none, those that hold some of the words. “tag 17” finds the wire tag of that mark.
    With ``among``, only records of these kinds are meant.
    """
    kinds = tuple(BY_MODEL[model] for model in among)
    typed_words = tuple(word for word in words(typed) if word not in SAYS_NOTHING)[:8] or tuple(words(typed)[:8])
    if not typed_words:
        return []
    best: dict[tuple[Kind, int], tuple[float, str]] = {}
    for enough, way in _ways(typed_words):
        if len(best) < enough:
            for asked in way():
                for key, kept in _candidates(build, asked, kinds):
                    near = _near(asked, kept)
                    if near[0] > best.get(key, (0.0, ""))[0]:
                        best[key] = near
    order = sorted(best.items(), key=lambda item: (-round(item[1][0], 1), item[0][0].number, -item[1][0], item[0][1]))
    return _shown(build, [(*key, differs) for key, (_, differs) in order[:most]])


def _ways(typed: tuple[str, ...]) -> Iterator[tuple[int, Callable[[], list[Asked]]]]:
    """As it was typed; with the nearest words on record; with some of the words only. Each where too few were found."""
    yield 1, lambda: [Asked(typed, tuple({word: 1.0} for word in typed))]
    yield ENOUGH, lambda: [asked for asked in _spelt_otherwise(typed) if all(asked.may_be)]
    yield (1 if len(typed) > 1 else 0), lambda: [replace(_spelt_otherwise(typed)[0], every=False)]


def _spelt_otherwise(typed: tuple[str, ...]) -> list[Asked]:
    """The words with those on record that they may be; and the same with two that follow each other made one."""
    spellings = [typed]
    spellings += [(*typed[:at], typed[at] + typed[at + 1], *typed[at + 2 :]) for at in range(len(typed) - 1)]
    nearest = _nearest(list(dict.fromkeys(chain(*spellings))))
    return [Asked(spelling, tuple(nearest[word] for word in spelling)) for spelling in spellings]


def _nearest(typed: list[str]) -> dict[str, dict[str, float]]:
    """For each word typed, the words on record that it may be. Two queries."""
    nearest = {word: {word: 1.0} for word in typed}
    for plain in (True, False):
        longer = [word for word in typed if len(word) > 3 and word.isalpha() == plain]
        if not longer or connection.vendor != "sqlite":
            continue
        sizes = (min(map(len, longer)) - 2, max(map(len, longer)) + (HOLDS_MORE if plain else 1))
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT word FROM records_find_word WHERE plain = %s AND size BETWEEN %s AND %s", [plain, *sizes]
            )
            known = [row[0] for row in cursor.fetchall()]
        for word in longer:
            nearest[word] |= _like(word, known, NEAR if plain else NEAR_WITH_FIGURES) | nearest[word]
    return nearest


def _like(word: str, known: list[str], near: float) -> dict[str, float]:
    """Words that are written nearly like ``word``, and words that hold it."""
    spread = 1 if len(word) < 6 else 2
    holding = [other for other in known if word in other and not other.startswith(word)][:MOST_SPELLINGS]
    like = process.extract(word, known, scorer=fuzz.ratio, score_cutoff=near, limit=MOST_SPELLINGS)
    return dict.fromkeys(holding, 0.85) | {
        other: score / 100 for other, score, _ in like if abs(len(other) - len(word)) <= spread
    }


# -- candidates ------------------------------------------------------------------------------------------------


def _candidates(build: Build, asked: Asked, kinds: Sequence[Kind]) -> Iterable[tuple[tuple[Kind, int], Words]]:
    return (_from_the_index if connection.vendor == "sqlite" else from_the_records)(build, asked, kinds)


def _from_the_index(build: Build, asked: Asked, kinds: Sequence[Kind]) -> Iterator[tuple[tuple[Kind, int], Words]]:
    """Records that may be meant: those of this very name, those with the words in it, those with them at all."""
    together = (" AND " if asked.every else " OR ").join(_term(may_be) for may_be in asked.may_be)
    wholes = " OR ".join(f'"{whole}"' for whole in sorted(_wholes(asked)))
    only = f" AND rowid %% {KINDS_MOST} IN ({', '.join(str(kind.number) for kind in kinds)})" if kinds else ""
    seen: set[int] = set()
    with connection.cursor() as cursor:
        for match in (f"whole : ({wholes})", f"name : ({together})", f"{{name beside}} : ({together})"):
            cursor.execute(
                "SELECT rowid, whole, name, beside FROM records_find"
                f" WHERE records_find MATCH %s AND build = %s{only} LIMIT %s",
                [match, build.pk, LOOKED_AT],
            )
            for row, whole, name, beside in cursor.fetchall():
                if row not in seen:
                    seen.add(row)
                    number, kind = divmod(row, KINDS_MOST)
                    yield (BY_NUMBER[kind], number), Words(build.pk, whole, name, beside)


def _wholes(asked: Asked) -> set[str]:
    likeliest = [max(may_be, key=lambda word: may_be[word]) for may_be in asked.may_be]
    return {asked.whole, compact(" ".join(likeliest))}


def _term(may_be: dict[str, float]) -> str:
    said = [f'"{word}"*' if _may_go_on(word) else f'"{word}"' for word in may_be]
    return f"({' OR '.join(said)})"


def _may_go_on(word: str) -> bool:
    """Whether the beginning of a word is enough: “carb” finds a carburettor, but “1” is not tag 17."""
    return len(word) > 1 and not word.isdecimal()


def from_the_records(
    build: Build, asked: Asked, kinds: Sequence[Kind] = ()
) -> Iterator[tuple[tuple[Kind, int], Words]]:
    """The same where there is no full-text table: the records that hold the words, else those that hold pieces."""
    for kind in kinds or KINDS:
        rows = kind.model._default_manager.filter(build=build)
        paths = (*kind.paths, *(path for path in kind.needs if path != "length"))
        every = Q()
        some = Q()
        for word in asked.typed:
            pieces = {word} if len(word) < 5 else {word[:4], word[-4:]}
            every &= _anywhere(paths, {word, word.partition("x")[0]} if any(map(str.isdecimal, word)) else {word})
            some |= _anywhere(paths, pieces)
        numbers = list(rows.filter(every).order_by("pk").values_list("pk", flat=True).distinct()[:LOOKED_AT])
        if not numbers:
            numbers = list(rows.filter(some).order_by("pk").values_list("pk", flat=True).distinct()[:LOOKED_AT])
        for number, kept in words_of(kind, kind.model._default_manager.filter(pk__in=numbers)).items():
            yield (kind, number), kept


def _anywhere(paths: Iterable[str], texts: set[str]) -> Q:
    held = Q()
    for path in paths:
        for text in texts:
            held |= Q(**{f"{path}__icontains": text})
    return held


# -- how near --------------------------------------------------------------------------------------------------


def _near(asked: Asked, kept: Words) -> tuple[float, str]:
    """How near a record is to what was asked, and what differs; (0, "") where it is not meant."""
    name, beside = f" {kept.name} {kept.whole} ", f" {kept.beside} "
    total = 0.0
    otherwise: list[str] = []
    lacking: list[str] = []
    for typed, may_be in zip(asked.typed, asked.may_be, strict=True):
        near, word = max((_stands_in(word, name, beside) * like, word) for word, like in may_be.items())
        if not near and connection.vendor != "sqlite":
            near, word = _by_likeness(typed, [*name.split(), *beside.split()])
        total += near
        if not near:
            lacking.append(typed)
        elif may_be.get(word, 0.0) < 1.0:
            otherwise.append(f"“{word}”, not “{typed}”")
    if not total or (lacking and asked.every):
        return 0.0, ""
    wholes = kept.whole.split()
    own_name = 1.0 if asked.whole in wholes else 0.0
    likeness = max((fuzz.ratio(asked.whole, whole) for whole in wholes), default=0.0) / 100
    said = otherwise + ([f"without “{' '.join(lacking)}”"] if lacking else [])
    return total / len(asked.typed) + own_name + 0.5 * likeness, "; ".join(said)


def _stands_in(word: str, name: str, beside: str) -> float:
    """1 as a word of the name, less as the beginning of one, less again outside the name."""
    for worth, stands in ((1.0, name), (0.55, beside)):
        if f" {word} " in stands:
            return worth
        if _may_go_on(word) and f" {word}" in stands:
            return 0.85 * worth
    return 0.0


def _by_likeness(typed: str, stands: list[str]) -> tuple[float, str]:
    like = process.extractOne(typed, stands, scorer=fuzz.ratio, score_cutoff=NEAR) if len(typed) > 3 else None
    return (like[1] / 150, like[0]) if like else (0.0, typed)


# -- what is shown ---------------------------------------------------------------------------------------------


def _shown(build: Build, order: list[tuple[Kind, int, str]]) -> list[Found]:
    by_kind: dict[Kind, list[int]] = defaultdict(list)
    for kind, number, _ in order:
        by_kind[kind].append(number)
    records: dict[tuple[Kind, int], Record] = {}
    for kind, numbers in by_kind.items():
        rows = kind.model._default_manager.select_related(*BESIDE.get(kind.model._meta.model_name or "", ()))
        for record in rows.filter(pk__in=numbers).order_by():
            if record.build_id == build.pk:
                record.build = build
                records[kind, record.pk] = record
    photos = _photos(records.values())
    shown = []
    for kind, number, differs in order:
        record = records.get((kind, number))
        if record is not None:
            place = getattr(record, "inside" if isinstance(record, Store) else "place", None)
            photo = record if isinstance(record, Photo) else photos.get((type(record), number))
            shown.append(Found(record, str(kind.model._meta.verbose_name), photo, place, differs))
    return shown


def _photos(records: Iterable[Record]) -> dict[tuple[type[Record], int], Photo]:
    """The newest photo with a balloon at each record."""
    of_kind: dict[type[Record], list[int]] = defaultdict(list)
    for record in records:
        of_kind[type(record)].append(record.pk)
    newest: dict[tuple[type[Record], int], int] = {}
    for model, link in ((Part, "part"), (FastenerSet, "fasteners"), (WireTag, "tag"), (Store, "place")):
        if of_kind[model]:
            rows = Balloon.objects.filter(**{f"{link}__in": of_kind[model]}).order_by()
            for number, photo in rows.values_list(link).annotate(Max("photo")):
                newest[model, number] = photo
    photos = Photo.objects.in_bulk(set(newest.values()))
    return {key: photos[number] for key, number in newest.items()}
