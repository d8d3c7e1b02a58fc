"""Quantities as typed: what is taken, what is refused, and in which words."""

from __future__ import annotations

import re
from contextlib import suppress
from importlib.resources import files

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.bench.quantities.units import Dimension, _registry, _unit, _unit_by_pint, parse_quantity, shown
from inventory.bench.quantities.usual_units import USUAL_UNITS
from inventory.errors import Refused
from inventory.reference.forms import UNITS


@pytest.mark.parametrize(
    ("text", "dimension", "si", "step_si"),
    [
        ("50cmHg", "pressure", 66661.19370750, 1333.22387415),
        ("50 cmHg", "pressure", 66661.19370750, 1333.22387415),
        ("20 in Hg", "pressure", 67727.77280682, 3386.388640341),
        ("49,5 kPa", "pressure", 49500.0, 100.0),
        ("50.0kPa", "pressure", 50000.0, 100.0),
        ("1005hPa", "pressure", 100500.0, 100.0),
        ("94.1ohm", "resistance", 94.1, 0.1),
        ("94.1 Ω", "resistance", 94.1, 0.1),
        ("4.7 kΩ", "resistance", 4700.0, 100.0),
        ("0,125ohm", "resistance", 0.125, 0.001),
        ("5Mohm", "resistance", 5e6, 1e6),
        ("5mohm", "resistance", 0.005, 0.001),
        ("31degC", "temperature", 304.15, 1.0),
        ("31 °C", "temperature", 304.15, 1.0),
        ("-5degC", "temperature", 268.15, 1.0),
        ("\u22125degC", "temperature", 268.15, 1.0),
        ("68degF", "temperature", 293.15, 5 / 9),
        ("10K", "temperature difference", 10.0, 1.0),
        ("10delta_degC", "temperature difference", 10.0, 1.0),
        ("60ml", "volume", 6e-5, 1e-6),
        ("60 cm³", "volume", 6e-5, 1e-6),
        ("60cm3", "volume", 6e-5, 1e-6),
        ("1.5min", "time", 90.0, 6.0),
        ("0.12V", "voltage", 0.12, 0.01),
        ("120 mV", "voltage", 0.12, 0.001),
        ("6.4A", "current", 6.4, 0.1),
        ("1.5 l/min", "flow rate", 2.5e-5, 1.0e-4 / 60),
        ("90l/h", "flow rate", 2.5e-5, 1e-3 / 3600),
        ("180 ml/min", "flow rate", 3e-6, 1e-6 / 60),
        ("1.85mH", "inductance", 1.85e-3, 1e-5),
        ("850 µH", "inductance", 8.5e-4, 1e-6),
        ("120Hz", "frequency", 120.0, 1.0),
        ("1kHz", "frequency", 1000.0, 1000.0),
        ("2.5%", "share", 0.025, 0.001),
        ("2,5 % CO", "share", 0.025, 0.001),
        ("0.98", "ratio", 0.98, 0.01),
        ("0.98 lambda", "ratio", 0.98, 0.01),
        ("20", "count", 20.0, 1.0),
        ("20 steps", "count", 20.0, 1.0),
        ("2drops/min", "drop rate", 2 / 60, 1 / 60),
        ("90deg", "angle", 90.0, 1.0),
        ("90 °", "angle", 90.0, 1.0),
    ],
)
def test_what_is_typed_is_understood_with_its_last_digit(
    text: str, dimension: Dimension, si: float, step_si: float
) -> None:
    quantity = parse_quantity(text, dimension)
    assert quantity.si == pytest.approx(si, rel=1e-9)
    assert quantity.step_si == pytest.approx(step_si, rel=1e-9)
    assert not quantity.beyond


@pytest.mark.parametrize(
    ("text", "dimension", "code"),
    [
        ("50 bananas", "pressure", "no-such-unit"),
        ("50 kg", "pressure", "wrong-dimension"),
        ("10 s", "pressure", "wrong-dimension"),
        ("5 mi/h", "pressure", "wrong-dimension"),
        ("10degC", "temperature difference", "wrong-dimension"),
        ("10delta_degC", "temperature", "wrong-dimension"),
        ("50", "pressure", "no-quantity"),
        ("nan cmHg", "pressure", "no-quantity"),
        ("inf kPa", "pressure", "no-quantity"),
        ("", "pressure", "no-quantity"),
        ("-5cmHg", "pressure", "no-quantity"),
        ("-1ohm", "resistance", "no-quantity"),
        ("-300degC", "temperature", "no-quantity"),
        ("1,234ohm", "resistance", "ambiguous-number"),
        ("1.234,5ohm", "resistance", "ambiguous-number"),
        ("OL", "pressure", "no-quantity"),
        (">50cmHg", "pressure", "no-quantity"),
        ("5 9**9", "pressure", "no-such-unit"),
        ("10 1/s", "time", "no-such-unit"),
        ("2.5V", "current", "wrong-dimension"),
        ("0.5A", "inductance", "wrong-dimension"),
        ("3", "share", "no-quantity"),
        ("3ohm", "share", "no-such-unit"),
        ("20%", "count", "no-such-unit"),
        ("-1", "count", "no-quantity"),
        ("90", "angle", "no-quantity"),
    ],
)
def test_what_cannot_be_read_is_refused(text: str, dimension: Dimension, code: str) -> None:
    with pytest.raises(Refused) as refused:
        parse_quantity(text, dimension)
    assert refused.value.code == code
    assert refused.value.hint


