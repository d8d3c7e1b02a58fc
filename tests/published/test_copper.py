"""Copper against IEC 60028 and the formula with 235."""

from __future__ import annotations

import pytest

from inventory.bench.methods.resistance.judgement import copper_at_20
from inventory.reference.data import PROGRAM
from tests.judging import judge

ALPHA = PROGRAM.procedure("resistance").figures["copper"].value


def test_the_coefficient_is_that_of_the_standard() -> None:
    """0.00393 per kelvin at 20 degC, constant mass: IEC 60028:1925 (value quoted from memory)."""
    assert ALPHA == 0.00393


@pytest.mark.parametrize(
    ("ohm", "degc", "by_alpha", "by_235"),
    [(2.40, 25.0, 2.353749, 2.353846), (2.40, 35.0, 2.266396, 2.266667)],
)
def test_to_20_degc_by_both_formulas(ohm: float, degc: float, by_alpha: float, by_235: float) -> None:
    """R2 = R1 (235 + t2)/(235 + t1) is the resistance method of IEC 60034-1 (k = 235 from memory); figures computed."""
    assert copper_at_20(ohm, degc, ALPHA) == pytest.approx(by_alpha, abs=1e-6)
    assert ohm * (235 + 20) / (235 + degc) == pytest.approx(by_235, abs=1e-6)
    assert copper_at_20(ohm, degc, ALPHA) == pytest.approx(by_235, rel=5e-4)


@pytest.mark.parametrize(("cold", "degc", "hot"), [(10.0, 80.0, 12.358), (100.0, 75.0, 121.615)])
def test_from_a_warm_winding_back_to_20_degc(cold: float, degc: float, hot: float) -> None:
    """Computed with 0.00393 (IEC 60028); the two formulas differ by less than 0.05 % between 20 and 80 degC."""
    assert copper_at_20(hot, degc, ALPHA) == pytest.approx(cold, rel=1e-9)
    assert hot * 255 / (235 + degc) == pytest.approx(cold, rel=5e-4)


def test_a_winding_that_rose_65_k_comes_back_to_what_it_was() -> None:
    """IEC 60034-1, resistance method (k = 235 from memory): 1.00 ohm at 25 degC, 1.25 ohm hot: 90.0 degC (computed)."""
    hot = 1.25 / 1.00 * (235 + 25) - 235

    assert hot == pytest.approx(90.0)
    assert copper_at_20(1.25, hot, ALPHA) == pytest.approx(copper_at_20(1.00, 25.0, ALPHA), rel=5e-4)


def test_a_meters_specification_as_a_standard_uncertainty() -> None:
    """0.5 % + 2 counts of 0.01 at 2.40 ohm: half-width 0.0320, U(k=2) 0.03695 ohm.

    Half-width over the root of 3: JCGM 100:2008, 4.3.7 (from memory); figures computed.
    """
    run = judge("resistance", "injector", ["coil=2.40ohm"], {"meter": "0.5% + 2 x 0.01ohm", "ambient": "20degC"})
    coil = run.figures["coil"]
    assert isinstance(coil, dict)
    assert coil["expanded_uncertainty_ohm"] == pytest.approx(0.03695, abs=1e-5)
