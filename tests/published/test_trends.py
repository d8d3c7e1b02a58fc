"""Trends against worked examples and other people's programs.

EPA QA/G-9S p. 109 and the Wisconsin code were seen at second hand, the Holy Cross example in its own page; Gilbert's
from memory. What scipy and pymannkendall give is worked out here.
"""

from __future__ import annotations

import itertools
from collections import Counter
from fractions import Fraction

import pymannkendall
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inventory.bench.runs.trend.statistics import mann_kendall, theil_sen

EPA = [10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15]
HOLY_CROSS = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]
WISCONSIN = [100, 50, 85, 75, 50]
GILBERT = [10, 15, 14, 20]


def test_epa_qa_g_9s() -> None:
    """EPA QA/G-9S (2006), p. 109: ties 4 and 2, S 22, variance 155.33, Z 1.685 (seen); p 0.046, slope 1.0 (computed)."""
    test = mann_kendall(EPA)
    line = theil_sen(range(11), EPA)

    assert (test.s, test.exact) == (22, False)
    assert test.variance == pytest.approx(155.33, abs=0.005)
    assert test.z == pytest.approx(1.685, abs=0.0005)
    assert test.p_rising == pytest.approx(0.045999, abs=5e-7)
    assert test.p == pytest.approx(0.092, abs=0.0005)
    assert (line.slope, line.intercept) == pytest.approx((1.0, 10.0))


def test_holy_cross_by_hand() -> None:
    """91 pairs, 18 down, 1 tie, 72 up: S 54, Z 2.9058, p 0.0018 (seen); the slope, 17/30, and its ends computed."""
    test = mann_kendall(HOLY_CROSS)
    line = theil_sen(range(14), HOLY_CROSS)

    assert test.s == 54
    assert test.variance == pytest.approx(332.6667, abs=5e-5)
    assert test.z == pytest.approx(2.9058, abs=5e-5)
    assert test.p_rising == pytest.approx(0.0018, abs=5e-5)
    assert line.slope == pytest.approx(17 / 30)
    assert (line.low, line.high) == pytest.approx((0.325, 0.866667), abs=1e-6)
    assert line.intercept == pytest.approx(11.966667, abs=1e-6)


def test_wisconsin_code() -> None:
    """Row sums -4 +2 -2 -1: S -5 (seen); variance 15.6667 and slope -9.166667 computed."""
    test = mann_kendall(WISCONSIN)

    assert test.s == -5
    assert test.variance == pytest.approx(15.6667, abs=5e-5)
    assert theil_sen(range(5), WISCONSIN).slope == pytest.approx(-9.166667, abs=1e-6)


@pytest.mark.parametrize(("n", "critical"), [(4, 4), (5, 5), (6, 6), (7, 7), (8, 8), (9, 10), (10, 11)])
def test_wisconsin_critical_values(n: int, critical: int) -> None:
    """The S at which one side of 0.2 is reached, n 4 to 10 (seen); of odd S and even S only every second one occurs."""
    chances = {test.s: test.p_rising for test in map(mann_kendall, _every_s(n))}

    reached = min(s for s, p in chances.items() if p <= 0.2)
    assert reached - 2 < critical <= reached


def _every_s(n: int) -> list[list[int]]:
    """One order of n different values for each S: the greatest goes further to the front, then the next."""
    orders = [list(range(n))]
    for value in range(n - 1, 0, -1):
        for _ in range(value):
            last = orders[-1].copy()
            place = last.index(value)
            last[place - 1], last[place] = last[place], last[place - 1]
            orders.append(last)
    return orders


def test_gilbert_16_4_2() -> None:
    """Gilbert 1987, 16.4.2: S +4, p 0.167 (from memory); 4/24 and the slope 2.916667 computed."""
    test = mann_kendall(GILBERT)

    assert (test.s, test.exact) == (4, True)
    assert test.p_rising == pytest.approx(4 / 24)
    assert theil_sen(range(4), GILBERT).slope == pytest.approx(2.916667, abs=1e-6)


@pytest.mark.parametrize(
    ("n", "s", "p"),
    [
        (4, 4, 0.1667),
        (4, 6, 0.0417),
        (5, 6, 0.1167),
        (5, 8, 0.0417),
        (5, 10, 0.0083),
        (6, 11, 0.0278),
        (7, 13, 0.0345),
        (8, 16, 0.0305),
        (10, 21, 0.0363),
        (10, 23, 0.0233),
    ],
)
def test_kendalls_table(n: int, s: int, p: float) -> None:
    """Gilbert 1987, table A18 / Kendall (from memory; each computed by going through all orders)."""
    chances = {test.s: test.p_rising for test in map(mann_kendall, _every_s(n))}

    assert chances[s] == pytest.approx(p, abs=1e-4)


@given(values=st.lists(st.integers(0, 3), min_size=2, max_size=6))
def test_small_samples_with_ties_are_counted_exactly(values: list[int]) -> None:
    """Against going through every order (computed)."""
    test = mann_kendall(values)

    counted = Counter(_s(order) for order in itertools.permutations(values))
    as_high = sum(many for s, many in counted.items() if s >= test.s)
    assert test.s == _s(tuple(values))
    assert test.p_rising == pytest.approx(float(Fraction(as_high, counted.total())))


def _s(values: tuple[int, ...]) -> int:
    return sum((b > a) - (b < a) for a, b in itertools.combinations(values, 2))


@given(values=st.lists(st.integers(0, 40), min_size=11, max_size=30).filter(lambda each: len(set(each)) > 1))
def test_the_approximation_is_that_of_other_programs(values: list[int]) -> None:
    """pymannkendall 1.4.3 original_test and scipy theilslopes (computed); both take the normal law at any length."""
    test, line = mann_kendall(values), theil_sen(range(len(values)), values)

    theirs = pymannkendall.original_test(values)
    slopes = stats.theilslopes(values, range(len(values)), 0.95)
    assert (test.s, test.variance) == (theirs.s, pytest.approx(theirs.var_s))
    assert test.p == pytest.approx(theirs.p, abs=1e-9)
    assert line.slope == pytest.approx(theirs.slope)
    assert (line.low, line.high) == pytest.approx((slopes.low_slope, slopes.high_slope))


@given(values=st.lists(st.integers(0, 9), min_size=5, max_size=10, unique=True))
def test_without_ties_the_interval_shows_a_trend_where_the_test_does(values: list[int]) -> None:
    """Computed: the interval is the test turned round."""
    test, line = mann_kendall(values), theil_sen(range(len(values)), values)

    assert (line.low > 0 or line.high < 0) == (test.p <= 0.05)


def test_dates_may_be_irregular() -> None:
    """Slope by (x_j - x_i)/(t_j - t_i): VSP's help page (seen)."""
    times = [0.0, 1.0, 5.0, 5.5, 9.0]

    assert theil_sen(times, [2.0 + 0.25 * t for t in times]).slope == pytest.approx(0.25)
