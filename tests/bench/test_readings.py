"""Readings, meters and the air outside, as typed at the bench."""

from __future__ import annotations

import pytest

from inventory.bench.quantities.readings import parse_meter, parse_named, parse_timed, refuse_beyond_atmosphere
from inventory.bench.quantities.units import parse_quantity
from inventory.errors import Refused


def test_points_of_a_curve_are_put_in_order_of_time() -> None:
    points = parse_timed(["1min=40cmHg", "0s=50cmHg", " 5 s = 49 cmHg"])
    assert [(point.time_s, point.quantity.text) for point in points] == [(0.0, "50"), (5.0, "49"), (60.0, "40")]


@pytest.mark.parametrize(
    ("texts", "code"),
    [
        (["50cmHg"], "no-reading"),
        (["=50cmHg"], "no-reading"),
        (["0s="], "no-reading"),
        (["primary=50cmHg"], "no-time"),
        (["10=50cmHg"], "no-quantity"),
        (["0s=50cmHg", "0s=49cmHg"], "time-twice"),
        (["0s=50ohm"], "wrong-dimension"),
    ],
)
def test_what_is_no_point_of_a_curve_is_refused(texts: list[str], code: str) -> None:
    with pytest.raises(Refused) as refused:
        parse_timed(texts)
    assert refused.value.code == code


def test_names_are_compared_without_case_and_unknown_ones_refused_with_those_there_are() -> None:
    assert [reading.name for reading in parse_named(["Primary=94.1ohm"], ("primary",))] == ["primary"]
    with pytest.raises(Refused) as refused:
        parse_named(["prim=94.1ohm"], ("primary", "case"))
    assert (refused.value.code, refused.value.hint) == ("unknown-reading", "one of: primary, case")


def test_repeats_of_one_quantity_are_a_mean_with_a_spread() -> None:
    (found,) = parse_named(["primary=94ohm", "PRIMARY=95.0ohm", "primary=0.096kohm"])

    assert (found.quantity.typed, found.quantity.si, found.quantity.step_si) == ("95ohm", 95.0, 1.0)
    assert (found.repeats.count, found.repeats.spread, found.repeats.u) == (3, 1.0, pytest.approx(3**-0.5))
    with pytest.raises(Refused) as refused:
        parse_named(["primary=94ohm", "primary=OL"])
    assert refused.value.code == "reading-twice"


@pytest.mark.parametrize(
    ("text", "half_width"),
    [
        ("0.8% + 2 x 0.1ohm", 0.008 * 94.1 + 0.2),
        ("0,8 % + 2 × 0,1 ohm", 0.008 * 94.1 + 0.2),
        ("1% of reading + 3 counts", 0.941 + 0.3),
        ("0.5ohm", 0.5),
        ("1%", 0.941),
    ],
)
def test_a_meter_is_read_as_its_booklet_prints_it(text: str, half_width: float) -> None:
    assert parse_meter(text).half_width(94.1, 0.1) == pytest.approx(half_width)


def test_a_meter_for_volts_is_read_in_volts() -> None:
    assert parse_meter("0.5% + 2 x 1mV", "voltage").half_width(0.12, 0.001) == pytest.approx(0.0026)


@pytest.mark.parametrize("text", ["good", "", "0%", "120%", "OL", "1% + ", "2 x 3kg"])
def test_what_is_no_meter_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_meter(text)


def test_more_vacuum_than_there_is_air_is_refused() -> None:
    with pytest.raises(Refused) as refused:
        refuse_beyond_atmosphere(parse_timed(["0s=50inHg"]), None)
    assert refused.value.code == "beyond-atmosphere"


def test_the_barometer_given_is_what_bounds_it() -> None:
    """29.9 inHg cannot be drawn at 500 m, where the standard atmosphere (ISO 2533) is 28.19 inHg."""
    curve = parse_timed(["0s=29.9inHg"])
    refuse_beyond_atmosphere(curve, parse_quantity("1020hPa", "pressure"))
    with pytest.raises(Refused) as refused:
        refuse_beyond_atmosphere(curve, parse_quantity("28.19inHg", "pressure"))
    assert refused.value.code == "beyond-atmosphere"


@pytest.mark.parametrize("barometer", ["1005Pa", "2000hPa"])
def test_a_barometer_that_no_road_shows_is_refused(barometer: str) -> None:
    with pytest.raises(Refused) as refused:
        refuse_beyond_atmosphere((), parse_quantity(barometer, "pressure"))
    assert refused.value.code == "no-barometer"
