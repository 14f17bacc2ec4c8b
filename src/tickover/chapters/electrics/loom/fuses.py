"""How long a blade fuse carries an overload before it opens.

The standard gives, for each overload, the shortest and longest time in which a fuse-link may open. Between the
overloads both are interpolated on logarithmic scales. The usual time is their geometric mean: one fuse may take ten
times longer or shorter, so it is good for telling "at once" from "in a few minutes". What must be safe is judged
by the longest.
"""

from __future__ import annotations

import math
from itertools import pairwise

#: Overload as a multiple of the rating: shortest and longest opening time in seconds.
#: ISO 8820-3 (road vehicles, fuse-links with tabs, blade type), operating times, as data sheets give them; not
#: yet read in the standard itself.
OPENING_SECONDS: dict[float, tuple[float, float]] = {
    1.35: (0.75, 600.0),
    1.60: (0.25, 50.0),
    2.00: (0.15, 5.0),
    3.50: (0.04, 0.5),
    6.00: (0.02, 0.1),
}
_LAST = (6.00, OPENING_SECONDS[6.00])


def opening_seconds(amps: float, rated_amps: float) -> tuple[float, float]:
    """Shortest and longest time in seconds until a blade fuse opens; infinite below 1.35 times its rating.

    Above the last overload of the standard amps² · seconds stays. Source: ISO 8820-3, operating times.

    Example: at twice its rating.

    >>> opening_seconds(30.0, 15.0)
    (0.15, 5.0)
    """
    overload = amps / rated_amps
    if overload < min(OPENING_SECONDS):
        return math.inf, math.inf
    (low, (short_low, long_low)), (high, (short_high, long_high)) = next(
        (pair for pair in pairwise(OPENING_SECONDS.items()) if overload <= pair[1][0]),
        (_LAST, (10 * _LAST[0], (_LAST[1][0] / 100, _LAST[1][1] / 100))),
    )
    share = math.log(overload / low) / math.log(high / low)
    return short_low * (short_high / short_low) ** share, long_low * (long_high / long_low) ** share


def seconds_to_blow(amps: float, rated_amps: float) -> float:
    """Usual time in seconds until a blade fuse opens; infinite below 1.35 times its rating.

    Source: ISO 8820-3, operating times of blade fuse-links; geometric mean of the limits.

    Example: at twice its rating a fuse opens between 0.15 s and 5 s.

    >>> round(seconds_to_blow(30.0, 15.0), 2)
    0.87
    >>> seconds_to_blow(16.0, 15.0)
    inf
    """
    shortest, longest = opening_seconds(amps, rated_amps)
    return math.sqrt(shortest * longest)
