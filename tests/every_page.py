"""Every page of the workshop that a builder can open, worked out from the addresses themselves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.urls import URLPattern, URLResolver, get_resolver, reverse

NOT_PAGES = {
    "photo_file", "photo_preview", "photo_original", "loom_document", "loom_solved",
    "labels_pdf", "labels_preview", "store_holds",
}  # fmt: skip
"""Addresses that answer with a picture, a file or a piece of a page."""


def patterns(resolver: URLResolver | None = None) -> Iterator[URLPattern]:
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            yield from patterns(pattern)
        else:
            yield pattern


def every_page(records: Mapping[str, int]) -> dict[str, str]:
    """Address by name of all pages whose records are given: ``{"part": 31}`` opens what takes a ``part_id``."""
    pages = {}
    for pattern in patterns():
        wanted = {name: name.removesuffix("_id") for name in pattern.pattern.converters}
        whole = pattern.pattern.regex.groups == len(wanted)
        if (
            pattern.name
            and pattern.name not in NOT_PAGES
            and whole
            and all(kind in records for kind in wanted.values())
        ):
            pages[pattern.name] = reverse(pattern.name, kwargs={name: records[kind] for name, kind in wanted.items()})
    return pages
