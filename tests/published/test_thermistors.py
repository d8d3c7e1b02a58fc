"""Thermistors: the Beta law against a data sheet and a table, Steinhart-Hart against a typical part and a whole curve."""

from __future__ import annotations

import math

import numpy as np
import pytest

from inventory.bench.methods.thermistor.laws import Beta, SteinhartHart, beta, steinhart_hart

#: Four rows of a public device table for a 10 kohm part of B 3974 K (seen; it is made from the Beta law itself).
TABLE = {-25: 146676, 5: 26075, 55: 2956, 125: 351}

#: ln(R/ohm) of an invented part as a cubic in 1/T (T in K): its B drifts with temperature, as that of real parts does.
_CUBIC = (-5.5, 4.75e3, -1.95e5, 2.6e6)


def _shape(degc: float) -> float:
    """The resistance of the invented part, ohm to four figures, as a table would print it."""
    inverse = 1.0 / (degc + 273.15)
    return float(f"{math.exp(sum(factor * inverse**power for power, factor in enumerate(_CUBIC))):.4g}")


SHAPE = {degc: _shape(degc) for degc in range(-40, 141, 10)}


def test_b_from_a_data_sheets_two_points() -> None:
    """R25 10 000 ohm and R85 1066.1 ohm, B25/85 printed 3984 K (seen); 3984.013 computed."""
    assert beta((25.0, 10_000.0), (85.0, 1066.1)).b == pytest.approx(3984.013, abs=0.001)


@pytest.mark.parametrize(("other", "factor"), [(85.0, 1779.7070), (50.0, 3853.8869), (100.0, 1483.3956)])
def test_b_by_logarithm(other: float, factor: float) -> None:
    """B = factor x ln(R25/R) for the second temperature (computed, with T = t + 273.15; IEC 60539-1 from memory)."""
    assert beta((25.0, math.e), (other, 1.0)).b == pytest.approx(factor, abs=1e-3)


@pytest.mark.parametrize(("degc", "ohm"), TABLE.items())
def test_a_table_made_from_beta(degc: int, ohm: int) -> None:
    """Every row within 1 ohm (table seen; 0.81 ohm at most, computed)."""
    law = Beta(10_000.0, 25.0, 3974.0)

    assert law.ohm(degc) == pytest.approx(ohm, abs=1.0)
    assert law.degc(law.ohm(degc)) == pytest.approx(degc, abs=1e-9)


@pytest.mark.parametrize(
    ("b", "degc", "ohm"),
    [
        (3435, 0, 28704.3),
        (3435, 50, 4101.2),
        (3435, 85, 1451.3),
        (3435, 100, 987.0),
        (3950, 0, 33620.6),
        (3950, 20, 12535.3),
        (3950, 50, 3588.2),
        (3950, 85, 1086.7),
        (3950, 100, 697.5),
    ],
)
def test_curves_by_beta_alone(b: float, degc: float, ohm: float) -> None:
    """10 kohm at 25 degC (computed)."""
    assert Beta(10_000.0, 25.0, b).ohm(degc) == pytest.approx(ohm, abs=0.1)


@pytest.mark.parametrize(("ohm", "degc"), [(3000.0, 25.507), (1000.0, 52.607), (10_000.0, 0.059)])
def test_steinhart_hart_of_a_typical_3_kohm_part(ohm: float, degc: float) -> None:
    """A 1.40e-3, B 2.37e-4, C 9.90e-8 (from memory); temperatures computed. They are no 10 kohm part's constants."""
    law = SteinhartHart(1.40e-3, 2.37e-4, 9.90e-8)

    assert law.degc(ohm) == pytest.approx(degc, abs=0.001)
    assert law.ohm(degc) == pytest.approx(ohm, rel=1e-4)


def test_steinhart_hart_through_three_points_of_a_whole_curve() -> None:
    """The constants are those that numpy.linalg.solve gives for 0, 40 and 100 degC; between them it stays close."""
    points = [(degc, SHAPE[degc]) for degc in (0, 40, 100)]
    logs = np.log([ohm for _, ohm in points])
    inverse = [1.0 / (degc + 273.15) for degc, _ in points]
    expected = np.linalg.solve(np.column_stack([np.ones(3), logs, logs**3]), inverse)

    law = steinhart_hart(points)

    assert (law.a, law.b, law.c) == pytest.approx(tuple(expected), rel=1e-9)
    assert max(abs(law.degc(ohm) - degc) for degc, ohm in SHAPE.items()) < 0.2


def test_beta_through_two_points_misses_by_degrees_far_away() -> None:
    """B is the difference of the logarithms over that of 1/T; far outside its points it misses by degrees."""
    law = beta((20.0, SHAPE[20]), (80.0, SHAPE[80]))

    assert law.b == pytest.approx(math.log(SHAPE[20] / SHAPE[80]) / (1 / 293.15 - 1 / 353.15), rel=1e-9)
    misses = {degc: law.degc(SHAPE[degc]) - degc for degc in (-40, 50, 140)}
    assert abs(misses[50]) < 0.5
    assert abs(misses[-40]) > 1.0
    assert abs(misses[140]) > 1.0


def test_near_its_points_beta_is_good_to_a_tenth() -> None:
    """Within 10 K of the middle of the fit the miss stays below 0.1 K (seen as a rule of thumb; computed here)."""
    law = beta((20.0, SHAPE[20]), (40.0, SHAPE[40]))

    assert max(abs(law.degc(SHAPE[degc]) - degc) for degc in (20, 30, 40)) < 0.1
