"""What a generator gives over engine speed: the book's few points, and a curve through them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING

from tickover.units import BadInput

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

RPM = 0.10471975511965977
"""One revolution a minute in rad/s (2π/60)."""

FRITSCH_BUTLAND = (
    "F. N. Fritsch, J. Butland, A method for constructing local monotone piecewise cubic interpolants, "
    "SIAM J. Sci. Stat. Comput. 5 (1984) 300-304: the curve between the points rises only where the points rise"
)


@dataclass(frozen=True)
class Generator:
    """Points (engine speed in rad/s, amperes behind the regulator), by rising speed.

    Below the first point it gives nothing, above the last what it gave there. Between them the curve is
    monotone from point to point (Fritsch and Butland 1984): it has no hump that the book's points do not have.

    >>> points = ((1000 * RPM, 0.0), (2000 * RPM, 5.0), (3000 * RPM, 10.0), (4000 * RPM, 10.0))
    >>> round(Generator(points).output(2500 * RPM), 6)
    8.125
    >>> round(Generator(points).speed_for(8.125) / RPM, 6)
    2500.0
    """

    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise BadInput("the generator's output needs two points or more: engine speed and amperes at each")
        if not all(isfinite(figure) for point in self.points for figure in point):
            raise BadInput("the generator's points must be numbers: engine speed and amperes at each")
        for (slow, _), (fast, _) in pairwise(self.points):
            if fast <= slow:
                raise BadInput(
                    f"the generator's points must stand by rising engine speed: {fast / RPM:.0f} rpm "
                    f"comes after {slow / RPM:.0f} rpm"
                )
        for speed, amps in self.points:
            if amps < 0 or speed < 0:
                raise BadInput(f"the generator cannot give {amps:g} A at {speed / RPM:.0f} rpm; write nought or more")

    @cached_property
    def _curve(self) -> PchipInterpolator:
        import numpy as np
        from scipy.interpolate import PchipInterpolator

        speeds, amps = zip(*self.points, strict=True)
        with np.errstate(over="ignore"):  # next to a stretch that hardly rises: its slope is then nought, rightly
            return PchipInterpolator(list(speeds), list(amps))

    def output(self, speed: float) -> float:
        """Amperes at an engine speed in rad/s."""
        if speed < self.points[0][0]:
            return 0.0
        return float(self._curve(min(speed, self.points[-1][0])))

    def speed_for(self, amps: float) -> float | None:
        """The lowest engine speed in rad/s at which it gives so many amperes, or None where it never does."""
        if amps <= 0:
            return 0.0
        if self.points[0][1] >= amps:
            return self.points[0][0]
        for (slow, _), (fast, there) in pairwise(self.points):
            if there >= amps:
                return self._within(slow, fast, amps)
        return None

    def _within(self, slow: float, fast: float, amps: float) -> float:
        """Halve the stretch between two points until nothing lies between its ends."""
        while slow < (middle := 0.5 * (slow + fast)) < fast:
            slow, fast = (slow, middle) if self.output(middle) >= amps else (middle, fast)
        return fast
