"""The comparison of two inductances against the law of propagation and the remainder of linear interpolation."""

from __future__ import annotations

import math

import pytest

from inventory.bench.methods.sweep.curve import Meter, Point, Value, Way
from inventory.bench.methods.sweep.ratios import relative_difference
from inventory.bench.quantities.readings import MeterSpec

EXACT = Meter("", MeterSpec(0.0, 0.0, 0.0, "without fault"))


@pytest.mark.parametrize(
    ("x", "u_x", "y", "u_y", "u_relative"),
    [
        (1.50, 0.003, 1.50, 0.004, 0.00333333),
        (1.20, 0.012, 1.60, 0.016, 0.01414214),
        (0.85, 0.017, 1.70, 0.0, 0.02),
    ],
)
def test_a_quotients_uncertainty(x: float, u_x: float, y: float, u_y: float, u_relative: float) -> None:
    """(u/q)^2 = (u_x/x)^2 + (u_y/y)^2 for q = x/y: JCGM 100:2008, 5.1.6, equation (12) (from memory); computed."""
    difference, u, _ = relative_difference(Value(x, u_x), Value(y, u_y))

    assert difference == pytest.approx(x / y - 1.0, abs=1e-12)
    assert u / (x / y) == pytest.approx(u_relative, abs=1e-8)


def test_a_common_scale_enters_once() -> None:
    """A factor with relative uncertainty 0.01 beside a quotient with 0.00333333: JCGM 100, 5.1.6 (from memory)."""
    _, u, _ = relative_difference(Value(1.5, 0.003), Value(1.5, 0.004), 0.01)

    assert u == pytest.approx(math.hypot(0.01, 1 / 300), rel=1e-9)


@pytest.mark.parametrize("x", [11.0, 15.0, 18.0])
def test_a_parabola_lies_off_its_chord_by_the_remainder(x: float) -> None:
    """f(x) - chord = f''/2 (x - a)(x - b): the remainder of linear interpolation, any numerical analysis (from memory).

    For f = 3 - x^2/1000 the second derivative is constant, so the bound is met exactly; it is taken as the half-width
    of a rectangle (JCGM 100:2008, 4.3.7, from memory).
    """

    def f(at: float) -> float:
        return 3.0 - at**2 / 1000.0

    way = Way(tuple(Point(at, 0.0, f(at), 0.0, "") for at in (0.0, 10.0, 20.0, 30.0, 40.0)))

    found = way.value(x, EXACT)

    assert found is not None
    assert abs(found.value - f(x)) == pytest.approx((x - 10.0) * (20.0 - x) / 1000.0, rel=1e-9)
    assert found.u * math.sqrt(3.0) == pytest.approx(abs(found.value - f(x)), rel=1e-9)
