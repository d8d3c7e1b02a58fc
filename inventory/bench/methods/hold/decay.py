"""How a vacuum falls: three laws of leakage, each fitted to the readings of a hold.

A leak's flow is proportional to a power m of the vacuum: m = 0 if the flow is choked (the needle falls on a straight
line), m = 1/2 through a hole, m = 1 through a fine pore (an exponential). Every real leak lies between these, so a
result on which all three agree may be extrapolated to another time or start.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

from inventory.bench.methods.hold.least_squares import Shape, fit_two_parameters

__all__ = ["LAWS", "Law", "LawFit", "fit_law", "share_kept"]

Law = Literal["exponential", "orifice", "straight"]

LAWS: tuple[Law, ...] = ("exponential", "orifice", "straight")

_START_POWER: dict[Law, float] = {"exponential": 0.0, "orifice": 0.5, "straight": 1.0}
_TWO_SIDED = 1.960
_ROOT_12 = math.sqrt(12.0)
_MOST_GAIN = 700.0
_MOST_LEVELS = 250


@dataclass(frozen=True)
class LawFit:
    """One law fitted: start in Pa, rate and its standard uncertainty in 1/s, the largest residual in Pa.

    For the exponential the rate is k = 1/T. Negative rates (a rise within the gauge's steps) are kept. `chi_square` is
    the weighted sum of squared residuals. `slowest` and `fastest` are the lowest and highest rate of a curve within the
    rounding of every reading, 1/s; both are the fitted rate if there is no such curve.
    """

    law: Law
    start_pa: float
    rate_per_s: float
    u_rate_per_s: float
    largest_residual_pa: float
    chi_square: float
    slowest_per_s: float
    fastest_per_s: float

    def kept(self, after_s: float, *, from_pa: float | None = None) -> tuple[float, float]:
        """Share of the vacuum left `after_s` seconds, and its standard uncertainty.

        With `from_pa`, as if it had been drawn to that vacuum (Pa) instead of this start.
        """
        scale = self._scale(from_pa) * after_s
        loss = scale * self.rate_per_s
        share = share_kept(self.law, loss)
        slope = {"exponential": share, "orifice": 2.0 * max(0.0, 1.0 - loss), "straight": 1.0}[self.law]
        return min(share, 1.0), slope * scale * self.u_rate_per_s

    def kept_between(self, after_s: float, guard: float, *, from_pa: float | None = None) -> tuple[float, float]:
        """The least and the most share that may be left.

        It is `guard` standard uncertainties either way, or the range of the curves within the roundings, if wider.
        """
        share, u = self.kept(after_s, from_pa=from_pa)
        scale = self._scale(from_pa) * after_s
        least, most = (share_kept(self.law, scale * rate) for rate in (self.fastest_per_s, self.slowest_per_s))
        return min(share - guard * u, least), max(share + guard * u, most)

    def widened(self, u_per_s: float) -> LawFit:
        """The same with one more independent standard uncertainty of the rate, 1/s."""
        return replace(self, u_rate_per_s=math.hypot(self.u_rate_per_s, u_per_s))

    def _scale(self, from_pa: float | None) -> float:
        """How much faster another start falls by this law."""
        return 1.0 if from_pa is None else (self.start_pa / from_pa) ** _START_POWER[self.law]


def share_kept(law: Law, loss: float) -> float:
    """Share of the start left where rate times time is `loss` (pure numbers)."""
    if law == "exponential":
        return math.exp(min(-loss, _MOST_GAIN))
    left = max(0.0, 1.0 - loss)
    return left**2 if law == "orifice" else left


def fit_law(law: Law, times_s: Sequence[float], vacuum_pa: Sequence[float], step_pa: Sequence[float]) -> LawFit | None:
    """Weighted least squares of start and rate. Needs two different times, the first vacuum above zero.

    `step_pa` is the gauge's step at each reading; a reading rounded to it has the standard uncertainty step/sqrt(12).
    None if the law cannot fit the readings, such as an exponential through zero.

    Least squares assumes independent roundings. If the needle hardly moves they are not: a needle on one mark for four
    readings was rounded once, not four times, and the fit would promise too much. So with at most two different
    readings (or more than three readings for each different one) the uncertainty is widened until 1.96 of it reach
    every rate whose curve would give the same readings. The interval then covers 95 to 97 % of simulated holds with
    differing readings, and more where they hardly differ.
    """
    span, top = times_s[-1] - times_s[0], vacuum_pa[0]
    since = [(time - times_s[0]) / span for time in times_s]
    left, step = [each / top for each in vacuum_pa], [each / top for each in step_pa]
    kept = min(max(left[-1], 0.01), 2.0)
    guess = -math.log(kept) if law == "exponential" else (1.0 - kept) * (0.6 if law == "orifice" else 1.0)
    u, half = [each / _ROOT_12 for each in step], [each / 2.0 for each in step]
    fit = fit_two_parameters(_SHAPES[law], since, left, u, guess)
    if fit is None or fit.amplitude <= 0.0:
        return None
    slowest, fastest = _rates_through(law, since, left, half, fit.amplitude)
    if slowest > fastest:
        slowest = fastest = fit.rate
    u_rate = fit.u_rate
    if _hardly_moves(left):
        u_rate = max(u_rate, (fastest - fit.rate) / _TWO_SIDED, (fit.rate - slowest) / _TWO_SIDED)
    return LawFit(
        law=law,
        start_pa=fit.amplitude * top,
        rate_per_s=fit.rate / span,
        u_rate_per_s=u_rate / span,
        largest_residual_pa=fit.largest_residual * top,
        chi_square=fit.chi_square,
        slowest_per_s=slowest / span,
        fastest_per_s=fastest / span,
    )


def _exponential(loss: float) -> tuple[float, float]:
    left = math.exp(min(-loss, _MOST_GAIN))
    return left, -left


def _orifice(loss: float) -> tuple[float, float]:
    left = max(0.0, 1.0 - loss)
    return left * left, -2.0 * left


def _straight(loss: float) -> tuple[float, float]:
    left = 1.0 - loss
    return (left, -1.0) if left > 0.0 else (0.0, 0.0)


_SHAPES: dict[Law, Shape] = {"exponential": _exponential, "orifice": _orifice, "straight": _straight}


def _hardly_moves(vacuum: Sequence[float]) -> bool:
    """Whether most readings repeat a few marks, so that their roundings are not independent."""
    if len(vacuum) < 3:
        return False
    levels = len(set(vacuum))
    return levels <= 2 or len(vacuum) > 3 * levels


def _rates_through(
    law: Law, times: Sequence[float], vacuum: Sequence[float], half: Sequence[float], start: float
) -> tuple[float, float]:
    """Lowest and highest rate of a curve within half a step of every reading; lowest above highest if there is none.

    The logarithm (exponential), the root (orifice) or the curve itself (straight) is a line, so each pair of readings
    bounds its slope. Of consecutive equal readings only the first and last matter.
    """
    last = len(vacuum) - 1
    ends = [at for at in range(last + 1) if at in (0, last) or not vacuum[at - 1] == vacuum[at] == vacuum[at + 1]]
    if len(ends) > 2 * _MOST_LEVELS:
        return math.inf, -math.inf
    edges = [
        (times[at], *(_straightened(law, max(1e-9, vacuum[at] + off)) for off in (-half[at], half[at]))) for at in ends
    ]
    least, most = -math.inf, math.inf
    for (before_s, before_low, before_high), (after_s, after_low, after_high) in combinations(edges, 2):
        least = max(least, (before_low - after_high) / (after_s - before_s))
        most = min(most, (before_high - after_low) / (after_s - before_s))
    steepness = 1.0 if law == "exponential" else _straightened(law, start)
    return least / steepness, most / steepness


def _straightened(law: Law, vacuum: float) -> float:
    """The vacuum transformed so that the law is a straight line."""
    if law == "straight":
        return vacuum
    return math.log(vacuum) if law == "exponential" else math.sqrt(vacuum)
