"""Format codes are read as ECMA-376 part 1, 18.8.30 and 18.8.31 have them; openpyxl's tables are the reference."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.styles.colors import COLOR_INDEX
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format

from inventory.sheets.readers.number_format import BUILT_IN, number_format
from inventory.sheets.readers.xlsx_styles import _PALETTE


# The placeholders 0 # ?, quotes, backslash, `_x`, `*x` and sections: ECMA-376 part 1, 18.8.31.
@pytest.mark.parametrize(
    ("code", "number", "shown"),
    [
        ("0000000", "14522", "0014522"),
        ("00000", "123", "00123"),
        ("000-00-0000", "123456789", "123-45-6789"),
        ("0\\ 000\\ 000\\ 000", "280000001", "0 280 000 001"),
        ('"HV "000', "7", "HV 007"),
        ("00000;-00000;;@", "123", "00123"),
        ("[Blue]00000", "123", "00123"),
        ("00", "1234", "1234"),
        ("General", "12", "12"),
        ("#,##0", "1234", "1234"),
        ("0.00", "12", "12"),
        ("[<=9999999]000-0000;(000) 000-0000", "5551234", "5551234"),
        ("0000000", "AB 12", "AB 12"),
        ("0000000", "0014522", "0014522"),
    ],
)
def test_a_whole_number_is_what_its_format_shows(code: str, number: str, shown: str) -> None:
    assert number_format(code).shown(number) == shown


@pytest.mark.parametrize(
    ("code", "currency"),
    [
        ("[$$-409]#,##0.00", "USD"),
        ("[$$-en-US]#,##0.00", "USD"),
        ("[$$-1009]#,##0.00", "CAD"),
        ("[$USD]\\ 0.00", "USD"),
        ("#,##0.00\\ [$€-407]", "EUR"),
        ('_-* #,##0.00\\ "€"_-;-* #,##0.00\\ "€"_-;_-* "-"??\\ "€"_-;_-@_-', "EUR"),
        ("[$£-809]#,##0", "GBP"),
        ('#,##0.00 "CHF"', "CHF"),
        ('#,##0.00 "DM"', "DEM"),
        ("[$kr-41D]0", "SEK"),
        ('$0.00" Surplus";$-0.00" Shortage"', "$"),  # an example of 18.8.31
        ("$#,##0", "$"),
        ('0.00" kr"', "kr"),
        ("[$-407]0.00", ""),
        ('0 "km"', ""),
        ('0 "STK"', ""),
        ("#,##0.00", ""),
    ],
)
def test_a_currency_by_code_by_sign_and_country_or_a_bare_sign(code: str, currency: str) -> None:
    assert number_format(code).currency == currency


@pytest.mark.parametrize(
    ("code", "grain"),
    [
        ("mmm-yy", "month"),
        ("mm/yyyy", "month"),
        ("[$-407]mmmm\\ yyyy;@", "month"),
        ("yyyy", "year"),
        ("dd/mm/yyyy", ""),
        ("h:mm", ""),
        ("mm:ss.0", ""),
        ("[h]:mm", ""),
        ('"Serie" 0', ""),
    ],
)
def test_days_shown_without_a_day_are_months_or_years(code: str, grain: str) -> None:
    assert number_format(code).grain == grain
    assert not grain or is_date_format(code)


def test_formats_by_number_and_colours_by_number_are_those_of_the_reference() -> None:
    theirs = {place: number_format(code) for place, code in BUILTIN_FORMATS.items()}
    assert {place: number_format(code) for place, code in BUILT_IN.items()} == {
        place: theirs[place] for place in BUILT_IN
    }
    palette = [_PALETTE[place : place + 6] for place in range(0, len(_PALETTE), 6)]
    assert palette == [colour[2:] for colour in COLOR_INDEX[8:64]]


@settings(max_examples=40, deadline=None)
@given(st.text(st.sampled_from('0#?.,;"\\_*[]$-€@ymdhsEg/%1aU'), max_size=30))
def test_any_code_is_read(code: str) -> None:
    found = number_format(code)
    assert found.shown("0") is not None
    assert found.shown("12345").replace(" ", "")
