"""Whether repeated readings rise or fall over the years: Mann-Kendall's test and the slope of Theil and Sen.

Pure. Neither assumes a distribution of the scatter, and one outlier changes neither much. Up to ten readings the
chances are counted exactly, ties included; above that the normal approximation is used.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist, median

__all__ = ["FEWEST", "MannKendall", "Slope", "mann_kendall", "theil_sen"]

FEWEST = 5
"""Three readings can never show a trend at 5 %, and four only if all are in order: five are required."""

_EXACT_UP_TO = 10
_NORMAL = NormalDist()


@dataclass(frozen=True)
class MannKendall:
    """S, its variance, the normal deviate (with continuity correction), and the chances of such an S without a trend.

    `p_rising` is the chance of an S as high or higher, `p` the two-sided chance; `exact`: they were counted.
    """

    s: int
    variance: float
    z: float
    p_rising: float
    p: float
    exact: bool


@dataclass(frozen=True)
class Slope:
    """The median slope between two readings, per unit of time, with its interval; `intercept` is from the medians."""

    slope: float
    low: float
    high: float
    intercept: float


def mann_kendall(values: Sequence[float]) -> MannKendall:
    """The test on values in order of time; at least two."""
    n = len(values)
    s = sum((b > a) - (b < a) for i, a in enumerate(values) for b in values[i + 1 :])
    ties = tuple(sorted(Counter(values).values()))
    variance = _variance(n, ties)
    z = (s - math.copysign(1, s)) / math.sqrt(variance) if s and variance else 0.0
    exact = n <= _EXACT_UP_TO
    at_least = _at_least(ties) if exact else {}
    p_rising = at_least[s] if exact else 1.0 - _NORMAL.cdf(z)
    p = at_least[abs(s)] if exact else 1.0 - _NORMAL.cdf(abs(z))
    return MannKendall(s, variance, z, p_rising, min(1.0, 2.0 * p), exact)


def theil_sen(times: Sequence[float], values: Sequence[float], share: float = 0.95) -> Slope:
    """The slope of values at different times, in order, with the interval that contains it with that share.

    The interval belongs to the test: if both ends have the same sign, the test has shown a trend. If too few readings
    cannot reach the share, it spans all slopes.
    """
    points = list(zip(times, values, strict=True))
    slopes = sorted((b - a) / (u - t) for i, (t, a) in enumerate(points) for u, b in points[i + 1 :])
    below, above = _ranks(len(values), tuple(sorted(Counter(values).values())), len(slopes), share)
    middle = median(slopes)
    return Slope(middle, slopes[below], slopes[above], median(values) - middle * median(times))


def _ranks(n: int, ties: tuple[int, ...], pairs: int, share: float) -> tuple[int, int]:
    """The indices of the ends of the interval among the slopes, smallest first."""
    tail = (1.0 - share) / 2.0
    if n <= _EXACT_UP_TO:
        reached = [s for s, p in _at_least(ties).items() if p <= tail]
        beyond = min(reached, default=pairs + 2) - 2
        below = max(0, math.floor((pairs - beyond) / 2.0) - 1)
        return below, pairs - 1 - below
    reach = -_NORMAL.inv_cdf(tail) * math.sqrt(_variance(n, ties))
    return max(round((pairs - reach) / 2.0) - 1, 0), min(round((pairs + reach) / 2.0), pairs - 1)


def _variance(n: int, ties: tuple[int, ...]) -> float:
    return (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18.0


@cache
def _at_least(ties: tuple[int, ...]) -> dict[int, float]:
    """The chance of each S or a higher one, over all orders of values with these ties.

    The Gaussian multinomial counts orders by inversions; S is the number of differing pairs minus two per inversion.
    """
    orders, placed = [1], 0
    for several in ties:
        placed += several
        orders = _times(orders, _gaussian(placed, several))
    pairs = len(orders) - 1
    whole, found, so_far = sum(orders), {}, 0
    for inversions, many in enumerate(orders):
        so_far += many
        found[pairs - 2 * inversions] = so_far / whole
    return found


@cache
def _gaussian(n: int, k: int) -> list[int]:
    """Coefficients of the Gaussian binomial [n, k]: orders of k equal values among n, by number of inversions."""
    if k in (0, n):
        return [1]
    shifted = [0] * k + _gaussian(n - 1, k)
    other = _gaussian(n - 1, k - 1)
    return [a + b for a, b in zip(shifted, other + [0] * (len(shifted) - len(other)), strict=True)]


def _times(one: Sequence[int], other: Sequence[int]) -> list[int]:
    product = [0] * (len(one) + len(other) - 1)
    for i, a in enumerate(one):
        for j, b in enumerate(other):
            product[i + j] += a * b
    return product
