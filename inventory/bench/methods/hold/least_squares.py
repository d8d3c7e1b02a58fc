"""Weighted least squares of a curve with two parameters: amplitude * shape(rate * x).

In plain floats: a person notes few readings, a logger's are thinned to some hundred, and importing numpy takes longer
(0.15 s) than fitting a thousand short holds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import mul

__all__ = ["Shape", "TwoParameterFit", "fit_two_parameters"]

Shape = Callable[[float], tuple[float, float]]
"""A curve over rate times x (a pure number): its value and its slope."""

_MOST_STEPS = 60
_CLOSE = 1e-9
_AT_REST = 1e-6
_SINGULAR = 1e-13


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
class _FitState:
    """One step of the fit: a rate with its best amplitude, weighted residuals, and sums of the normal equations."""

    rate: float
    amplitude: float
    residual: Sequence[float]
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


def fit_two_parameters(
    shape: Shape, x: Sequence[float], y: Sequence[float], u: Sequence[float], rate: float
) -> TwoParameterFit | None:
    """amplitude * shape(rate * x) through the points y with standard uncertainties u, by weighted least squares.

    Gauss-Newton from `rate`. The amplitude is linear, so each rate gets its best one; a step is halved until it is no
    worse. None if it does not converge, or if the points do not determine both parameters.
    """
    scale = max(map(abs, x))
    if scale == 0.0:
        return None
    scaled = [each / scale for each in x]
    weight = [1.0 / each for each in u]
    target = [each / its_u for each, its_u in zip(y, u, strict=True)]

    best = _converged(shape, scaled, weight, target, rate * scale)
    if best is None:
        return None
    return TwoParameterFit(
        amplitude=best.amplitude,
        rate=best.rate / scale,
        u_amplitude=math.sqrt(best.slope_slope / best.determinant),
        u_rate=math.sqrt(best.value_value / best.determinant) / scale,
        chi_square=best.chi_square,
        largest_residual=float(max(map(abs, map(mul, best.residual, u)))),
    )


def _converged(
    shape: Shape, x: Sequence[float], weight: Sequence[float], target: Sequence[float], rate: float
) -> _FitState | None:
    """The converged fit; None if it does not converge, or if the points do not determine both parameters."""
    best = _evaluate(shape, x, weight, target, rate)
    noise_floor = 1e-26 * _dot(target, target)
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


def _evaluate(
    shape: Shape, x: Sequence[float], weight: Sequence[float], target: Sequence[float], rate: float
) -> _FitState | None:
    """The sums at one rate with its best amplitude; None if the curve is zero everywhere."""
    curve = [shape(rate * each) for each in x]
    value = [at * its_weight for (at, _), its_weight in zip(curve, weight, strict=True)]
    value_value = _dot(value, value)
    if not 0.0 < value_value < math.inf:
        return None
    amplitude = _dot(value, target) / value_value
    slope = [fall * (amplitude * w * each) for (_, fall), w, each in zip(curve, weight, x, strict=True)]
    residual = [wanted - amplitude * at for wanted, at in zip(target, value, strict=True)]
    return _FitState(
        rate,
        amplitude,
        residual,
        _dot(residual, residual),
        value_value,
        _dot(value, slope),
        _dot(slope, slope),
        _dot(slope, residual),
    )


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    total: float = sum(map(mul, one, other))
    return total
