"""Quantities as typed: what is taken, what is refused, and in which words."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.bench.units import Dimension, parse_quantity, shown
from inventory.errors import Refused


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
    ("text", "dimension", "message"),
    [
        ("50 bananas", "pressure", '"50 bananas": bananas is no unit'),
        ("50 cmhg", "pressure", '"50 cmhg": cmhg is no unit'),
        ("50 kg", "pressure", '"50 kg" is a mass, a pressure is wanted'),
        ("10 s", "pressure", '"10 s" is a time, a pressure is wanted'),
        ("31 C", "temperature", '"31 C" is an electric charge, a temperature is wanted'),
        ("5 mi/h", "pressure", '"5 mi/h" is something else, a pressure is wanted'),
        ("10degC", "temperature difference", '"10degC" is a temperature, a temperature difference is wanted'),
        ("10delta_degC", "temperature", '"10delta_degC" is a difference of temperature, a temperature is wanted'),
        ("50", "pressure", '"50" has no unit'),
        ("nan cmHg", "pressure", '"nan cmHg" does not begin with a number'),
        ("inf kPa", "pressure", '"inf kPa" does not begin with a number'),
        ("", "pressure", '"" does not begin with a number'),
        ("-5cmHg", "pressure", '"-5cmHg" is below zero; a vacuum, written without a sign, is wanted'),
        ("-1ohm", "resistance", '"-1ohm" is below zero; a resistance is wanted'),
        ("-300degC", "temperature", '"-300degC" is colder than absolute zero'),
        ("1,234ohm", "resistance", '"1,234ohm" can be read in two ways'),
        ("1.234,5ohm", "resistance", '"1.234,5ohm" can be read in two ways'),
        ("OL", "pressure", '"OL" does not begin with a number'),
        (">50cmHg", "pressure", '">50cmHg" cannot be beyond the range here'),
        ("5 9**9", "pressure", '"5 9**9": 9**9 is no unit'),
        ("10 1/s", "time", '"10 1/s": 1/s is no unit'),
        ("2.5V", "current", '"2.5V" is a voltage, a current is wanted'),
        ("0.5A", "inductance", '"0.5A" is a current, an inductance is wanted'),
        ("3", "share", '"3" has no unit'),
        ("3ohm", "share", '"3ohm": ohm is no unit of a share'),
        ("20%", "count", '"20%": % is no unit of a count'),
        ("-1", "count", '"-1" is below zero; a count is wanted'),
        ("90", "angle", '"90" has no unit'),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_sentence(text: str, dimension: Dimension, message: str) -> None:
    with pytest.raises(Refused) as refused:
        parse_quantity(text, dimension)
    assert refused.value.message == message
    assert refused.value.hint


def test_a_very_long_number_is_refused_without_being_printed_in_full() -> None:
    with pytest.raises(Refused, match="is too long") as refused:
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
