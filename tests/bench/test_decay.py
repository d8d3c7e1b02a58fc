"""The fit of a hold held against scipy's least squares, and what it does where there is nothing to fit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from inventory.bench.methods.hold.decay import LAWS, Law, fit_law, share_kept
from inventory.bench.methods.hold.least_squares import fit_two_parameters

ROOT_12 = math.sqrt(12.0)


def curve(law: Law, times: np.ndarray, start: float, rate: float) -> np.ndarray:
    return start * np.array([share_kept(law, rate * time) for time in times])


@settings(max_examples=60)
@given(
    law=st.sampled_from(LAWS),
    time_constant=st.floats(60, 3000),
    start=st.floats(48, 55),
    steps=st.lists(st.sampled_from([0.1, 0.5, 1.0]), min_size=3, max_size=6),
    seed=st.integers(0, 10_000),
)
def test_the_fit_is_scipys(law: Law, time_constant: float, start: float, steps: list[float], seed: int) -> None:
    """Readings scattered by a fifth of a step, unequal steps: start, rate and both uncertainties are curve_fit's."""
    times = np.linspace(0.0, 30.0, len(steps))
    step = np.array(steps)
    vacuum = curve(law, times, start, 1 / time_constant) + 0.2 * step * np.random.default_rng(seed).normal(
        size=len(steps)
    )
    best, covariance = curve_fit(
        lambda t, p0, k: curve(law, t, p0, k), times, vacuum, p0=(start, 1 / time_constant), sigma=step / ROOT_12,
        absolute_sigma=True, ftol=1e-14, xtol=1e-14, gtol=1e-14,
    )  # fmt: skip

    fit = fit_law(law, times, vacuum, step)

    assert fit is not None
    assert (fit.start_pa, fit.rate_per_s) == (
        pytest.approx(best[0], rel=1e-6),
        pytest.approx(best[1], rel=1e-4, abs=1e-8),
    )
    strays = curve(law, times, fit.start_pa, fit.rate_per_s) - vacuum
    assert fit.largest_residual_pa == pytest.approx(np.max(np.abs(strays)), rel=1e-6)
    assert fit.chi_square == pytest.approx(np.sum((strays * ROOT_12 / step) ** 2), rel=1e-6)
    assert fit.u_rate_per_s >= math.sqrt(covariance[1, 1]) * (1 - 1e-4)


def test_where_readings_differ_the_uncertainty_is_that_of_least_squares() -> None:
    times, vacuum = np.array([0.0, 5.0, 10.0]), np.array([50.0, 49.0, 48.0])
    _, covariance = curve_fit(
        lambda t, p0, k: p0 * np.exp(-k * t),
        times,
        vacuum,
        p0=(50, 0.004),
        sigma=np.full(3, 1 / ROOT_12),
        absolute_sigma=True,
    )

    fit = fit_law("exponential", times, vacuum, np.ones(3))

    assert fit is not None
    assert fit.u_rate_per_s == pytest.approx(math.sqrt(covariance[1, 1]), rel=1e-4)


def test_a_needle_that_stands_on_one_mark_was_rounded_once() -> None:
    """Five readings of 50 could be any fall that stays within a step: 50.5 to 49.5, ln(50.5/49.5)/10 s."""
    fit = fit_law("exponential", np.linspace(0, 10, 5), np.full(5, 50.0), np.ones(5))

    assert fit is not None
    assert 1.96 * fit.u_rate_per_s == pytest.approx(math.log(50.5 / 49.5) / 10, rel=1e-9)
    assert fit.fastest_per_s == pytest.approx(math.log(50.5 / 49.5) / 10, rel=1e-9)
    assert fit.slowest_per_s == pytest.approx(-math.log(50.5 / 49.5) / 10, rel=1e-9)


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("count", [3, 6, 40, 300])
def test_the_true_rate_lies_between_the_slowest_and_the_fastest(law: Law, count: int) -> None:
    times = np.linspace(0, 40, count)
    vacuum = np.round(curve(law, times, 51.3, 1 / 171))

    fit = fit_law(law, times, vacuum, np.ones(count))

    assert fit is not None
    assert fit.slowest_per_s <= 1 / 171 * (51.3 / fit.start_pa if law == "straight" else 1.0) + 1e-6
    assert fit.fastest_per_s >= 1 / 171 - 1e-4
    assert fit.slowest_per_s < fit.fastest_per_s


def test_no_curve_is_no_fit() -> None:
    def shape(loss: float) -> tuple[float, float]:
        return math.exp(-loss), -math.exp(-loss)

    times = np.array([0.0, 10.0])
    assert fit_law("exponential", times, np.array([50.0, 0.0]), np.ones(2)) is None  # no exponential ends at nothing

    assert fit_two_parameters(shape, [0.0] * 2, [1.0] * 2, [1.0] * 2, 1.0) is None
    assert fit_two_parameters(shape, [1.0] * 3, [1.0, 2.0, 3.0], [1.0] * 3, 1.0) is None


def test_another_start_falls_faster_by_the_law() -> None:
    """Drawn to a quarter: a straight fall loses four times the share, a hole twice, a fine pore the same."""
    times = np.array([0.0, 10.0])
    lost = {}
    for law in LAWS:
        fit = fit_law(law, times, curve(law, times, 40.0, 0.01), np.full(2, 0.01))
        assert fit is not None
        lost[law] = -math.log(share_kept(law, 0.1)), fit.kept(10.0, from_pa=10.0)[0]
    assert lost["exponential"][1] == pytest.approx(math.exp(-0.1))
    assert lost["orifice"][1] == pytest.approx((1 - 0.2) ** 2)
    assert lost["straight"][1] == pytest.approx(1 - 0.4)
