"""How a column is written, where one cell alone could be read in two ways: a pure judgement over its texts.

`3/4/2019` is the 3rd of April or the 4th of March, `1.234` one and a bit or a thousand and more. The cells
beside it that can be read in one way only decide; where they contradict each other, nothing does.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

__all__ = ["UNKNOWN", "Dates", "Decimal", "Figure", "Way", "figures_in", "way_of"]

_NUMBERED = re.compile(r"\s*(\d{1,2})([/.-])(\d{1,2})\2(?:\d{4}|\d{2})(?!\d)")
#: What may stand between thousands: a blank (no-break and narrow ones too) or an apostrophe.
_GAPS = re.compile(r"(?<=\d)['’\s\u00a0\u2009\u202f](?=\d{3}(?!\d))")
_FIGURES = re.compile(r"\d[\d.,'’\s\u00a0\u2009\u202f]*\d|\d")
_LAST_MONTH = 12
Dates = Literal["day-first", "month-first"]
Decimal = Literal["comma", "point"]


class Figure(str):
    """A fraction that was a number in its file: its point is a decimal point, whatever is typed around it."""

    __slots__ = ()


@dataclass(frozen=True)
class Way:
    """How days and figures are written; None: nothing says.

    `counts_from` is the year from which days that are mere numbers are counted, 1900 or 1904.
    """

    dates: Dates | None = None
    decimal: Decimal | None = None
    counts_from: int | None = None


UNKNOWN = Way()


def way_of(texts: Iterable[str], said: Way = UNKNOWN, counts_from: int | None = None) -> Way:
    """The way a column is written. What the person said for the file goes first, then its cells, then the file.

    `counts_from` is what the file itself says of its days.
    """
    distinct = set(texts)
    days = {shown for text in distinct if (shown := _day_shown(text)) is not None}
    marks = {mark for text in distinct if (mark := _mark_shown(text)) is not None}
    return Way(
        said.dates or (days.pop() if len(days) == 1 else None),
        said.decimal or (marks.pop() if len(marks) == 1 else None),
        said.counts_from or counts_from,
    )


def _day_shown(text: str) -> Dates | None:
    """Which comes first in a text that can be read in one way only; dots put the day first."""
    read = _NUMBERED.match(text)
    if read is None:
        return None
    first, second = int(read[1]), int(read[3])
    if (read[2] == "." and second <= _LAST_MONTH) or first > _LAST_MONTH >= second:
        return "day-first"
    return "month-first" if second > _LAST_MONTH >= first else None


def _mark_shown(text: str) -> Decimal | None:
    """The decimal mark in a text that can be read in one way only. Numbers of the file itself tell nothing of texts."""
    found = None if isinstance(text, Figure) else _FIGURES.search(text)
    if found is None:
        return None
    read = figures_in(found[0])
    return read[1] if read is not None else None


def figures_in(text: str, decimal: Decimal | None = None) -> tuple[str | None, Decimal | None] | None:
    """Figures as decimal digits with a point, and the decimal mark they show: comma, point, or None.

    None: these are no figures of an amount. The digits are None where they can be read in two ways and `decimal`
    (comma, point) does not say which.
    """
    bare = _GAPS.sub("", text)
    gapped = bare != text
    if re.fullmatch(r"\d+", bare):
        return bare, None
    if grouped := re.fullmatch(r"([1-9]\d{0,2}(?:([.,])\d{3})(?:\2\d{3})*)(?:(?!\2)([.,])(\d+))", bare):
        return f"{re.sub('[.,]', '', grouped[1])}.{grouped[4]}", _named(grouped[3])
    if thousands := re.fullmatch(r"[1-9]\d{0,2}([.,])\d{3}(?:\1\d{3})+", bare):
        return re.sub("[.,]", "", bare), "comma" if thousands[1] == "." else "point"
    single = re.fullmatch(r"(\d+)([.,])(\d+)", bare)
    if single is None:
        return None
    mark = _named(single[2])
    as_fraction = f"{single[1]}.{single[3]}"
    if gapped or not re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", bare):
        return as_fraction, mark
    if decimal is None:
        return None, None
    return (as_fraction if decimal == mark else single[1] + single[3]), None


def _named(mark: str) -> Decimal:
    return "comma" if mark == "," else "point"
