"""Combining uncertainties, against the worked examples of JCGM 100 (GUM) annex H, EA-4/02 and meters' booklets."""

from __future__ import annotations

import math
from statistics import correlation, fmean, stdev

import pytest

from inventory.bench.quantities.correction import straight_line
from inventory.bench.quantities.uncertainty import (
    Component,
    Input,
    combined,
    covariance,
    coverage_factor,
    effective_freedom,
    propagated,
    rectangular,
)

VOLTS = [5.007, 4.994, 5.005, 4.990, 4.999]
AMPERES = [0.019663, 0.019639, 0.019640, 0.019685, 0.019678]
RADIANS = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]

#: GUM H.3, seen in a public copy of the example (t in degC, correction b in degC).
THERMOMETER = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTIONS = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def observed(values: list[float]) -> Input:
    """The mean of observations, with the standard deviation of the mean (JCGM 100, 4.2.3)."""
    return Input(fmean(values), stdev(values) / math.sqrt(len(values)), len(values) - 1.0)


def test_gum_h1_gauge_block() -> None:
    """JCGM 100:2008, H.1. Inputs, u = 32 nm (first order 31.71) and 16 degrees of freedom seen; 31.711 computed.

    Degrees of freedom of the inputs (18, 25.6 for d, 50 for the difference of alphas, 2 for that of temperatures)
    from memory.
    """

    def length(l_s: float, d: float, d_alpha: float, theta: float, alpha_s: float, d_theta: float) -> float:
        return l_s + d - l_s * (d_alpha * theta + alpha_s * d_theta)

    inputs = [
        Input(50_000_623.0, 25.0, 18.0),
        Input(215.0, 9.7, 25.6),
        Input(0.0, 0.58e-6, 50.0),
        Input(-0.1, 0.41),
        Input(11.5e-6, 1.2e-6),
        Input(0.0, 0.029, 2.0),
    ]

    found = propagated(length, inputs)

    assert found.value == pytest.approx(50_000_838.0, abs=0.5)  # seen
    assert found.u == pytest.approx(31.711, abs=0.05)  # computed; printed 32
    assert math.floor(effective_freedom(found.components)) == 16  # seen
    assert coverage_factor(found.components, 0.99) * found.u == pytest.approx(93.0, abs=1.0)  # seen


def test_gum_h2_resistance_and_reactance_from_readings_taken_together() -> None:
    """JCGM 100:2008, H.2. Readings, values and uncertainties seen; the last digits computed."""
    inputs = [observed(VOLTS), observed(AMPERES), observed(RADIANS)]
    r = {
        (0, 1): correlation(VOLTS, AMPERES),
        (0, 2): correlation(VOLTS, RADIANS),
        (1, 2): correlation(AMPERES, RADIANS),
    }

    resistance = propagated(lambda v, i, phi: v / i * math.cos(phi), inputs, r)
    reactance = propagated(lambda v, i, phi: v / i * math.sin(phi), inputs, r)
    impedance = propagated(lambda v, i, _: v / i, inputs, r)

    assert [each.u for each in inputs] == pytest.approx([0.0032, 0.0095e-3, 0.00075], rel=0.01)  # seen
    assert [r[0, 1], r[0, 2], r[1, 2]] == pytest.approx([-0.36, 0.86, -0.65], abs=0.005)  # seen
    assert resistance.value == pytest.approx(127.732, abs=0.001)  # seen
    assert reactance.value == pytest.approx(219.847, abs=0.001)  # seen as 219.85
    assert impedance.value == pytest.approx(254.260, abs=0.001)  # seen as 254.26
    assert resistance.u == pytest.approx(0.0711, abs=0.0005)  # seen as 0.071
    assert reactance.u == pytest.approx(0.2956, abs=0.001)  # seen as 0.30
    assert impedance.u == pytest.approx(0.2363, abs=0.001)  # seen as 0.24

    def together(one: tuple[Component, ...], other: tuple[Component, ...]) -> float:
        return covariance(one, other, r) / (combined(one, r) * combined(other, r))

    assert together(resistance.components, reactance.components) == pytest.approx(-0.588, abs=0.001)  # seen as -0.59
    assert together(resistance.components, impedance.components) == pytest.approx(-0.485, abs=0.001)  # seen as -0.49
    assert together(reactance.components, impedance.components) == pytest.approx(0.993, abs=0.001)  # seen as 0.99


