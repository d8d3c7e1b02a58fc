"""Uncertainty: its components, how they combine, and the zone of a value relative to its limits.

Pure. Combining follows JCGM 100 (GUM), limits follow JCGM 106 and ILAC-G8. A value, its uncertainty and its limits are
in one unit, which the caller chooses.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import NormalDist
from typing import Literal, TypeVar

from inventory.bench.quantities.student_t import student_t

__all__ = [
    "Component",
    "Input",
    "Result",
    "Zone",
    "combined",
    "covariance",
    "coverage_factor",
    "effective_freedom",
    "p_within",
    "propagated",
    "rectangular",
    "zone",
]

Zone = Literal["inside", "inside, not clear", "outside, not clear", "outside"]
"""Where a value is relative to its limits: clear of them by the guard, or within the guard on either side."""

Number = TypeVar("Number", float, Decimal)
_ROOT_3 = math.sqrt(3.0)
_DOMINANT = 0.3
"""The greatest component is dominant if the others together are at most this share of it (EA-4/02, from memory)."""


@dataclass(frozen=True)
class Input:
    """One input of a result: its value, standard uncertainty, degrees of freedom, and whether it is a rectangle."""

    value: float
    u: float
    freedom: float = math.inf
    rectangle: bool = False


@dataclass(frozen=True)
class Component:
    """What one input contributes to the uncertainty of a result: u times its sensitivity, with its sign."""

    u: float
    freedom: float = math.inf
    rectangle: bool = False


@dataclass(frozen=True)
class Result:
    """A result: its value, its combined standard uncertainty, and the components of that."""

    value: float
    u: float
    components: tuple[Component, ...]


def rectangular(value: float, half_width: float) -> Input:
    """A value known only to within a half-width, with a uniform distribution: u = a / root 3 (JCGM 100, 4.3.7)."""
    return Input(value, half_width / _ROOT_3, rectangle=True)


def propagated(
    law: Callable[..., float], inputs: Sequence[Input], correlations: Mapping[tuple[int, int], float] | None = None
) -> Result:
    """A result and its uncertainty from a law and its inputs, in the order the law takes them.

    Each contribution is half the change of the result when the input goes from u below its value to u above it
    (JCGM 100, 5.1.3 note 2). `correlations` are between inputs, by index; inputs not named are independent.
    """
    at = [each.value for each in inputs]
    parts = tuple(
        Component(_change(law, at, place, each.u), each.freedom, each.rectangle) for place, each in enumerate(inputs)
    )
    return Result(law(*at), combined(parts, correlations), parts)


def _change(law: Callable[..., float], at: list[float], place: int, u: float) -> float:
    if u == 0.0:
        return 0.0
    up, down = at.copy(), at.copy()
    up[place] += u
    down[place] -= u
    return (law(*up) - law(*down)) / 2.0


def combined(components: Sequence[Component], correlations: Mapping[tuple[int, int], float] | None = None) -> float:
    """The combined standard uncertainty, correlations between components included (JCGM 100, 5.1.2 and 5.2.2)."""
    return math.sqrt(max(0.0, covariance(components, components, correlations)))


def covariance(
    one: Sequence[Component], other: Sequence[Component], correlations: Mapping[tuple[int, int], float] | None = None
) -> float:
    """The covariance of two results from the same inputs; both lists of components are in the order of the inputs."""
    total = math.fsum(a.u * b.u for a, b in zip(one, other, strict=True))
    for (i, j), r in (correlations or {}).items():
        total += r * (one[i].u * other[j].u + one[j].u * other[i].u)
    return total


def effective_freedom(components: Sequence[Component]) -> float:
    """Degrees of freedom of a combined uncertainty, by Welch and Satterthwaite (JCGM 100, G.4.1)."""
    below = math.fsum(each.u**4 / each.freedom for each in components)
    return math.inf if below == 0.0 else combined(components) ** 4 / below


def coverage_factor(components: Sequence[Component], share: float = 0.95) -> float:
    """The coverage factor for a share of the distribution.

    With one dominant rectangle the result is a rectangle: share times root 3 (EA-4/02, S9). Else it is the normal
    distribution, or Student's for finite degrees of freedom.
    """
    greatest = max(components, key=lambda each: abs(each.u))
    rest = math.sqrt(max(0.0, combined(components) ** 2 - greatest.u**2))
    if greatest.rectangle and rest <= _DOMINANT * abs(greatest.u):
        return share * _ROOT_3
    freedom = effective_freedom(components)
    if math.isinf(freedom):
        return NormalDist().inv_cdf((1.0 + share) / 2.0)
    return student_t(share, math.floor(freedom))


def p_within(value: float, u: float, low: float | None, high: float | None) -> float:
    """The chance (0 to 1) that the true value is within its limits: normal distribution (JCGM 106, 7.2 to 7.4)."""
    if u == 0.0:
        return float((low is None or value >= low) and (high is None or value <= high))
    law = NormalDist(value, u)
    below = 0.0 if low is None else law.cdf(low)
    above = 0.0 if high is None else 1.0 - law.cdf(high)
    return max(0.0, 1.0 - below - above)


def zone(value: Number, guard: Number, low: Number | None, high: Number | None) -> Zone:
    """The zone of a value, with the guard on both sides of each limit (ILAC-G8, 4.2.3).

    A value on the inner edge of the guard is clear of the limit; one on the limit itself is inside.
    """
    if (low is not None and value < low - guard) or (high is not None and value > high + guard):
        return "outside"
    if (low is not None and value < low) or (high is not None and value > high):
        return "outside, not clear"
    if (low is None or value >= low + guard) and (high is None or value <= high - guard):
        return "inside"
    return "inside, not clear"
