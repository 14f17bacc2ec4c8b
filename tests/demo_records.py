"""One record of each kind in the demo, by what addresses call it: those on which most hangs."""

from __future__ import annotations

import sqlite3
from pathlib import Path

CHOSEN = {
    "build": "SELECT min(id) FROM records_build",
    "stint": "SELECT stint_id FROM records_photo GROUP BY stint_id ORDER BY count(*) DESC",
    "change": "SELECT max(id) FROM records_change",
    "part": "SELECT part_id FROM records_limit WHERE part_id IN (SELECT part_id FROM records_balloon)",
    "store": "SELECT place_id FROM records_part GROUP BY place_id ORDER BY count(*) DESC",
    "set": "SELECT id FROM records_fastenerset WHERE joint = 'apart' AND torque IS NOT NULL",
    "tag": "SELECT tag_id FROM records_balloon WHERE tag_id IS NOT NULL",
    "photo": "SELECT photo_id FROM records_balloon GROUP BY photo_id ORDER BY count(*) DESC",
    "number": "SELECT 1",
    "remark": "SELECT id FROM records_remark",
    "count": "SELECT id FROM records_loosecount",
    "card": "SELECT card_id FROM records_neededreading WHERE reading_id IS NULL",
    "limit": "SELECT limit_id FROM records_reading GROUP BY limit_id ORDER BY count(*) DESC",
    "reading": "SELECT id FROM records_reading WHERE limit_id IS NOT NULL",
    "purchase": "SELECT id FROM records_purchase WHERE part_id IS NOT NULL",
    "component": "SELECT id FROM records_loomcomponent WHERE kind = 'relay'",
    "inspection": "SELECT id FROM records_inspection",
    "kit": "SELECT id FROM records_kit",
    "search": "SELECT id FROM records_faultsearch",
    "saved": "SELECT id FROM records_savedsheet",
}
BELONGING = {
    "cover": "SELECT cover_id FROM records_cover WHERE covered_id = :part",
    "step": "SELECT id FROM records_jobstep WHERE card_id = :card",
    "line": "SELECT id FROM records_inspectionline WHERE inspection_id = :inspection",
    "item": "SELECT id FROM records_kititem WHERE kit_id = :kit",
}


def demo_records(home: Path) -> dict[str, int | str]:
    """What ``every_page`` needs; a kind of which the demo has no record is left out."""
    found: dict[str, int | str] = {}
    with sqlite3.connect(home / "workshop.sqlite3") as database:
        for name, query in (CHOSEN | BELONGING).items():
            if all(word[1:] in found for word in query.split() if word.startswith(":")):
                row = database.execute(f"{query} LIMIT 1" if "LIMIT" not in query else query, found).fetchone()
                if row is not None and row[0] is not None:
                    found[name] = row[0]
    return found
