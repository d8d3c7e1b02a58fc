"""A cell that can be read in two ways is decided by its column, by the person, or not at all."""

from __future__ import annotations

import pytest

from inventory.sheets.columns.cell_format import UNKNOWN, CellFormat, format_of, parse_figures
from inventory.sheets.readers.cell_text import Figure


@pytest.mark.parametrize(
    ("texts", "dates"),
    [
        (["3/4/2019"], None),
        (["3/4/2019", "25/4/2019"], "day-first"),
        (["3/4/2019", "4/25/2019"], "month-first"),
        (["3/4/2019", "25/4/2019", "4/25/2019"], None),
        (["3/4/2019", "03.04.2019"], "day-first"),
        (["3/4/2019", "03.04.2019", "4/25/2019"], None),
        (["3/4/2019", "2019-04-25", "ca. 1998", "1971", ""], None),
        (["3-4-2019", "25/4/2019 10:30"], "day-first"),
        (["3/4/2019", "31/12/98"], "day-first"),
        (["3/4/2019", "99/99/2019", "04.25.2019"], "month-first"),
    ],
)
def test_which_comes_first_in_a_column_of_days(texts: list[str], dates: str | None) -> None:
    assert format_of(texts).dates == dates


@pytest.mark.parametrize(
    ("texts", "decimal"),
    [
        (["1.234"], None),
        (["1,234", "850"], None),
        (["1.234", "850,50"], "comma"),
        (["1.234", "850.5"], "point"),
        (["1.234", "1.234.567"], "comma"),
        (["1,234", "1,234,567"], "point"),
        (["1.234", "0.500"], "point"),
        (["1.234", "1'234.50"], "point"),
        (["1.234", "12 345,00"], "comma"),
        (["1.234", "€ 1.234,50", "EUR 20"], "comma"),
        (["1.234", "850,50", "850.50"], None),
        (["1.234", Figure("850.5")], None),
        ([Figure("1.234"), "850,50"], "comma"),
        (["1.234", "nothing", "", "n/a"], None),
    ],
)
def test_which_mark_stands_before_the_decimals(texts: list[str], decimal: str | None) -> None:
    assert format_of(texts).decimal == decimal


def test_the_persons_word_goes_before_what_a_column_shows() -> None:
    said = CellFormat("month-first", "point", 1904)

    assert format_of(["25/4/2019", "850,50"], said, 1900) == said
    assert format_of(["25/4/2019", "850,50"], UNKNOWN, 1900) == CellFormat("day-first", "comma", 1900)


@pytest.mark.parametrize(
    ("text", "digits"),
    [
        ("1250", "1250"),
        ("1250.5", "1250.5"),
        ("1250,5", "1250.5"),
        ("1,250.50", "1250.50"),
        ("1.250,50", "1250.50"),
        ("1.234.567,8", "1234567.8"),
        ("1'250.50", "1250.50"),
        ("1’250", "1250"),
        ("1 250,50", "1250.50"),
        ("1\u00a0250", "1250"),
        ("1\u202f234\u202f567,80", "1234567.80"),
        ("1\u2009250", "1250"),
        ("0.125", "0.125"),
        ("1234.567", "1234.567"),
        ("1'234.567", "1234.567"),
    ],
)
def test_figures_that_can_be_read_in_one_way_only(text: str, digits: str) -> None:
    for decimal in (None, "comma", "point"):
        read = parse_figures(text, decimal)  # type: ignore[arg-type]
        assert read is not None and read[0] == digits


@pytest.mark.parametrize("text", ["1.23.456", "1,2,3", "1'23", "1 2", "1,234,56.7", "1.234,567,890.1", ".5", "5.", ""])
def test_no_figures(text: str) -> None:
    assert parse_figures(text) is None


def test_a_lone_group_of_three_is_left_open_or_decided() -> None:
    assert parse_figures("1.234") == (None, None)
    assert parse_figures("1.234", "comma") == ("1234", None)
    assert parse_figures("1.234", "point") == ("1.234", None)
    assert parse_figures("1,234", "comma") == ("1.234", None)
    assert parse_figures("12,345", "point") == ("12345", None)
