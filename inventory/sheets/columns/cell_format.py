"""The format of a column of days or amounts, if single cells are ambiguous. Pure.

`3/4/2019` is 3 April or 4 March, `1.234` is about one or more than a thousand. The unambiguous cells of the column
decide; if they contradict each other, the format stays unknown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from inventory.sheets.readers.cell_text import Figure

__all__ = [
    "MONTH",
    "UNKNOWN",
    "CellFormat",
    "Dates",
    "Decimal",
    "century_open",
    "format_of",
    "parse_figures",
    "shared_sign",
]

_NUMERIC_DATE = re.compile(r"\s*(\d{1,2})([/.-])(\d{1,2})\2(?:\d{4}|\d{2})(?!\d)")
#: Separators of thousands: a blank (no-break and narrow ones too) or an apostrophe.
_GAPS = re.compile(r"(?<=\d)['’\s\u00a0\u2009\u202f](?=\d{3}(?!\d))")
_FIGURES = re.compile(r"\d[\d.,'’\s\u00a0\u2009\u202f]*\d|\d")
_LAST_MONTH = 12
#: A month and its year in figures: 03/71, 3.1971.
MONTH = re.compile(r"(0?[1-9]|1[0-2])([/.-])(\d{4}|\d\d)")
_SHORT_YEAR = re.compile(r"\s*(?:\d{1,2}([/.-])\d{1,2}\1|\d{1,2}[/.-])(\d\d)(?!\d)(?![/.-]\d)")
_SHARED_SIGN = re.compile(r"\$|¥|\bkr\b", re.IGNORECASE)
Dates = Literal["day-first", "month-first"]
Decimal = Literal["comma", "point"]


@dataclass(frozen=True)
class CellFormat:
    """The format of days and numbers; None: unknown.

    `counts_from`: the year from which days stored as numbers are counted, 1900 or 1904. `century`: that of years of two
    figures up to this year's, "19" or "20". `currencies`: what signs mean that several currencies share.
    """

    dates: Dates | None = None
    decimal: Decimal | None = None
    counts_from: int | None = None
    century: str | None = None
    currencies: tuple[str, ...] = ()


UNKNOWN = CellFormat()


def format_of(texts: Iterable[str], given: CellFormat = UNKNOWN, counts_from: int | None = None) -> CellFormat:
    """The format of a column: what the user said, else what the cells show, else what the file says.

    `given`: what the user said for the whole file; `counts_from`: what the file itself says about its days.
    """
    distinct = set(texts)
    days = {shown for text in distinct if (shown := _date_order(text)) is not None}
    marks = {mark for text in distinct if (mark := _decimal_mark(text)) is not None}
    return CellFormat(
        given.dates or (days.pop() if len(days) == 1 else None),
        given.decimal or (marks.pop() if len(marks) == 1 else None),
        given.counts_from or counts_from,
        given.century,
    )


def _date_order(text: str) -> Dates | None:
    """The order of day and month in an unambiguous text, else None; with dots the day is first."""
    read = _NUMERIC_DATE.match(text)
    if read is None:
        return None
    first, second = int(read[1]), int(read[3])
    if (read[2] == "." and second <= _LAST_MONTH) or first > _LAST_MONTH >= second:
        return "day-first"
    return "month-first" if second > _LAST_MONTH >= first else None


def _decimal_mark(text: str) -> Decimal | None:
    """The decimal mark in an unambiguous text, else None. A number stored in the file says nothing about texts."""
    found = None if isinstance(text, Figure) else _FIGURES.search(text)
    if found is None:
        return None
    read = parse_figures(found[0])
    return read[1] if read is not None else None


def parse_figures(text: str, decimal: Decimal | None = None) -> tuple[str | None, Decimal | None] | None:
    """A number as digits with a decimal point, and the decimal mark it shows; None if it is not an amount.

    The digits are None if the number is ambiguous and `decimal` does not decide.
    """
    bare = _GAPS.sub("", text)
    gapped = bare != text
    if re.fullmatch(r"\d+", bare):
        return bare, None
    if grouped := re.fullmatch(r"([1-9]\d{0,2}(?:([.,])\d{3})(?:\2\d{3})*)(?:(?!\2)([.,])(\d+))", bare):
        return f"{re.sub('[.,]', '', grouped[1])}.{grouped[4]}", _mark(grouped[3])
    if thousands := re.fullmatch(r"[1-9]\d{0,2}([.,])\d{3}(?:\1\d{3})+", bare):
        return re.sub("[.,]", "", bare), "comma" if thousands[1] == "." else "point"
    single = re.fullmatch(r"(\d+)([.,])(\d+)", bare)
    if single is None:
        return None
    mark = _mark(single[2])
    as_fraction = f"{single[1]}.{single[3]}"
    if gapped or not re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", bare):
        return as_fraction, mark
    if decimal is None:
        return None, None
    return (as_fraction if decimal == mark else single[1] + single[3]), None


def _mark(sign: str) -> Decimal:
    return "comma" if sign == "," else "point"


def century_open(text: str, this_year: int) -> bool:
    """Whether a day or month in figures has a year of two figures that may be of this century or of the last one."""
    read = _SHORT_YEAR.match(text)
    return read is not None and int(read[2]) <= this_year % 100


def shared_sign(text: str) -> str:
    """The sign beside an amount that several currencies share ("$"); "" if there is none, or more than a sign."""
    found = _SHARED_SIGN.search(text)
    if found is None or re.search(r"[^\W\d_]", text.replace(found[0], "")):
        return ""
    return found[0].casefold()
