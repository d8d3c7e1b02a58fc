"""Money: currencies and minor units as ISO 4217 lists them, exact sums, rates."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.money import checked_amount, checked_currency, checked_rate, minor_digits, shown, total
from inventory.valuation.rates import RateUsed, converted


@pytest.mark.parametrize(
    ("digits", "codes"),
    [
        # Computed with Babel 2.18.0 (CLDR); it and ISO 4217 agree on these.
        (0, ("JPY", "KRW", "ISK", "VND", "UGX", "XAF")),
        (2, ("EUR", "USD", "GBP", "CHF")),
        (3, ("BHD", "KWD", "TND", "JOD", "OMR")),
        (4, ("CLF",)),
        # CLDR gives 0, for coins that nobody uses; ISO 4217 gives 3.
        (3, ("IQD",)),
    ],
)
def test_minor_units_are_those_of_iso_4217(digits: int, codes: tuple[str, ...]) -> None:
    assert {code: minor_digits(code) for code in codes} == dict.fromkeys(codes, digits)


@pytest.mark.parametrize("code", ["QQQ", "XAU", "XXX", "XTS", "XDR", "DEM", "EURO", "", "€"])
def test_only_money_of_today_is_a_currency(code: str) -> None:
    with pytest.raises(Refused) as refusal:
        checked_currency(code)
    assert refusal.value.code == "not-a-currency"


@pytest.mark.parametrize(
    ("amount", "currency", "code"),
    [("1.005", "EUR", "too-many-decimals"), ("1.5", "JPY", "too-many-decimals"), ("1", "", "not-a-currency")],
)
def test_an_amount_has_a_currency_and_its_decimals(amount: str, currency: str, code: str) -> None:
    with pytest.raises(Refused) as refusal:
        checked_amount(amount, currency)
    assert refusal.value.code == code
    assert checked_amount("1.005", "KWD") == ("1.005", "KWD")


@pytest.mark.parametrize("rate", ["0", "0.000", "-1", "nan", "inf", "1e3", "0,94", ""])
def test_a_rate_is_more_than_nothing(rate: str) -> None:
    with pytest.raises(Refused) as refusal:
        checked_rate(rate)
    assert refusal.value.code == "not-a-rate"


_CENTS = st.lists(st.tuples(st.sampled_from(["EUR", "JPY", "KWD", "QQQ"]), st.integers(0, 10**14)), max_size=12)


@given(_CENTS)
@settings(max_examples=40)
def test_sums_are_exact_and_leave_out_what_is_no_currency(cents: list[tuple[str, int]]) -> None:
    amounts = [(shown(Decimal(many).scaleb(-minor_digits(code)), code), code) for code, many in cents]

    ought = {
        code: sum(Fraction(many, 10 ** minor_digits(code)) for each, many in cents if each == code)
        for code in {code for code, _ in cents} - {"QQQ"}
    }
    assert {code: Fraction(amount) for code, amount in total(amounts).items()} == ought


def _rate(one: str, other: str, rate: str, on: str) -> RateUsed:
    return RateUsed(one, other, rate, "the bank", on, f"rate-{on}")


def test_totals_are_converted_at_the_last_rate_in_its_own_direction() -> None:
    rates = [
        _rate("EUR", "CHF", "0.9512", "2026-01-01"),
        _rate("EUR", "CHF", "0.9412", "2026-03-01"),
        _rate("CHF", "GBP", "0.9", "2026-03-01"),
    ]
    totals = {"EUR": "850.05", "CHF": "10.00", "GBP": "5.00"}

    found = converted(totals, rates, "CHF")

    assert found.amount == "810.07"  # 10 + 850.05 x 0.9412 = 810.06706, by hand
    assert [rate.on for rate in found.rates] == ["2026-03-01"]
    assert found.apart == {"GBP": "5.00"}  # what GBP 1 is in CHF nobody said
    assert converted({"CHF": "1.00"}, rates, "EUR").apart == {"CHF": "1.00"}
