"""Single cells: days and amounts as people write them; what can be read in two ways is not guessed."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.errors import Refused
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.cells import amount_of, day_numbered, day_of, yes_or_no
from inventory.sheets.readers.cell_text import Figure

TODAY = date(2026, 3, 31)


@pytest.mark.parametrize(
    ("text", "edtf", "told"),
    [
        ("2019-04-03", "2019-04-03", ""),
        ("03.04.2019", "2019-04-03", "03.04.2019"),
        ("3.4.2019", "2019-04-03", "3.4.2019"),
        ("25/4/2019", "2019-04-25", "25/4/2019"),
        ("4/25/2019", "2019-04-25", "4/25/2019"),
        ("4/4/2019", "2019-04-04", "4/4/2019"),
        ("2019/4/3", "2019-04-03", "2019/4/3"),
        ("2019.04.03", "2019-04-03", "2019.04.03"),
        ("2019-04-03 00:00:00", "2019-04-03", ""),
        ("2019-04-03T10:30:00Z", "2019-04-03", ""),
        ("25/4/2019 10:30 PM", "2019-04-25", "25/4/2019 10:30 PM"),
        ("2019-04", "2019-04", ""),
        ("1998", "1998", ""),
        ("1998~", "1998~", ""),
        ("ca. 1998", "1998~", "ca. 1998"),
        ("um 1998", "1998~", "um 1998"),
        ("spring 1999", "1999-21", "spring 1999"),
        ("3 April 2019", "2019-04-03", "3 April 2019"),
        ("3. März 2019", "2019-03-03", "3. März 2019"),
        ("mars 2019", "2019-03", "mars 2019"),
    ],
)
def test_days(text: str, edtf: str, told: str) -> None:
    when = day_of(text, TODAY)

    assert (when.edtf, when.told) == (edtf, told)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("3/4/2019", "day-or-month"),
        ("3-4-2019", "day-or-month"),
        ("03-04-19", "year-of-two-figures"),
        ("31.02.2019", "not-a-date"),
        ("04.25.2019", "not-a-date"),
        ("25/13/2019", "not-a-date"),
        ("2026-04-01", "date-in-the-future"),
        ("some day", "not-a-date"),
        ("43558", "day-number"),
    ],
)
def test_no_days(text: str, code: str) -> None:
    with pytest.raises(Refused) as caught:
        day_of(text, TODAY)

    assert caught.value.code == code


def test_a_day_in_figures_is_read_as_its_column_is_written() -> None:
    assert day_of("3/4/2019", TODAY, CellFormat(dates="day-first")).edtf == "2019-04-03"
    assert day_of("3/4/2019", TODAY, CellFormat(dates="month-first")).edtf == "2019-03-04"
    assert day_of("3.4.2019", TODAY, CellFormat(dates="month-first")).edtf == "2019-04-03"
    with pytest.raises(Refused):
        day_of("25/4/2019", TODAY, CellFormat(dates="month-first"))


@pytest.mark.parametrize(("counts_from", "edtf"), [(1900, "2019-04-03"), (1904, "2023-04-04")])
def test_the_number_of_a_day_is_kept_beside_the_day(counts_from: int, edtf: str) -> None:
    when = day_of("43558", TODAY, CellFormat(counts_from=counts_from))

    assert (when.edtf, when.told) == (edtf, "43558")


# Microsoft, "DATE function" and "Differences between the 1900 and the 1904 date system in Excel" (from memory):
# 1 is 1 January 1900; 39448 is 1 January 2008; 5 July 1998 is 35981 and 34519; the systems lie 1,462 days apart.
@pytest.mark.parametrize(
    ("number", "counts_from", "day"),
    [
        (1, 1900, date(1900, 1, 1)),
        (59, 1900, date(1900, 2, 28)),
        (61, 1900, date(1900, 3, 1)),
        (39448, 1900, date(2008, 1, 1)),
        (35981, 1900, date(1998, 7, 5)),
        (34519, 1904, date(1998, 7, 5)),
        (60, 1904, date(1904, 3, 1)),
        (35981 - 1462, 1904, date(1998, 7, 5)),
    ],
)
def test_days_by_number(number: int, counts_from: int, day: date) -> None:
    assert day_numbered(number, counts_from) == day


def test_the_day_that_never_was_is_refused() -> None:
    with pytest.raises(Refused) as caught:
        day_numbered(60, 1900)

    assert caught.value.code == "not-a-date"


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
        ("1\u202f234,50", "1234.50"),
        ("850,-", "850"),
        ("850.–", "850"),
    ],
)
def test_amounts(text: str, amount: str) -> None:
    assert amount_of(text, "EUR") == (amount, "EUR")


def test_a_currency_may_stand_beside_the_figures() -> None:
    assert amount_of("€ 850", None) == ("850", "EUR")
    assert amount_of("850 GBP", "EUR") == ("850", "GBP")


@pytest.mark.parametrize(
    "text", ["1.234", "1,234", "much", "-5", "850 EUR net", "", "$ 5", "1e5", "1 2", "EUR 5 EUR", "1.23.4"]
)
def test_no_amounts(text: str) -> None:
    with pytest.raises(Refused):
        amount_of(text, "EUR")


def test_an_amount_needs_a_currency() -> None:
    with pytest.raises(Refused) as caught:
        amount_of("850", None)

    assert caught.value.code == "amount-without-currency"


def test_an_amount_is_read_as_its_column_is_written() -> None:
    assert amount_of("1.234", "EUR", CellFormat(decimal="comma")) == ("1234", "EUR")
    assert amount_of("1.234", "KWD", CellFormat(decimal="point")) == ("1.234", "KWD")
    assert amount_of("1,234 EUR", None, CellFormat(decimal="point")) == ("1234", "EUR")


def test_a_number_of_the_file_itself_has_a_decimal_point() -> None:
    assert amount_of(Figure("1.234"), "KWD", CellFormat(decimal="comma")) == ("1.234", "KWD")


def test_what_is_refused_says_how_to_choose() -> None:
    with pytest.raises(Refused) as day:
        day_of("3/4/2019", TODAY)
    with pytest.raises(Refused) as amount:
        amount_of("1.234", "EUR")

    assert "--dates day-first or --dates month-first" in (day.value.hint or "")
    assert "--decimal comma or --decimal point" in (amount.value.hint or "")


@pytest.mark.parametrize(
    ("answer", "texts"),
    [
        ("yes", "yes Yes Y y TRUE true x X 1 ✓ ✔ ja J wahr oui vrai sì si vero ok"),
        ("no", "no No N n FALSE false 0 ✗ nein falsch non faux falso - –"),
    ],
)
def test_yes_and_no_as_people_write_them(answer: str, texts: str) -> None:
    assert {yes_or_no(text) for text in texts.split()} == {answer}


@pytest.mark.parametrize("text", ["perhaps", "?", "2", "yes and no"])
def test_neither_yes_nor_no(text: str) -> None:
    with pytest.raises(Refused):
        yes_or_no(text)
