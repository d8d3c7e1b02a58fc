"""Student's t: how many standard uncertainties on either side contain a given share of the distribution. Pure.

For a whole number of degrees of freedom the share between -t and t is a finite sum (Abramowitz and Stegun, Handbook of
Mathematical Functions, 26.7.3 and 26.7.4, from memory), inverted by Newton's method. For many degrees of freedom t is
a short series about the normal quantile (26.7.5 there, from memory).
"""

from __future__ import annotations

import math
from statistics import NormalDist

__all__ = ["student_t"]

_MANY = 500
"""From here on the series is accurate to 1e-11 for shares up to 0.9999; below, the sum is short enough."""


def student_t(share: float, freedom: int) -> float:
    """The t with a share (above 0, below 1) of Student's distribution between -t and t, to a relative 1e-10.

    >>> round(student_t(0.95, 4), 3)
    2.776
    """
    normal = NormalDist().inv_cdf((1.0 + share) / 2.0)
    if freedom >= _MANY:
        return _series(normal, freedom)
    angle = math.atan(normal / math.sqrt(freedom))  # not above the answer, so Newton's steps only go up
    log_slope = math.log(2.0 / math.sqrt(math.pi)) + math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)
    step = angle
    while step > 1e-12 * angle:
        step = (share - _share(angle, freedom)) / math.exp(log_slope + (freedom - 1) * math.log(math.cos(angle)))
        angle += step
    return math.sqrt(freedom) * math.tan(angle)


def _share(angle: float, freedom: int) -> float:
    """The share of Student's distribution between -t and t, with t = sqrt(freedom) tan(angle)."""
    odd = freedom % 2
    term = math.cos(angle) if odd else 1.0
    total = term if freedom > 1 else 0.0
    for power in range(2 + odd, freedom - 1, 2):
        term *= (power - 1) / power * math.cos(angle) ** 2
        total += term
    return 2.0 / math.pi * (angle + math.sin(angle) * total) if odd else math.sin(angle) * total


def _series(z: float, freedom: int) -> float:
    first = z**3 + z
    second = 5 * z**5 + 16 * z**3 + 3 * z
    third = 3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z
    fourth = 79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z
    n = float(freedom)
    return z + first / (4 * n) + second / (96 * n**2) + third / (384 * n**3) + fourth / (92160 * n**4)
