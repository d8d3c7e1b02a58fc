"""How a vacuum falls: three laws of leakage, each fitted to the readings of a hold.

A leak's flow is proportional to a power m of the vacuum: m = 0 if the flow is choked (the needle falls on a straight
line), m = 1/2 through a hole, m = 1 through a fine pore (an exponential). Every real leak lies between these, so a
result on which all three agree may be extrapolated to another time or start.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = ["LAWS", "Law", "LawFit", "Shape", "TwoParameterFit", "fit_law", "fit_two_parameters", "share_kept"]

Law = Literal["exponential", "orifice", "straight"]
Vector = NDArray[np.float64]
Shape = Callable[[Vector], tuple[Vector, Vector]]
"""A curve over rate times time (a pure number): its values and its slopes."""

LAWS: tuple[Law, ...] = ("exponential", "orifice", "straight")

_START_POWER: dict[Law, float] = {"exponential": 0.0, "orifice": 0.5, "straight": 1.0}
_MOST_STEPS = 60
_CLOSE = 1e-9
_AT_REST = 1e-6
_SINGULAR = 1e-13
_TWO_SIDED = 1.960
_ROOT_12 = math.sqrt(12.0)
_FEW = 12
_MOST_GAIN = 700.0
_MOST_LEVELS = 250


@dataclass(frozen=True)
class TwoParameterFit:
    """amplitude * shape(rate * x) fitted: both parameters with their standard uncertainties, and the residuals.

    `chi_square` is the weighted sum of squared residuals, `largest_residual` the largest residual, in the unit of y.
    """

    amplitude: float
    rate: float
    u_amplitude: float
    u_rate: float
    chi_square: float
    largest_residual: float


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


def fit_law(law: Law, times_s: Vector, vacuum_pa: Vector, step_pa: Vector) -> LawFit | None:
    """Weighted least squares of start and rate. Needs two different times, the first vacuum above zero.

    `step_pa` is the gauge's step at each reading; a reading rounded to it has the standard uncertainty step/sqrt(12).
    None if the law cannot fit the readings, such as an exponential through zero.

    Least squares assumes independent roundings. If the needle hardly moves they are not: a needle on one mark for four
    readings was rounded once, not four times, and the fit would promise too much. So with at most two different
    readings (or more than three readings for each different one) the uncertainty is widened until 1.96 of it reach
    every rate whose curve would give the same readings. The interval then covers 95 to 97 % of simulated holds with
    differing readings, and more where they hardly differ.
    """
    span, top = float(times_s[-1] - times_s[0]), float(vacuum_pa[0])
    since, left, step = (times_s - times_s[0]) / span, vacuum_pa / top, step_pa / top
    kept = min(max(float(left[-1]), 0.01), 2.0)
    guess = -math.log(kept) if law == "exponential" else (1.0 - kept) * (0.6 if law == "orifice" else 1.0)
    fit = fit_two_parameters(_SHAPES[law], since, left, step / _ROOT_12, guess)
    if fit is None or fit.amplitude <= 0.0:
        return None
    slowest, fastest = _rates_through(law, since, left, step / 2.0, fit.amplitude)
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


def fit_two_parameters(shape: Shape, x: Vector, y: Vector, u: Vector, rate: float) -> TwoParameterFit | None:
    """amplitude * shape(rate * x) through the points y with standard uncertainties u, by weighted least squares.

    Gauss-Newton from `rate`. The amplitude is linear, so each rate gets its best one; a step is halved until it is no
    worse. None if it does not converge, or if the points do not determine both parameters.
    """
    scale = float(np.max(np.abs(x)))
    if scale == 0.0:
        return None
    with np.errstate(over="ignore", invalid="ignore"):
        best = _converged(shape, x / scale, 1.0 / u, y / u, rate * scale)
    if best is None:
        return None
    return TwoParameterFit(
        amplitude=best.amplitude,
        rate=best.rate / scale,
        u_amplitude=math.sqrt(best.slope_slope / best.determinant),
        u_rate=math.sqrt(best.value_value / best.determinant) / scale,
        chi_square=best.chi_square,
        largest_residual=float(np.max(np.abs(best.residual * u))),
    )


def _converged(shape: Shape, x: Vector, weight: Vector, target: Vector, rate: float) -> _FitState | None:
    """The converged fit; None if it does not converge, or if the points do not determine both parameters."""
    best = _evaluate(shape, x, weight, target, rate)
    noise_floor = 1e-26 * float(target @ target)
    for _ in range(_MOST_STEPS):
        if best is None or not best.determinant:
            return None
        close = _CLOSE * (1.0 + abs(best.rate))
        slack = 1e-12 * best.chi_square + noise_floor
        step = best.step
        while abs(step) > close:
            tried = _evaluate(shape, x, weight, target, best.rate + step)
            if tried is not None and tried.chi_square <= best.chi_square + slack:
                break
            step /= 2.0
        else:
            return best if abs(best.step) <= _AT_REST * (1.0 + abs(best.rate)) else None
        best = tried
    return None


@dataclass(frozen=True)
class _FitState:
    """One step of the fit: a rate with its best amplitude, weighted residuals, and sums of the normal equations."""

    rate: float
    amplitude: float
    residual: Vector
    chi_square: float
    value_value: float
    value_slope: float
    slope_slope: float
    slope_residual: float

    @property
    def determinant(self) -> float:
        """Determinant of the normal equations; 0 if the points do not determine both parameters."""
        full = self.value_value * self.slope_slope
        found = full - self.value_slope**2
        return found if found > _SINGULAR * full else 0.0

    @property
    def step(self) -> float:
        """How far the rate should move from here."""
        return self.value_value * self.slope_residual / self.determinant


def _evaluate(shape: Shape, x: Vector, weight: Vector, target: Vector, rate: float) -> _FitState | None:
    """The sums at one rate with its best amplitude; None if the curve is zero everywhere."""
    value, slope = shape(rate * x)
    value = value * weight
    value_value = float(value @ value)
    if not 0.0 < value_value < math.inf:
        return None
    amplitude = float(value @ target) / value_value
    slope = slope * (amplitude * weight * x)
    residual = target - amplitude * value
    return _FitState(
        rate,
        amplitude,
        residual,
        float(residual @ residual),
        value_value,
        float(value @ slope),
        float(slope @ slope),
        float(slope @ residual),
    )


def _exponential(loss: Vector) -> tuple[Vector, Vector]:
    left = np.exp(-loss)
    return left, -left


def _orifice(loss: Vector) -> tuple[Vector, Vector]:
    left = np.maximum(0.0, 1.0 - loss)
    return left * left, -2.0 * left


def _straight(loss: Vector) -> tuple[Vector, Vector]:
    left = 1.0 - loss
    return np.maximum(0.0, left), np.where(left > 0.0, -1.0, 0.0)


_SHAPES: dict[Law, Shape] = {"exponential": _exponential, "orifice": _orifice, "straight": _straight}


def _hardly_moves(vacuum: Vector) -> bool:
    """Whether most readings repeat a few marks, so that their roundings are not independent."""
    if len(vacuum) < 3:
        return False
    levels = len(set(vacuum.tolist()))
    return levels <= 2 or len(vacuum) > 3 * levels


def _rates_through(law: Law, times: Vector, vacuum: Vector, half: Vector, start: float) -> tuple[float, float]:
    """Lowest and highest rate of a curve within half a step of every reading; lowest above highest if there is none.

    The logarithm (exponential), the root (orifice) or the curve itself (straight) is a line, so each pair of readings
    bounds its slope. Of consecutive equal readings only the first and last matter.
    """
    if len(times) > _FEW:
        changes = np.flatnonzero(np.diff(vacuum)) + 1
        ends = np.unique(np.concatenate(([0], changes - 1, changes, [len(vacuum) - 1])))
        times, vacuum, half = times[ends], vacuum[ends], half[ends]
    if len(times) > 2 * _MOST_LEVELS:
        return math.inf, -math.inf
    low, high = (_straightened(law, np.maximum(1e-9, edge)) for edge in (vacuum - half, vacuum + half))
    before, after = _pairs(len(times))
    apart = times[after] - times[before]
    least = float(np.max((low[before] - high[after]) / apart))
    most = float(np.min((high[before] - low[after]) / apart))
    steepness = 1.0 if law == "exponential" else float(_straightened(law, np.array([start]))[0])
    return least / steepness, most / steepness


@lru_cache(maxsize=64)
def _pairs(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The indices of all pairs of `count` readings: the earlier ones, the later ones."""
    before, after = np.triu_indices(count, 1)
    return before, after


def _straightened(law: Law, vacuum: Vector) -> Vector:
    """The vacuum transformed so that the law is a straight line."""
    if law == "straight":
        return vacuum
    straight: Vector = np.log(vacuum) if law == "exponential" else np.sqrt(vacuum)
    return straight
