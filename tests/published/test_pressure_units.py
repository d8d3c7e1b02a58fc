"""Pressure units against NIST SP 811, and gauge vacuum against absolute pressure."""

from __future__ import annotations

import pytest

from inventory.bench.quantities.units import parse_quantity


@pytest.mark.parametrize(
    ("unit", "pascal"),
    [
        ("mmHg", 1.333224e2),
        ("cmHg", 1.333224e3),
        ("inHg", 3.386389e3),
        ("torr", 1.333224e2),
        ("psi", 6.894757e3),
        ("inH2O", 2.490889e2),
    ],
)
def test_sp_811_as_printed(unit: str, pascal: float) -> None:
    """NIST SP 811 (2008), appendices B.8 and B.9, conventional mercury and water; read in transcriptions of it."""
    assert parse_quantity(f"1{unit}", "pressure").si == pytest.approx(pascal, rel=1e-6)


@pytest.mark.parametrize(("unit", "pascal"), [("mbar", 100.0), ("bar", 1e5), ("atm", 101325.0), ("at", 98066.5)])
def test_exact_by_definition(unit: str, pascal: float) -> None:
    """NIST SP 811 (2008), appendix B.8: these are exact."""
    assert parse_quantity(f"1{unit}", "pressure").si == pytest.approx(pascal, rel=1e-14)


def test_a_conventional_centimetre_of_mercury_from_its_definition() -> None:
    """13 595.1 kg/m3 x 9.806 65 m/s2 x 0.01 m (NIST SP 811, footnote on conventional mercury columns)."""
    assert parse_quantity("1cmHg", "pressure").si == pytest.approx(13595.1 * 9.80665 * 0.01, rel=1e-12)


def test_a_torr_is_not_quite_a_millimetre_of_mercury() -> None:
    """101 325/760 Pa against the conventional millimetre: equal to 1e-6, never exactly (computed)."""
    torr, mmhg = (parse_quantity(f"1{unit}", "pressure").si for unit in ("torr", "mmHg"))
    assert torr == pytest.approx(101325 / 760, rel=1e-12)
    assert torr / mmhg == pytest.approx(0.9999998575, abs=1e-10)


@pytest.mark.parametrize(
    ("vacuum", "absolute_kpa"),
    [("15inHg", 50.529), ("20inHg", 33.597), ("500mmHg", 34.664), ("0.5bar", 51.325)],
)
def test_gauge_vacuum_against_absolute_pressure(vacuum: str, absolute_kpa: float) -> None:
    """p_abs = 101.325 kPa - vacuum (computed from the SP 811 factors)."""
    assert 101.325 - parse_quantity(vacuum, "pressure").si / 1e3 == pytest.approx(absolute_kpa, abs=1e-3)
