"""Relative differences between two curves, and whether several of them are within a limit. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.bench.methods.sweep.curve import Value
from inventory.bench.quantities.repeats import guard_for
from inventory.bench.quantities.uncertainty import Component, effective_freedom

__all__ = ["Ratio", "State", "Zone", "relative_difference", "zone_of"]

State = Literal["within", "beyond", "undecided", "nothing"]
"""A zone compared with its limit; "nothing" if it has no point with a value."""

_RISK = 0.05


@dataclass(frozen=True)
class Ratio:
    """A relative difference at one place of the curves (0.03 for 3 %), its standard uncertainty and degrees of freedom.

    `shown` is the place as typed.
    """

    shown: str
    place: float
    value: float
    u: float
    freedom: float = math.inf


@dataclass(frozen=True)
class Zone:
    """Several ratios compared with one limit; `worst` is the decisive one, None if there is none.

    Within the limit that is the largest, else the one that is certainly beyond it, or least certainly within it.
    """

    state: State
    worst: Ratio | None = None


def relative_difference(value: Value, reference: Value, u_scale: float = 0.0) -> tuple[float, float, float]:
    """`value / reference - 1`, its standard uncertainty and degrees of freedom, by JCGM 100, 5.1.2, 5.1.6 and G.4.1.

    `u_scale` is the relative standard uncertainty between the two scales, 0 for one meter.

    >>> relative_difference(Value(1.5, 0.003), Value(1.5, 0.004))
    (0.0, 0.0033333333333333335, inf)
    """
    quotient = value.value / reference.value
    u = quotient * math.hypot(value.u / value.value, reference.u / reference.value, u_scale)
    spreads = [Component(quotient * each.spread / each.value, each.freedom) for each in (value, reference)]
    rest = math.sqrt(max(0.0, u**2 - sum(each.u**2 for each in spreads)))
    return quotient - 1.0, u, effective_freedom([*spreads, Component(rest)])


def zone_of(ratios: Sequence[Ratio], limit: float) -> Zone:
    """Whether all ratios are within a limit, or one is certainly beyond it.

    Within: every ratio is, guard included. Beyond: one is, with a guard widened for the number of ratios, so that the
    risk for a good zone stays 5 % (Bonferroni).
    """
    if not ratios:
        return Zone("nothing")
    surest = max(ratios, key=lambda ratio: _clear(ratio, _RISK / len(ratios)))
    if _clear(surest, _RISK / len(ratios)) > limit:
        return Zone("beyond", surest)
    least_clear = max(ratios, key=lambda ratio: abs(ratio.value) + guard_for(ratio.freedom, _RISK) * ratio.u)
    if abs(least_clear.value) + guard_for(least_clear.freedom, _RISK) * least_clear.u > limit:
        return Zone("undecided", least_clear)
    return Zone("within", max(ratios, key=lambda ratio: abs(ratio.value)))


def _clear(ratio: Ratio, risk: float) -> float:
    """How large the ratio is at least, at a one-sided risk."""
    return abs(ratio.value) - guard_for(ratio.freedom, risk) * ratio.u
