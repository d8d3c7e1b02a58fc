"""The sums behind an appraisal: exact amounts, and laws that hold whatever the figures."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.appraisal.price import (
    Foreseen,
    Stakes,
    expected_worth,
    gain_from_buying,
    highest_price,
    round_amount,
    value_of_test,
)

CHANCES = st.floats(0.0, 1.0)
AMOUNTS = st.decimals(0, 10_000, places=2)


@st.composite
def offers(draw: st.DrawFn) -> tuple[float, Foreseen, Stakes]:
    """A belief, a test whose outcomes average to it, and what is at stake."""
    if_pass, if_fail, p_pass = *sorted([draw(CHANCES), draw(CHANCES)], reverse=True), draw(CHANCES)
    now = p_pass * if_pass + (1 - p_pass) * if_fail
    good, bad, paid = draw(AMOUNTS), draw(AMOUNTS), draw(AMOUNTS)
    return now, Foreseen(p_pass, if_pass, if_fail), Stakes(max(good, bad), min(good, bad), paid)


def test_buying_is_worth_what_the_formula_says() -> None:
    """0.25 x 850 + 0.75 x 450 = 550, less 305 paid."""
    stakes = Stakes(Decimal(850), Decimal(450), Decimal(305))

    assert expected_worth(0.25, stakes) == Decimal(550)
    assert gain_from_buying(0.25, stakes) == Decimal(245)
    assert highest_price(0.25, stakes, Decimal(25)) == Decimal(525)


def test_what_is_not_worth_its_carriage_has_no_price() -> None:
    assert highest_price(0.25, Stakes(Decimal(40), Decimal(0), Decimal(0)), Decimal(25)) == 0


@given(CHANCES, AMOUNTS, AMOUNTS, AMOUNTS)
def test_the_highest_price_is_where_buying_gains_nothing(
    p: float, good: Decimal, bad: Decimal, carriage: Decimal
) -> None:
    price = highest_price(p, Stakes(good, bad, Decimal(0)), carriage)

    gain = gain_from_buying(p, Stakes(good, bad, price + carriage))

    assert abs(gain) < Decimal("1e-15") if price > 0 else gain <= Decimal("1e-15")


@given(offers())
def test_a_test_is_never_worth_less_than_nothing_nor_more_than_knowing(offer: tuple[float, Foreseen, Stakes]) -> None:
    now, foreseen, stakes = offer

    found = value_of_test(now, foreseen, stakes)

    assert Decimal("-1e-9") <= found <= value_of_test(now, Foreseen(now, 1.0, 0.0), stakes) + Decimal("1e-9")


@given(offers())
def test_a_test_that_cannot_change_the_decision_is_worth_nothing(offer: tuple[float, Foreseen, Stakes]) -> None:
    now, foreseen, stakes = offer
    beyond = Stakes(stakes.good, stakes.bad, stakes.good + 1)

    assert value_of_test(now, foreseen, beyond) == 0


def test_sending_back_costs_the_carriage_both_ways() -> None:
    """Bought for 100 to be tested: half the time it keeps its 100 gain, half the time 20 are lost sending it back."""
    stakes = Stakes(Decimal(200), Decimal(0), Decimal(100))

    assert value_of_test(0.5, Foreseen(0.5, 1.0, 0.0), stakes, otherwise=Decimal(-20)) == Decimal(40)


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        ("626.71", "620"),
        ("1299", "1200"),
        ("87.30", "87"),
        ("9.60", "9"),
        ("0.45", "0.45"),
        ("0", "0"),
        ("28400", "28000"),
    ],
)
def test_people_read_two_figures(amount: str, said: str) -> None:
    assert f"{round_amount(Decimal(amount)):f}" == said
