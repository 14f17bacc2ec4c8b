"""What can be wrong with this bike: every single fault of its loom, and the other chapters' causes."""

from collections.abc import Mapping
from dataclasses import dataclass

from tickover.chapters import causes
from tickover.chapters.electrics.loom import faults
from tickover.chapters.electrics.loom.document import Loom
from tickover.chapters.electrics.loom.faults import Fault
from tickover.chapters.electrics.loom.kinds import CONDITIONS
from tickover.faultfinding.bike import has_engine
from tickover.units import BadInput

CHAPTERS_SHARE = 0.45
"""Of all bikes that will not start, about this share has nothing wrong with its wiring. Workshop judgement:
fuel and electrics are blamed about equally often, with electrics a little ahead on an old bike."""

CONDITION_WEIGHT = {"good": 0.4, "worn": 2.0, "damaged": 5.0, "missing": 1.0, "unknown": 1.0}
"""How a condition on record changes the weight of a cause outside the wiring."""


@dataclass(frozen=True)
class Hypothesis:
    """One thing that may be wrong: a fault of the loom, or a cause outside it."""

    name: str
    fault: Fault | None
    cause: str | None
    prior: float


def hypotheses(loom: Loom, conditions: Mapping[str, str] | None = None) -> list[Hypothesis]:
    """Every hypothesis with its prior; the priors sum to 1.

    `conditions` gives the condition on record behind a cause, such as {"fuel:filter_too_fine": "worn"}; the
    loom's own conditions stand in its document. Raises BadInput for a cause or a condition that is not known.
    """
    conditions = conditions or {}
    for cause, condition in conditions.items():
        if cause not in causes.CAUSES:
            raise BadInput(f"'{cause}' is no cause; known are {', '.join(causes.CAUSES)}")
        if condition not in CONDITIONS:
            raise BadInput(f"condition '{condition}' of {cause} is not known; write {', '.join(CONDITIONS)}")
    weights = faults.priors(loom)
    electrical = sum(weights.values())
    outside: dict[str, float] = {}
    if has_engine(loom):
        outside = {
            name: cause.prior * CONDITION_WEIGHT[conditions.get(name, "unknown")]
            for name, cause in causes.CAUSES.items()
        }
    share = CHAPTERS_SHARE if outside and electrical else float(bool(outside))
    found = [
        Hypothesis(str(fault), fault, None, (1.0 - share) * weight / electrical) for fault, weight in weights.items()
    ]
    total = sum(outside.values())
    return found + [Hypothesis(name, None, name, share * weight / total) for name, weight in outside.items()]
