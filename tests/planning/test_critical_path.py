"""The chains of work behind each job, against published critical-path tables."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tickover.planning.facts import After, Job
from tickover.planning.order import Before, Kind, chain_behind
from tickover.planning.plan import plan

PUBLISHED = json.loads((Path(__file__).parent / "reference" / "critical_path.json").read_text())["networks"]


def jobs_of(network: dict[str, Any]) -> dict[int, Job]:
    """Activities between events as jobs: one comes after all that end where it starts."""
    rows = network["activities"]
    return {
        number: Job(
            number,
            f"{row[0]}-{row[1]}",
            hours=float(row[2]),
            needed_for="first start",
            after=tuple(After(other) for other, before in enumerate(rows) if before[1] == row[0]),
        )
        for number, row in enumerate(rows)
    }


@pytest.mark.parametrize("network", PUBLISHED, ids=lambda network: f"{network['length']} long")
def test_the_chain_behind_a_job_is_what_is_left_after_its_latest_finish(network: dict[str, Any]) -> None:
    jobs = jobs_of(network)
    orders = [Before(after.job, job.id, "", Kind.CARD) for job in jobs.values() for after in job.after]
    behind = chain_behind(jobs, orders)
    for number, row in enumerate(network["activities"]):
        assert network["length"] - behind[number] == row[6], row


@pytest.mark.parametrize("network", PUBLISHED, ids=lambda network: f"{network['length']} long")
def test_the_published_critical_path_is_the_longest_chain_of_the_plan(network: dict[str, Any]) -> None:
    worked = plan("first start", jobs_of(network).values(), [])
    rows = network["activities"]
    earliest = {number: row[3] for number, row in enumerate(rows)}
    critical = [
        planned.job.title
        for planned in sorted(worked.needed, key=lambda planned: earliest[planned.job.id])
        if earliest[planned.job.id] + rows[planned.job.id][2] + planned.hours_behind == network["length"]
    ]
    assert critical == [f"{start}-{end}" for start, end in network["critical"]]
    assert worked.hours == sum(row[2] for row in rows)
