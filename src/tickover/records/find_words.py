"""How a text is cut into the words it is found by: “M8 × 40”, “M8 x 40” and “M8x40” are one word.

>>> words("Starter bolts, M8 × 1.25")
['starter', 'bolts', 'm8x1.25']
>>> words("GN / YE, No. H450-31")
['gn/ye', 'no', 'h450-31']
>>> sorted(forms("h450-31")), sorted(forms("gn/ye")), sorted(forms("1/4-20"))
(['h450', 'h450-31', 'h45031'], ['gn', 'gn/ye', 'gnye', 'ye'], ['1/4', '1/4-20', '1420'])
>>> sizes("M8 x 1.25", 0.040), sizes("1/4-20 UNC", 0.01905)
(['m8', 'm8x1.25', 'm8x40', 'm8x1.25x40'], ['1/4', '1/4-20', '1/4x3/4', '1/4-20x3/4'])
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

INCH = 0.0254
LONGEST = 40
"""Letters of a word that are kept."""

_WORD = re.compile(r"[^\W_]+(?:[/.,+-][^\W_]+)*")
_BETWEEN = re.compile(r"[/.,+-]")


def words(text: str) -> list[str]:
    """The words of a text in the order in which they stand, without capitals and accents."""
    plain = unicodedata.normalize("NFKD", text).replace("×", "x").replace("⁄", "/").casefold()
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    plain = re.sub(r"(?<=\d)\s*x\s*(?=\d)", "x", plain)
    plain = re.sub(r"\s*/\s*", "/", plain)
    return [word[:LONGEST] for word in _WORD.findall(plain)]


def compact(text: str) -> str:
    """A name or a mark as one word: “bag 12” is “bag12”."""
    return _BETWEEN.sub("", "".join(words(text)))[:LONGEST]


def forms(word: str) -> set[str]:
    """A word, the same without what stands between its pieces, and those of its pieces that say something alone."""
    if not _BETWEEN.search(word):
        return {word} | ({word.partition("x")[0]} if re.match(r"m\d+x\d", word) else set())
    pieces = [*re.split(r"[-+,]", word), *_BETWEEN.split(word)]
    if re.match(r"m?\d[\d./-]*x\d", word):
        pieces = [word.partition("x")[0]]
    telling = {piece for piece in pieces if len(piece) > 1 and not piece.isdecimal()}
    return {word, _BETWEEN.sub("", word)} | telling


def sizes(thread: str, length: float | None) -> list[str]:
    """What a fastener of a thread and a length in metres is asked for by."""
    written = next((word for word in words(thread) if any(letter.isdecimal() for letter in word)), "")
    if not written:
        return []
    nominal = written.partition("x")[0].partition("-")[0]
    said = list(dict.fromkeys((nominal, written)))
    if length:
        long = f"{length * 1000:.4g}" if nominal.startswith("m") else _inches(length)
        said += [f"{size}x{long}" for size in said if long]
    return said


def _inches(length: float) -> str:
    """A length in inches, by sixteenths; empty where it is none."""
    sixteenths = length / INCH * 16
    return str(Fraction(round(sixteenths), 16)) if abs(sixteenths - round(sixteenths)) < 0.05 else ""
