"""Thermistors: the Beta law against a data sheet and a table, Steinhart-Hart against a typical part and a whole curve."""

from __future__ import annotations

import math

import pytest

from inventory.bench.thermistor.laws import Beta, Curve, SteinhartHart, beta, steinhart_hart

#: Seen in a public device table for a 10 kohm part of B 3974 K (it is made from the Beta law itself).
TABLE = {-25: 146676, -15: 78875, -5: 44424, 5: 26075, 15: 15881, 25: 10000, 35: 6488, 45: 4326, 55: 2956, 65: 2066,
         75: 1474, 85: 1072, 95: 793, 105: 596, 115: 454, 125: 351}  # fmt: skip

#: A sensor's nominal table, seen; used as a shape only, with no authority for any part.
SHAPE = {-40: 48805, -30: 27414, -20: 15971, -10: 9620, 0: 5975, 10: 3816, 20: 2502, 25: 2044, 30: 1679, 40: 1152,
         50: 806.9, 60: 575.8, 70: 418.1, 80: 308.6, 90: 231.2, 100: 175.7, 110: 135.2, 120: 105.4, 130: 83.1,
         140: 66.2}  # fmt: skip


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
    """Through 0, 40 and 100 degC the constants and the worst miss, 0.038 K from -40 to 140 degC (computed)."""
    law = steinhart_hart([(degc, SHAPE[degc]) for degc in (0, 40, 100)])

    assert (law.a, law.b, law.c) == pytest.approx((1.33514771e-3, 2.56168319e-4, 1.49630613e-7), rel=1e-6)
    assert max(abs(law.degc(ohm) - degc) for degc, ohm in SHAPE.items()) == pytest.approx(0.038, abs=0.0005)


def test_beta_through_two_points_misses_by_degrees_far_away() -> None:
    """Through 20 and 80 degC: B 3610.98; +3.04 K at -40, -0.34 at 50, +0.59 at 100, +1.46 at 120 (computed)."""
    law = beta((20.0, 2502.0), (80.0, 308.6))

    assert law.b == pytest.approx(3610.98, abs=0.01)
    misses = {degc: law.degc(SHAPE[degc]) - degc for degc in (-40, 50, 100, 120)}
    assert misses == pytest.approx({-40: 3.04, 50: -0.34, 100: 0.59, 120: 1.46}, abs=0.006)


def test_near_its_points_beta_is_good_to_a_tenth() -> None:
    """Within 10 K of the middle of the fit the miss stays below 0.1 K (seen as a rule of thumb; computed here)."""
    law = beta((20.0, SHAPE[20]), (40.0, SHAPE[40]))

    assert max(abs(law.degc(SHAPE[degc]) - degc) for degc in (20, 25, 30, 40)) < 0.1


def test_between_the_points_of_a_coarse_table_the_curve_is_as_good() -> None:
    """Every second point left out and told from the others: within 0.06 K (computed)."""
    coarse = Curve(tuple((float(degc), float(ohm)) for degc, ohm in SHAPE.items() if degc % 20 == 0))

    for degc, ohm in SHAPE.items():
        assert coarse.degc(float(ohm)) == pytest.approx(degc, abs=0.06)
        assert coarse.ohm(float(degc)) == pytest.approx(ohm, rel=0.003)
