"""Every page of the workshop that a builder can open, worked out from the addresses themselves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.urls import URLPattern, URLResolver, get_resolver, reverse

NOT_PAGES = {
    "choose", "icon", "labels_pdf", "labels_preview", "loom_document", "loom_solved", "manifest", "photo_file",
    "photo_original", "photo_preview", "pointed_at", "relay_found", "remark_sound", "service_worker", "sheet_drawing",
    "sheet_worked", "store_holds", "switch_found", "token", "wire_mark",
}  # fmt: skip
"""Addresses that answer with a picture, a file or a piece of a page."""


def patterns(resolver: URLResolver | None = None) -> Iterator[URLPattern]:
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            yield from patterns(pattern)
        else:
            yield pattern


def every_page(records: Mapping[str, int | str]) -> dict[str, str]:
    """Address by name of all pages whose records are given: ``{"part": 31}`` opens what takes a ``part_id``.

    What only a press of a button reaches is among them: it refuses to be opened.
    """
    pages: dict[str, str] = {}
    for pattern in patterns():
        wanted = {name: name.removesuffix("_id") for name in pattern.pattern.converters}
        known = pattern.pattern.regex.groups == len(wanted) and all(kind in records for kind in wanted.values())
        if pattern.name and pattern.name not in NOT_PAGES and known:
            pages[pattern.name] = reverse(pattern.name, kwargs={name: records[kind] for name, kind in wanted.items()})
    return pages
