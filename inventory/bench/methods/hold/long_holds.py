"""The fit of a hold with many readings, as a logger writes them: `decay` and `least_squares` on numpy."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inventory.bench.methods.hold.least_squares import FitState, TwoParameterFit, converged

if TYPE_CHECKING:
    from inventory.bench.methods.hold.decay import Law

__all__ = ["SHAPES", "Vector", "fit_two_parameters", "rates_through"]

Vector = NDArray[np.float64]
Shape = Callable[[Vector], tuple[Vector, Vector]]
"""A curve over rate times time (a pure number): its values and its slopes."""

_MOST_LEVELS = 250


def fit_two_parameters(
    shape: Shape, x: Sequence[float], y: Sequence[float], u: Sequence[float], rate: float
) -> TwoParameterFit | None:
    """What `least_squares.fit_two_parameters` does, for many points."""
    times, weight = np.asarray(x), 1.0 / np.asarray(u)
    target = np.asarray(y) / np.asarray(u)
    scale = float(np.max(np.abs(times)))
    if scale == 0.0:
        return None
    scaled = times / scale

    def evaluate(rate: float) -> FitState | None:
        return _evaluate(shape, scaled, weight, target, rate)

    with np.errstate(over="ignore", invalid="ignore"):
        best = converged(evaluate, rate * scale, 1e-26 * float(target @ target))
    return None if best is None else best.as_fit(scale, u)


def _evaluate(shape: Shape, x: Vector, weight: Vector, target: Vector, rate: float) -> FitState | None:
    """The sums at one rate with its best amplitude; None if the curve is zero everywhere."""
    value, slope = shape(rate * x)
    value = value * weight
    value_value = float(value @ value)
    if not 0.0 < value_value < math.inf:
        return None
    amplitude = float(value @ target) / value_value
    slope = slope * (amplitude * weight * x)
    residual = target - amplitude * value
    return FitState(
        rate,
        amplitude,
        residual.tolist(),
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


SHAPES: dict[Law, Shape] = {"exponential": _exponential, "orifice": _orifice, "straight": _straight}


def rates_through(
    law: Law, x: Sequence[float], y: Sequence[float], halves: Sequence[float], start: float
) -> tuple[float, float]:
    """Lowest and highest rate of a curve within half a step of every reading; lowest above highest if there is none.

    The logarithm (exponential), the root (orifice) or the curve itself (straight) is a line, so each pair of readings
    bounds its slope. Of consecutive equal readings only the first and last matter.
    """
    changes = np.flatnonzero(np.diff(y)) + 1
    ends = np.unique(np.concatenate(([0], changes - 1, changes, [len(y) - 1])))
    times, vacuum, half = (np.asarray(each)[ends] for each in (x, y, halves))
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