def test_a_very_long_number_is_refused_without_being_printed_in_full() -> None:
    with pytest.raises(Refused) as refused:
        parse_quantity("9" * 4000 + "Pa", "pressure")
    assert len(refused.value.message) < 100


@pytest.mark.parametrize(
    ("text", "si", "typed"),
    [("OL", 0.0, "OL"), ("ol", 0.0, "OL"), (">20Mohm", 2e7, ">20Mohm"), ("> 20 Mohm", 2e7, ">20Mohm")],
)
def test_beyond_the_range_is_a_bound_not_a_number(text: str, si: float, typed: str) -> None:
    quantity = parse_quantity(text, "resistance")
    assert quantity.beyond
    assert quantity.si == pytest.approx(si)
    assert quantity.typed == typed


def test_the_typed_digits_are_kept() -> None:
    quantity = parse_quantity(" 049,50 kPa", "pressure")
    assert (quantity.text, quantity.unit, quantity.value) == ("049,50", "kPa", 49.5)


@pytest.mark.parametrize(
    ("value", "step", "expected"),
    [(48.0012, 1.0, "48.0"), (48.6, 0.1, "48.60"), (477.6, 10.0, "478"), (1.0, 0.5, "1.00")],
)
def test_a_number_is_shown_one_digit_finer_than_the_gauge(value: float, step: float, expected: str) -> None:
    assert shown(value, step) == expected


def test_a_plain_number_has_a_unit_of_one() -> None:
    quantity = parse_quantity("20", "count")
    assert (quantity.spaced, quantity.unit_si) == ("20", 1.0)


def test_every_unit_means_what_the_librarys_own_file_says() -> None:
    """Under every name a unit has here. The library defines most of what is in its own file by the same sources."""
    ours, own = _registry(), pint.UnitRegistry()
    names = {name for name in ours._units if name and not name.startswith("conventional_")}

    def meant(registry: pint.UnitRegistry, name: str) -> tuple[float, float, str]:
        none, one = (registry.Quantity(value, name).to_base_units() for value in (0.0, 1.0))
        return one.magnitude - none.magnitude, none.magnitude, str(one.units)

    assert len(names) > 100
    for name in names:
        assert meant(ours, name)[2] == meant(own, name)[2], name
        assert meant(ours, name)[:2] == pytest.approx(meant(own, name)[:2], rel=1e-12, abs=1e-12), name


@pytest.mark.parametrize("name", USUAL_UNITS)
def test_a_usual_unit_means_what_pint_says(name: str) -> None:
    usual, ours = _unit(name), _unit_by_pint(name)

    assert usual is not None and ours is not None
    assert usual.dimensions == ours.dimensions
    assert (usual.factor, usual.offset) == pytest.approx((ours.factor, ours.offset), rel=1e-15)


def test_every_line_of_a_unit_names_its_source() -> None:
    lines = (files("inventory.reference") / "units.txt").read_text(encoding="utf-8").splitlines()
    units = [line for line in lines if " = " in line and not line.startswith(("#", " "))]

    assert len(units) > 50
    assert [line for line in units if not re.search(r"# (SI|SP 811|as above)\b", line)] == []


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_every_unit_that_a_limit_may_be_given_in_is_read(unit: str) -> None:
    assert parse_quantity(f"1{unit}", UNITS[unit]).si >= 0.0  # type: ignore[arg-type]


@pytest.mark.parametrize(("text", "dimension"), [("1gal", "volume"), ("1pint", "volume"), ("3000rpm", "frequency")])
def test_units_left_out_on_purpose_are_none(text: str, dimension: Dimension) -> None:
    """Gallons and pints differ between two countries; revolutions a minute once passed for 314 Hz."""
    with pytest.raises(Refused) as refused:
        parse_quantity(text, dimension)
    assert refused.value.code == "no-such-unit"


@given(
    tenths=st.integers(0, 99999),
    unit=st.sampled_from(["cmHg", "mmHg", "inHg", "torr", "kPa", "hPa", "mbar", "bar", "psi"]),
    blank=st.sampled_from(["", " "]),
)
def test_blank_and_comma_never_change_the_meaning(tenths: int, unit: str, blank: str) -> None:
    point = parse_quantity(f"{tenths // 10}.{tenths % 10}{unit}", "pressure")
    comma = parse_quantity(f"{tenths // 10},{tenths % 10}{blank}{unit}", "pressure")
    assert comma.si == point.si
    assert comma.unit_si * comma.value == pytest.approx(comma.si)


@given(st.text(max_size=30))
def test_any_text_is_a_quantity_or_a_refusal(text: str) -> None:
    with suppress(Refused):
        assert parse_quantity(text, "resistance").si >= 0.0
