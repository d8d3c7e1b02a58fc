"""The correction line of an instrument: a straight line through the corrections found at its calibration.

Pure. After JCGM 100 (GUM), H.3: least squares, with the covariance of the two constants.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.bench.quantities.uncertainty import Component, combined

__all__ = ["FEWEST_POINTS", "CorrectionLine", "straight_line"]

FEWEST_POINTS = 3
"""With fewer there is no degree of freedom left for the scatter."""


@dataclass(frozen=True)
class CorrectionLine:
    """b(x) = intercept + slope (x - origin), the correction to add to a reading x.

    `u_intercept`, `u_slope` and `correlation` are of the two constants; `scatter` is the standard deviation of one
    correction from the line, with n - 2 degrees of freedom; `low` and `high` are the ends of the calibrated range.
    """

    origin: float
    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    correlation: float
    scatter: float
    low: float
    high: float

    def at(self, reading: float) -> tuple[float, float]:
        """The correction of a reading and its standard uncertainty (JCGM 100, H.3.4)."""
        away = reading - self.origin
        parts = (Component(self.u_intercept), Component(away * self.u_slope))
        return self.intercept + self.slope * away, combined(parts, {(0, 1): self.correlation})

    def covers(self, reading: float) -> bool:
        """Whether a reading is within the calibrated range."""
        return self.low <= reading <= self.high


def straight_line(shown: Sequence[float], corrections: Sequence[float], origin: float | None = None) -> CorrectionLine:
    """The line through the corrections found at the readings `shown`; its origin is their mean unless given.

    Raises ValueError for fewer than three points, or if all are at the same reading.
    """
    n = len(shown)
    middle = math.fsum(shown) / n if n else 0.0
    x0 = middle if origin is None else origin
    away = [x - x0 for x in shown]
    spread = math.fsum((x - middle) ** 2 for x in shown)
    if n < FEWEST_POINTS or spread <= 0.0:
        raise ValueError("a line needs three points at different readings")
    mean = math.fsum(corrections) / n
    slope = math.fsum((x - middle) * (b - mean) for x, b in zip(shown, corrections, strict=True)) / spread
    intercept = mean + slope * (x0 - middle)
    left = [b - intercept - slope * x for x, b in zip(away, corrections, strict=True)]
    scatter = math.sqrt(math.fsum(each**2 for each in left) / (n - 2))
    squares = math.fsum(x**2 for x in away)
    return CorrectionLine(
        origin=x0,
        intercept=intercept,
        slope=slope,
        u_intercept=scatter * math.sqrt(squares / (n * spread)),
        u_slope=scatter / math.sqrt(spread),
        correlation=-math.fsum(away) / math.sqrt(n * squares) if squares else 0.0,
        scatter=scatter,
        low=min(shown),
        high=max(shown),
    )
