"""Repeated readings of one thing: their mean, their spread, and how sure the mean is (JCGM 100, 4.2: type A). Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist, fmean, stdev

from inventory.bench.quantities.student_t import student_t
from inventory.bench.quantities.units import Quantity

__all__ = ["GUARD_RISK", "SINGLE", "Repeats", "guard_for", "mean_quantity", "pooled_spread", "repeats_of"]

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
    def says(self) -> str:
        """How often it was read; empty for a single reading."""
        return f", mean of {self.count}" if self.count > 1 else ""

    def as_figures(self, unit_si: float) -> dict[str, object]:
        """The keys of a reading that was repeated, in its unit: none for a single one."""
        return {"repeats": self.count, "repeats_spread": self.spread / unit_si} if self.count > 1 else {}

    @property
    def freedom(self) -> float:
        """Degrees of freedom of the spread; infinite for a single reading, whose spread is not known from itself."""
        return self.count - 1 if self.count > 1 else math.inf


SINGLE = Repeats(1, 0.0, 0.0)
"""A reading that was not repeated, where its value stands elsewhere."""


def repeats_of(values: Sequence[float]) -> Repeats:
    """The repeats of one reading; `values` has at least one.

    >>> repeats_of([91.0, 92.0, 93.0])
    Repeats(count=3, mean=92.0, spread=1.0)
    """
    return Repeats(len(values), fmean(values), stdev(values) if len(values) > 1 else 0.0)


def mean_quantity(several: Sequence[Quantity]) -> tuple[Quantity, Repeats]:
    """Repeats of one reading as one quantity, in the unit and with the digits of the coarsest; and their spread."""
    found = repeats_of([each.si for each in several])
    if len(several) == 1:
        return several[0], found
    coarsest = max(several, key=lambda each: each.step_si)
    digits = len(coarsest.text.replace(",", ".").partition(".")[2])
    text = f"{coarsest.value + (found.mean - coarsest.si) / coarsest.unit_si:.{digits}f}"
    return replace(coarsest, value=float(text), text=text, si=found.mean), found


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
