"""Headers: many spellings of each column, the nearest takes it, the doubtful are not guessed."""

from __future__ import annotations

from collections import Counter

import pytest

from inventory.sheets.columns.catalogue import CRITICAL, PARTS, SHEETS, doubtful, header_key, spellings
from inventory.sheets.columns.header_match import doubts, read_headings

CANONICAL = (  # the columns of `parts` that scripts may rely on
    "tag,kind,maker,part number,serial,date code,match code,match code read from,seal,seal state,condition,car,position,"
    "place,whose,acquired on,acquired from,price,price currency,value,value currency,value basis,value on,notes"
).split(",")


def columns(*headers: str, said: dict[str, str] | None = None) -> list[str | None]:
    return [each.column for each in read_headings(headers, PARTS, said or {})]


def test_every_column_has_five_other_spellings_at_least() -> None:
    assert set(CANONICAL) <= set(PARTS.columns)
    for column in CANONICAL:
        assert len(spellings(PARTS)[column]) >= 6, column


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_no_spelling_stands_for_two_columns(sheet: object) -> None:
    counted = Counter(key for keys in spellings(sheet).values() for key in keys)  # type: ignore[arg-type]
    assert [key for key, count in counted.items() if count > 1] == []


def test_no_doubtful_word_is_a_spelling() -> None:
    known = {key for keys in spellings(PARTS).values() for key in keys}
    assert set(doubtful()) & known == set()
    assert {column for several in doubtful().values() for column in several} <= CRITICAL


@pytest.mark.parametrize("column", CANONICAL)
def test_each_spelling_is_known_in_any_case_with_dots_and_blanks(column: str) -> None:
    for key in spellings(PARTS)[column]:
        for written in (key, key.upper(), f" {key.title()}. ", f"{key[0]}.{key[1:]}"):
            assert columns(written) == [column], written


def test_the_plain_words_of_the_trade() -> None:
    assert columns("Letter", "Type", "Shelf") == ["match code", "kind", "place"]
    assert columns("Code", "Bin", "P/N", "S/N") == ["match code", "place", "part number", "serial"]
    assert columns("Art", "Hersteller", "Teile-Nr.", "Serien-Nr.", "Buchstabe", "Lagerort") == [
        "kind", "maker", "part number", "serial", "match code", "place",
    ]  # fmt: skip


def test_the_nearest_header_takes_the_column_and_the_other_is_kept() -> None:
    assert columns("Bin", "Shelf") == [None, "place"]
    assert columns("Letter", "match code") == [None, "match code"]
    assert columns("Code", "Letter") == [None, "match code"]


def test_a_currency_in_a_header_applies_to_its_column() -> None:
    found = read_headings(["Price (EUR)", "Value in GBP", "Wert €", "USD"], PARTS, {})

    assert [(each.column, each.currency) for each in found] == [
        ("price", "EUR"), ("value", "GBP"), (None, "EUR"), (None, None),
    ]  # fmt: skip


@pytest.mark.parametrize("header", ["Number", "Nr.", "Serail", "Part nmbr", "Mark", "Id"])
def test_a_doubtful_header_of_an_identifying_column_is_not_guessed(header: str) -> None:
    critical, others = doubts(read_headings(["kind", header], PARTS, {}))

    assert [heading.header for heading in critical] == [header]
    assert others == []


def test_a_doubtful_header_is_an_own_column_once_a_better_one_has_the_column() -> None:
    assert doubts(read_headings(["Nr.", "Teilenummer", "Seriennummer"], PARTS, {})) == ([], [])
    assert doubts(read_headings(["Serail", "Serial"], PARTS, {}))[0] == []


def test_another_doubtful_header_is_kept_and_told() -> None:
    critical, others = doubts(read_headings(["kind", "Conditon"], PARTS, {}))

    assert critical == []
    assert [(heading.header, heading.doubt) for heading in others] == [("Conditon", "condition")]


def test_what_the_person_said_goes_before_everything() -> None:
    said = {header_key("Their no"): "part number", header_key("Letter"): "extra"}

    assert columns("Part no", "Their No.", "Letter", said=said) == [None, "part number", None]
