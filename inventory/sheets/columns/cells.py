"""Reads single cells: days, amounts, yes or no. Each function raises `Refused` for what it cannot read."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from inventory.errors import Refused
from inventory.facts.declare import Cell
from inventory.money import checked_amount
from inventory.reference.data import Reference
from inventory.sheets.columns.catalogue import word_meant, words, words_near
from inventory.sheets.columns.cell_format import MONTH, UNKNOWN, CellFormat, parse_figures
from inventory.sheets.readers.cell_text import Figure
from inventory.store.days.dates import When, when_on
from inventory.store.words.text import clean, clean_lines

__all__ = [
    "CUT_BEFORE",
    "UNDATED",
    "amount_of",
    "cleaned",
    "day_numbered",
    "day_of",
    "in_a_sheet",
    "same_amount",
    "yes_or_no",
]

_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
#: The words of a fact whose day is not given: some day up to the day of reading.
UNDATED = "day not stated"
_NUMERIC_DATE = re.compile(r"(\d{1,2})([/.-])(\d{1,2})\2(\d{4}|\d\d)")
_YEAR_FIRST = re.compile(r"(\d{4})([/.-])(\d{1,2})\2(\d{1,2})")
#: A time of day after a date, as exported lists have it; only the day is kept.
_HOUR = re.compile(
    r"(?<=\d)(?:[ T]+|, ?)\d{1,2}:\d\d(?::\d\d(?:\.\d+)?)?(?: ?[ap]\.?m\.?)?(?:Z|[+-]\d\d:?\d\d)?", re.IGNORECASE
)
_DAY_NUMBER = re.compile(r"(\d{5})(?:[.,]\d+)?")
_AMOUNT = re.compile(
    r"([^\d\s.,'’+-]*)\s*(\d[\d.,'’\s\u00a0\u2009\u202f]*\d|\d)(?:,[-–—]+|\.[-–—]+)?\s*([^\d\s.,'’+-]*)"
)
_FALSE_DAY = 60


def in_a_sheet(today: date, reference: Reference) -> Cell:
    """The context for reading texts of a sheet: it knows other words for ours, in four languages."""
    return Cell(today, reference, word_meant, words_near)


#: The remark on a cell whose text was cut when it was written: it says nothing.
CUT_BEFORE = "a text was cut when this sheet was written; what is on record stays"


def cleaned(text: str, *, lines: bool = False) -> tuple[str, bool]:
    """A cell without control characters and outer blanks, and whether control characters were removed.

    `lines`: its line breaks stay; else each becomes a blank.
    """
    if text.isprintable() and text[:1] != " " != text[-1:]:
        return text, False
    if text.isspace():
        return "", False
    return clean_lines(text) if lines else clean(text), _CONTROLS.search(text) is not None


def day_of(text: str, today: date, written: CellFormat = UNKNOWN) -> When:
    """A day as people write it, never in the future. The original words are kept with it.

    Reads EDTF, words, 03.04.2019 (day first), 3/4/2019 if `written` says which is first, 03/1971 and 03/71 (a month),
    and a day number if `written` says from which year it counts.
    """
    read = _HOUR.sub("", text)
    if counted := _DAY_NUMBER.fullmatch(read):
        read = day_numbered(int(counted[1]), written.counts_from).isoformat()
    elif numbered := _NUMERIC_DATE.fullmatch(read):
        read = _numeric_date(text, numbered, written, today)
    elif month := MONTH.fullmatch(read):
        read = f"{_year(text, month[3], written, today)}-{int(month[1]):02}"
    elif first := _YEAR_FIRST.fullmatch(read):
        read = f"{first[1]}-{int(first[3]):02}-{int(first[4]):02}"
    when = when_on(read, today)
    return when if when.told or _HOUR.sub("", text) == when.edtf else replace(when, told=str(text))


def _year(text: str, figures: str, written: CellFormat, today: date) -> str:
    """A year of four figures; of two, one after this year's is of the last century; for others `written` decides."""
    if len(figures) == 4:
        return figures
    this, last = str(today.year)[:2], str(today.year - 100)[:2]
    if int(figures) > today.year % 100:
        return last + figures
    if written.century is None:
        hint = f"write the year with four figures, or answer for the file: --answer century={this} (or {last})"
        raise Refused("year-of-two-figures", f'"{text}" does not say which century', hint=hint)
    return written.century + figures


