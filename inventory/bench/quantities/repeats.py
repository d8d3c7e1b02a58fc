"""Repeated readings of one thing: their mean, their spread, and how sure the mean is (JCGM 100, 4.2: type A). Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean, stdev

from inventory.bench.quantities.student_t import student_t

__all__ = ["GUARD_RISK", "Repeats", "guard_for", "pooled_spread", "repeats_of"]

GUARD_RISK = 0.05
"""One-sided risk of a wrong verdict at a limit."""


@dataclass(frozen=True)
class Repeats:
    """Repeats of one reading: how many, their mean, and the standard deviation of one of them (0 for a single one)."""

    count: int
    mean: float
    spread: float

    @property
    def u(self) -> float:
        """Standard uncertainty of the mean (JCGM 100, 4.2.3)."""
        return self.spread / math.sqrt(self.count)

    @property
    def freedom(self) -> float:
        """Degrees of freedom of the spread; infinite for a single reading, whose spread is not known from itself."""
        return self.count - 1 if self.count > 1 else math.inf


def repeats_of(values: Sequence[float]) -> Repeats:
    """The repeats of one reading; `values` has at least one.

    >>> repeats_of([91.0, 92.0, 93.0])
    Repeats(count=3, mean=92.0, spread=1.0)
    """
    return Repeats(len(values), fmean(values), stdev(values) if len(values) > 1 else 0.0)


def pooled_spread(groups: Sequence[Sequence[float]]) -> tuple[float, int]:
    """The relative standard deviation of one reading, from repeats at several settings, and its degrees of freedom.

    Both are 0 if nothing was repeated. Deviations are shares of the mean of their group (JCGM 100, 4.2.4, pooled).
    """
    freedom = sum(len(each) - 1 for each in groups)
    squares = math.fsum(((value / fmean(each)) - 1.0) ** 2 for each in groups for value in each)
    return (math.sqrt(squares / freedom), freedom) if freedom else (0.0, 0)


def guard_for(freedom: float, risk: float = GUARD_RISK) -> float:
    """How many standard uncertainties a value must be clear of a limit, for a one-sided risk.

    The normal distribution, or Student's for a spread from few repeats (JCGM 100, G.3).
    """
    if math.isinf(freedom):
        return NormalDist().inv_cdf(1.0 - risk)
    return student_t(1.0 - 2.0 * risk, max(1, math.floor(freedom)))