def test_gum_h2_without_the_correlations_is_far_too_wide() -> None:
    """Computed: 0.195 ohm instead of 0.071, which is why readings taken together need their covariance."""
    found = propagated(lambda v, i, phi: v / i * math.cos(phi), [observed(VOLTS), observed(AMPERES), observed(RADIANS)])

    assert found.u == pytest.approx(0.195, abs=0.001)


def test_gum_h3_straight_calibration_line() -> None:
    """JCGM 100:2008, H.3. Data seen; the printed constants from memory, and computed to agree."""
    line = straight_line(THERMOMETER, CORRECTIONS, 20.0)

    assert line.intercept == pytest.approx(-0.1712, abs=0.00005)
    assert line.u_intercept == pytest.approx(0.0029, abs=0.00005)
    assert line.slope == pytest.approx(0.00218, abs=0.000005)
    assert line.u_slope == pytest.approx(0.00067, abs=0.000005)
    assert line.correlation == pytest.approx(-0.930, abs=0.0005)
    assert line.scatter == pytest.approx(0.0035, abs=0.00005)
    assert line.at(30.0) == pytest.approx((-0.1494, 0.0041), abs=0.00005)


def test_gum_h3_about_its_middle_says_the_same_without_correlation() -> None:
    """JCGM 100:2008, H.3.5: referred to the mean of the temperatures, the two constants are uncorrelated (computed)."""
    about_20, about_the_middle = straight_line(THERMOMETER, CORRECTIONS, 20.0), straight_line(THERMOMETER, CORRECTIONS)

    assert about_the_middle.correlation == pytest.approx(0.0, abs=1e-9)
    assert about_the_middle.at(30.0) == pytest.approx(about_20.at(30.0), rel=1e-9)


def test_jcgm_101_sum_of_four_normal_quantities() -> None:
    """JCGM 101:2008, 9.2.2: mean 0, u 2.0 (seen)."""
    found = propagated(lambda a, b, c, d: a + b + c + d, [Input(0.0, 1.0)] * 4)

    assert (found.value, found.u) == pytest.approx((0.0, 2.0))


def test_ea_4_02_s9_hand_held_multimeter() -> None:
    """EA-4/02 M:2013, S9 at 100 V. Components, u 0.030 V, k = 1.65 and U = 0.05 V seen; 0.029575 computed."""
    inputs = [Input(0.0, 0.001), rectangular(0.0, 0.05), rectangular(0.0, 0.011)]

    found = propagated(lambda standard, shown, other: standard + shown + other, inputs)
    k = coverage_factor(found.components)

    assert [each.u for each in inputs] == pytest.approx([0.001, 0.029, 0.0064], abs=0.0005)
    assert found.u == pytest.approx(0.029575, abs=1e-6)
    assert k == pytest.approx(1.65, abs=0.005)
    assert k * found.u == pytest.approx(0.05, abs=0.005)


@pytest.mark.parametrize(
    ("ohm", "share", "counts", "step", "half_width", "u"),
    [(2.40, 0.005, 2, 0.01, 0.0320, 0.018475), (1000.0, 0.008, 3, 1.0, 11.0, 6.3509)],
)
def test_a_meters_booklet_as_a_rectangle(
    ohm: float, share: float, counts: int, step: float, half_width: float, u: float
) -> None:
    """Half-width over root 3: JCGM 100:2008, 4.3.7 (from memory); figures computed."""
    read = rectangular(ohm, share * ohm + counts * step)

    assert share * ohm + counts * step == pytest.approx(half_width)
    assert read.u == pytest.approx(u, abs=5e-5)


def test_few_observations_take_students_law() -> None:
    """Student's t at 95 % for 4 degrees of freedom is 2.776 (JCGM 100, table G.2, from memory; computed)."""
    one = observed(VOLTS)

    assert coverage_factor([Component(one.u, one.freedom)]) == pytest.approx(2.776, abs=0.0005)


def test_a_normal_law_is_covered_by_196() -> None:
    """1.960 at 95 % (JCGM 100, table G.1, from memory; computed)."""
    assert coverage_factor([Component(1.0), Component(1.0)]) == pytest.approx(1.960, abs=0.0005)