def _numeric_date(text: str, read: re.Match[str], written: CellFormat, today: date) -> str:
    """A day in figures as ISO 8601."""
    year = _year(text, read[4], written, today)
    first, second = int(read[1]), int(read[3])
    day_first = read[2] == "." or written.dates == "day-first"
    if not day_first and written.dates is None:
        if first <= 12 and second <= 12 and first != second:
            raise Refused(
                "day-or-month",
                f'"{text}" can be read as day first or month first',
                hint="write it as 2019-04-03, or choose for the file: --dates day-first or --dates month-first",
            )
        day_first = first > 12 or first == second
    day, month = (first, second) if day_first else (second, first)
    if month > 12:
        raise Refused("not-a-date", f'"{text}" is not a date: there is no month {month}', hint="write it as 2019-04-03")
    return f"{year}-{month:02}-{day:02}"


def day_numbered(number: int, counts_from: int | None) -> date:
    """The day that a spreadsheet program stores as a number: 1 is 1 January 1900, or 2 January 1904.

    Programs that count from 1900 count a 29 February 1900 (60), which never was. Source: Microsoft, "Differences
    between the 1900 and the 1904 date system in Excel".
    """
    if counts_from is None:
        raise Refused(
            "day-number",
            f'"{number}" is a day number, and it is not known from which year it counts',
            hint="write the day, or choose for the file: --day-numbers 1900 (usual) or --day-numbers 1904",
        )
    if counts_from == 1904:
        return date(1904, 1, 1) + timedelta(days=number)
    if number == _FALSE_DAY:
        raise Refused(
            "not-a-date",
            "day number 60 is 29 February 1900, and there was no such day",
            hint="write the day that was meant",
        )
    return date(1899, 12, 31 if number < _FALSE_DAY else 30) + timedelta(days=number)


def amount_of(text: str, currency: str | None, written: CellFormat = UNKNOWN) -> tuple[str, str]:
    """Digits and currency of an amount. The currency may be in the text; else `currency` is used, which may be a sign.

    A single 1.234 is refused unless `written` decides what it means.
    """
    read = _AMOUNT.fullmatch(text)
    if read is None or (read[1] and read[3]):
        raise _not_an_amount(text)
    beside = read[1] or read[3]
    named = words("signs").get(beside, beside) or currency
    if named and named.casefold() in words("shared_signs"):
        named = _whose(named, text, currency, written)
    if not named:
        raise Refused(
            "amount-without-currency",
            f"{text} has no currency",
            hint='write EUR beside it or in the header, "Value (EUR)", or choose for the file: --currency EUR',
        )
    return checked_amount(read[2] if isinstance(text, Figure) else _digits(text, read[2], written), named)


def _whose(sign: str, text: str, currency: str | None, written: CellFormat) -> str:
    """The currency that a sign of several means: the one given if it is one of them, else what was answered."""
    several = words("shared_signs")[sign.casefold()]
    if meant := next((each for each in (currency, *written.currencies) if each in several), None):
        return meant
    other = currency if currency and currency.casefold() != sign.casefold() else ""
    says = f"{other} has another sign" if other else f"{', '.join(several[:3])} and others have this sign"
    hint = f"write the code beside it, e.g. {several[0]}, or answer for the file: --answer currency/{sign}={several[0]}"
    raise Refused("sign-of-several", f'"{text}" does not say whose {sign}: {says}', hint=hint)


def _digits(text: str, figures: str, written: CellFormat) -> str:
    """Figures with a decimal point and without separators of thousands."""
    read = parse_figures(figures, written.decimal)
    if read is None:
        raise _not_an_amount(text)
    if read[0] is None:
        raise Refused(
            "thousand-or-decimal",
            f'"{text}" can be read in two ways',
            hint=f"write {re.sub('[.,]', '', figures)} or the amount with two decimals, or choose for the file: "
            "--decimal comma or --decimal point",
        )
    return read[0]


def _not_an_amount(text: str) -> Refused:
    return Refused("not-an-amount", f'"{text}" is not an amount', hint="write it with a decimal point, e.g. 1250.50")


def yes_or_no(text: str) -> str:
    """`yes` or `no` from what people write: words of four languages, figures, ticks."""
    word = clean(text).casefold().rstrip(".")
    for answer in ("yes", "no"):
        if word in words(answer):
            return answer
    raise Refused("yes-or-no", f'"{text}" is neither yes nor no', hint="write yes or no")


def same_amount(one: str | None, other: str | None) -> bool:
    """Whether two amounts in decimal digits are equal."""
    return one == other or (one is not None and other is not None and Decimal(one) == Decimal(other))
