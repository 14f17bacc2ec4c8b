"""A wire's colours as people type them: codes of IEC 60757 or words, the main colour first.

>>> typed_colours("gn-ye"), typed_colours("green with a yellow stripe"), typed_colours(" ")
('GN/YE', 'GN/YE', '')
"""

from __future__ import annotations

import re

from tickover.standards import wire

_WORDS = {word: code for code, (word, _) in wire.COLOURS.items()} | {"gray": "GY", "purple": "VT"}
_BETWEEN = {"with", "and", "a", "stripe", "stripes"}


def typed_colours(typed: str) -> str:
    """The colours in codes, empty where nothing is typed; `BadInput` for one that is unknown."""
    words = [word for word in re.split(r"[\s/,-]+", typed.strip()) if word and word.casefold() not in _BETWEEN]
    if not words:
        return ""
    return "/".join(wire.colours("/".join(_WORDS.get(word.casefold(), word) for word in words)))
