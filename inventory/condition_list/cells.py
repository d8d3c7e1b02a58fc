"""Cells of a table: text, whole numbers, days, amounts; how each is made, so that no text is read as a formula."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.condition_list.item_values import Statement, Value
from inventory.condition_list.words import NOT_KNOWN
from inventory.money import shown
from inventory.store.words.text import clean

__all__ = ["Cell", "Column", "Money", "as_text", "day_cell", "day_cells", "disarmed", "money", "value_note"]

Cell = str | int | date | Decimal

_ONE_DAY = re.compile(r"\d{4}-\d\d-\d\d")
#: Spreadsheets count days from 1900 and have a 29 February 1900, which did not exist.
_FIRST_SHEET_DAY = date(1900, 3, 1)
#: Characters that a spreadsheet could read as the start of a formula (OWASP), and their full-width forms.
_RISKY = frozenset("=+-@\t\r\n\0\uff1d\uff0b\uff0d\uff20")


@dataclass(frozen=True)
class Column:
    """A column: its title, and its width in characters. Where a group of columns `begins`, a printed page does."""

    title: str
    width: float
    begins: bool = False


class Money(Decimal):
    """An amount that is shown with its currency; in brackets if it is not `added`."""

    currency: str
    added: bool

    def __new__(cls, value: Value, *, added: bool = True) -> Money:
        """The amount of a value, with its currency's decimals, exact."""
        made = super().__new__(cls, shown(Decimal(value.amount), value.currency))
        made.currency, made.added = value.currency, added
        return made


def day_cells(when: Statement | None) -> tuple[Cell, Cell, Cell]:
    """A day as stated, its earliest and its latest possible day; an exact day as a date."""
    if when is None:
        return NOT_KNOWN, NOT_KNOWN, NOT_KNOWN
    if when.on == when.earliest == when.latest:
        return (_day(when.on),) * 3
    told: Cell = _day(when.on) if _ONE_DAY.fullmatch(when.on) else when.on
    return told, _day(when.earliest), _day(when.latest)


def day_cell(text: str) -> Cell:
    """An exact day as a date; what is none, or no spreadsheet can count, as text; "" is not known."""
    return _day(text) if _ONE_DAY.fullmatch(text) else text or NOT_KNOWN


def _day(text: str) -> Cell:
    day = date.fromisoformat(text)
    if day in (date.min, date.max):
        return NOT_KNOWN
    return day if day >= _FIRST_SHEET_DAY else text


def money(value: Value) -> Decimal:
    """An amount with its currency's decimals, exact."""
    return Decimal(shown(Decimal(value.amount), value.currency))


def value_note(value: Value) -> str:
    """Who stated a value, in what capacity, and whether there is a paper for it."""
    who = ", ".join(text for text in (value.source, value.capacity) if text) or "source not known"
    return f"{who} ({value.standing})" if value.standing != "stated" else who


def as_text(cell: Cell) -> str:
    """A cell as plain text, without control characters."""
    return clean(cell) if isinstance(cell, str) else str(cell)


def disarmed(text: str) -> str:
    """The text, with an apostrophe before it if a spreadsheet would run it as a formula."""
    return f"'{text}" if text[:1] in _RISKY else text
