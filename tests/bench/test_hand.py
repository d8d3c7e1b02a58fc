"""Quantities, accuracies and amounts as hands write them are read, and what could mean two things is asked about."""

from __future__ import annotations

import pytest

from inventory.bench.quantities.readings import parse_meter, parse_named, parse_timed
from inventory.bench.quantities.units import Dimension, parse_quantity
from inventory.errors import Refused
from inventory.money import checked_amount

INHG_PA = 3386.388640341  # NIST SP 811, appendix B.8: conventional inch of mercury


@pytest.mark.parametrize(
    ("text", "dimension", "si", "step_si", "echoed"),
    [
        ("20kpa", "pressure", 20000.0, 1000.0, "20 kPa"),
        ("20inhg", "pressure", 20 * INHG_PA, INHG_PA, "20 inHg"),
        ("0.5Bar", "pressure", 50000.0, 10000.0, "0.5 bar"),
        ("19 1/2 inHg", "pressure", 19.5 * INHG_PA, INHG_PA / 2, "19 1/2 inHg"),
        ("19\N{VULGAR FRACTION ONE HALF} inHg", "pressure", 19.5 * INHG_PA, INHG_PA / 2, "19 1/2 inHg"),
        ("0:10", "time", 10.0, 1.0, "10 s"),
        ("7:30", "time", 450.0, 1.0, "450 s"),
        ("1:00:05", "time", 3605.0, 1.0, "3605 s"),
        ("31C", "temperature", 304.15, 1.0, "31 degC"),
        ("68F", "temperature", 293.15, 5 / 9, "68 degF"),
        ("94.1R", "resistance", 94.1, 0.1, "94.1 ohm"),
        ("0.361k", "resistance", 361.0, 1.0, "0.361 kohm"),
        ("4k7", "resistance", 4700.0, 100.0, "4.7 kohm"),
        (">20M", "resistance", 20e6, 1e6, ">20 Mohm"),
        ("5mohm", "resistance", 0.005, 0.001, "5 mohm"),
        ("0,8 Vol%", "share", 0.008, 0.001, "0,8 vol%"),
        ("0", "count", 0.0, 1.0, "0"),
    ],
)
def test_a_quantity_by_hand_is_read_and_echoed_with_its_unit(
    text: str, dimension: Dimension, si: float, step_si: float, echoed: str
) -> None:
    found = parse_quantity(text, dimension)

    assert (found.si, found.step_si) == (pytest.approx(si, rel=1e-9), pytest.approx(step_si, rel=1e-9))
    assert found.spaced == echoed
    assert found.unit_si == pytest.approx(parse_quantity(f"1{found.unit}", dimension).step_si)


@pytest.mark.parametrize("text", ["open", "OPEN", "\N{INFINITY}", "inf", "OL"])
def test_an_open_circuit_is_beyond_any_range(text: str) -> None:
    assert parse_quantity(text, "resistance").beyond


def test_a_vacuum_may_have_the_sign_of_its_gauge() -> None:
    assert [point.quantity.typed for point in parse_timed(["0:00=-20inHg", "0:10=\u221219 1/2 inHg"])] == [
        "20inHg",
        "19 1/2inHg",
    ]


def test_a_named_reading_needs_no_unit_and_a_vacuum_does() -> None:
    (reading,) = parse_named(["primary=94.1"])
    assert reading.quantity.spaced == "94.1 ohm"
    with pytest.raises(Refused) as refused:
        parse_timed(["0s=50"])
    assert refused.value.code == "no-quantity"


@pytest.mark.parametrize(("text", "code"), [("40kPa abs", "absolute-pressure"), ("20 mpg", "no-such-unit")])
def test_what_means_something_else_is_refused(text: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        parse_quantity(text, "pressure")
    assert refused.value.code == code


@pytest.mark.parametrize(
    "text", ["class 1.6, 76cmHg", "cl. 1,6 0-76cmHg", "1.6% fs 76cmHg", "1.6% of full scale, 76cmHg", "1.6% of 76cmHg"]
)
def test_the_class_of_a_gauge_is_a_share_of_its_span(text: str) -> None:
    """EN 837-1: the accuracy class is the permissible error in per cent of the span (from memory)."""
    meter = parse_meter(text, "pressure")

    assert meter.half_width(5000.0, 100.0) == meter.half_width(90000.0, 100.0)
    assert meter.half_width(0.0, 0.0) == pytest.approx(0.016 * 76 * 1333.22387415)


@pytest.mark.parametrize("text", ["class 1.6", "1.6% fs"])
def test_a_share_of_no_span_is_asked_about(text: str) -> None:
    with pytest.raises(Refused) as refused:
        parse_meter(text, "pressure")
    assert refused.value.code == "no-span"


@pytest.mark.parametrize("text", ["\N{PLUS-MINUS SIGN}(0.8% + 2 digits)", "+/- 0.8% rdg + 2d", "0.8% + 2 counts"])
def test_the_accuracy_of_a_meter_as_booklets_print_it(text: str) -> None:
    meter = parse_meter(text)
    assert (meter.share, meter.counts) == (0.008, 2.0)


def test_an_amount_may_have_a_comma_before_its_cents() -> None:
    assert checked_amount("280,50", "EUR") == ("280.50", "EUR")
    with pytest.raises(Refused):
        checked_amount("1,250", "EUR")  # one thousand two hundred and fifty, or one and a quarter
