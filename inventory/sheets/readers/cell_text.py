"""The text of a cell: how the values of a file become text, and how text that looks like a formula is escaped."""

from __future__ import annotations

import re
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation

__all__ = [
    "FALSE_DAY",
    "FORMULA_START",
    "MOST_KEPT",
    "Figure",
    "Interned",
    "percent_of",
    "text_of_number",
    "text_of_time",
    "without_apostrophe",
    "without_empty_end",
]

#: A day that spreadsheet programs count and no calendar has: number 60 of those that count from 1900.
FALSE_DAY = "1900-02-29"
#: From here on a number in a spreadsheet has more digits than are kept of it (15; Microsoft, "Excel specifications").
_ALL_DIGITS = 1e15
#: How many texts are remembered while a sheet is read.
MOST_KEPT = 50_000
#: A text that begins so may start a formula in a spreadsheet program (OWASP, CSV injection; full-width signs included),
#: or an apostrophe of its own would be taken for one that holds a number as text.
FORMULA_START = re.compile("'*[=+\\-@\t\r\n\0＝＋－＠]|'+\\d[\\d ./-]{2,}$")
_ESCAPED = re.compile("'+[=+\\-@\t\r\n\0＝＋－＠]|'+\\d[\\d ./-]{2,}$")
#: A number that is held as text, as exports write it: `="008904"`.
_HELD = re.compile('="([^"]*)"')


class Figure(str):
    """The text of a number with a fraction: its point is a decimal point, whatever other cells look like."""

    __slots__ = ()


class Interned(dict[str, str]):
    """Keeps one copy of each text, for some thousands of texts at a time: sheets repeat themselves."""

    def __missing__(self, text: str) -> str:
        if len(self) >= MOST_KEPT:
            self.clear()
        self[text] = text
        return text


def text_of_number(number: float) -> str:
    """A number as a person reads it: whole numbers without a point, at most 15 significant digits."""
    if number.is_integer():
        if abs(number) < _ALL_DIGITS:
            return f"{number:.0f}"
        digits, _, zeros = f"{number:.14e}".partition("e+")
        return digits.replace(".", "") + "0" * (int(zeros) - 14)
    return Figure(format(number, ".15g"))


def percent_of(text: str) -> str:
    """A number as a percentage: "50%" of "0.5"; any other text unchanged."""
    try:
        number = Decimal(text)
    except InvalidOperation:
        return text
    return f"{(100 * number).normalize():f}%" if number.is_finite() else text


def text_of_time(cell: date | time) -> str:
    """A day or a time as a person reads it; midnight is left out."""
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time(0) else cell.isoformat(" ")
    return cell.isoformat()


def without_empty_end(cells: list[str]) -> list[str]:
    """A row without the empty cells at its end."""
    end = len(cells)
    while end and not cells[end - 1]:
        end -= 1
    return cells if end == len(cells) else cells[:end]


def without_apostrophe(cell: str) -> str:
    """A cell without what keeps a spreadsheet program from taking it for a formula or a number: `'=1`, `'003103`."""
    if cell[:2] == '="' and (held := _HELD.fullmatch(cell)):
        return held[1]
    return cell[1:] if cell[:1] == "'" and _ESCAPED.match(cell) else cell
