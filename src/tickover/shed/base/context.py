"""What every page knows: the chapters in the line at its top."""

from __future__ import annotations

from django.http import HttpRequest

CHAPTERS = [
    (1, "Bench", "bench"),
    (2, "Strip-down", "strip_down"),
    (3, "Stores", "stores"),
    (4, "Job cards", "job_cards"),
    (5, "Readings", "readings"),
    (6, "Buying", "buying"),
    (7, "Loom", "loom"),
    (8, "Fault-finding", "fault_finding"),
    (9, "Sheets", "sheets"),
]


def workshop(request: HttpRequest) -> dict[str, object]:
    return {"chapters": CHAPTERS}
