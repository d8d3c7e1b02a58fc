"""Single cells: days and amounts as people write them; what can be read in two ways is not guessed."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.errors import Refused
from inventory.sheets.cells import amount_of, day_of

TODAY = date(2026, 3, 31)


@pytest.mark.parametrize(
    ("text", "edtf"),
    [
        ("2019-04-03", "2019-04-03"),
        ("03.04.2019", "2019-04-03"),
        ("3.4.2019", "2019-04-03"),
        ("2019-04-03 00:00:00", "2019-04-03"),
        ("2019-04", "2019-04"),
        ("1998", "1998"),
        ("ca. 1998", "1998~"),
        ("spring 1999", "1999-21"),
    ],
)
def test_days(text: str, edtf: str) -> None:
    assert day_of(text, TODAY).edtf == edtf


@pytest.mark.parametrize("text", ["3/4/2019", "31.02.2019", "2026-04-01", "some day", "03-04-19"])
def test_no_days(text: str) -> None:
    with pytest.raises(Refused):
        day_of(text, TODAY)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("850", "850"),
        ("850.50", "850.50"),
        ("850,5", "850.5"),
        ("1.234,50", "1234.50"),
        ("1,234.50", "1234.50"),
        ("1'234.50", "1234.50"),
        ("1 234,50", "1234.50"),
        ("1.234.567", "1234567"),
        ("0.5", "0.5"),
    ],
)
def test_amounts(text: str, amount: str) -> None:
    assert amount_of(text, "EUR") == (amount, "EUR")


def test_a_currency_may_stand_beside_the_figures() -> None:
    assert amount_of("€ 850", None) == ("850", "EUR")
    assert amount_of("850 GBP", "EUR") == ("850", "GBP")


@pytest.mark.parametrize("text", ["1.234", "1,234", "much", "-5", "850 EUR net", "", "$ 5", "1e5"])
def test_no_amounts(text: str) -> None:
    with pytest.raises(Refused):
        amount_of(text, "EUR")


def test_an_amount_needs_a_currency() -> None:
    with pytest.raises(Refused) as caught:
        amount_of("850", None)

    assert caught.value.code == "amount-without-currency"
