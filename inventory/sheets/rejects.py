"""The workbook of refused rows: the sheet as its keeper has it, and a last column that says what is wrong.

Titles and head stand as they stood, cells as they were, so that a row can be mended and the workbook read again. What
the rest of a column decided (whether 3/4/2019 puts the day first) is written out, since the rest is not there.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from datetime import date
from decimal import Decimal
from pathlib import Path

from inventory.errors import Refused
from inventory.sheets.books import Cell, Page, write_book
from inventory.sheets.cells import amount_of, day_of
from inventory.sheets.columns import WRONG, header_key
from inventory.sheets.grid import Table
from inventory.sheets.heads import find_head
from inventory.sheets.layout import AMOUNTS, DAYS, SheetIn
from inventory.sheets.plan import PlanRow
from inventory.sheets.ways import UNKNOWN, Figure
from inventory.store.clock import today

__all__ = ["write_rejects"]

_ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_COUNT = re.compile(r"\d{1,9}")
_NUMBERS = AMOUNTS | {"condition", "order"}
#: What the name of a sheet must not hold, and how long it may be (Microsoft, "Excel specifications and limits").
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\]")
_LONGEST_NAME = 31


def write_rejects(path: Path, refused: Sequence[PlanRow], *, over: bool = False) -> None:
    """Write refused rows so that they can be mended and read again."""
    by_sheet: dict[int, list[PlanRow]] = {}
    for row in refused:
        by_sheet.setdefault(id(row.sheet), []).append(row)
    write_book(path, [_page(rows[0].sheet, rows) for rows in by_sheet.values()], over=over)


def _page(sheet: SheetIn, rows: Sequence[PlanRow]) -> Page:
    width = max(len(sheet.headings), max((len(row.row.cells) for row in rows), default=0))
    was = [place for place, each in enumerate(sheet.headings) if header_key(each.header) == header_key(WRONG)]
    kept = [place for place in range(width) if place not in was]
    above, head = _head(sheet, kept)
    lines: list[list[Cell]] = []
    marked: list[tuple[int, int]] = []
    for row in rows:
        wrong = {problem.column for problem in row.problems}
        columns = [_column(sheet, place) for place in kept]
        marked += [(len(lines), place) for place, column in enumerate(columns) if column in wrong]
        cells = [_cell(sheet, column, _at(row.row.cells, place)) for place, column in zip(kept, columns, strict=True)]
        lines.append([*cells, _wrong(row)])
    name = _NOT_IN_NAMES.sub("_", sheet.name)[:_LONGEST_NAME]
    return Page(name, [*head, WRONG], lines, above=above, marked=marked)


def _head(sheet: SheetIn, kept: Sequence[int]) -> tuple[list[list[str]], list[str]]:
    """The rows above the head and the head, as they stood; one line of headers where those would be read otherwise."""
    lead = [[_at(line, place) for place in kept] for line in (*sheet.titles, *sheet.head)]
    columns = [_column(sheet, place) for place in kept]
    said = {header_key(each.header): each.column for each in sheet.headings if each.column is not None}
    found = find_head(Table(sheet.name, list(enumerate(lead, 1))), said, header_key(sheet.name))
    if found is not None and found.first == len(lead):
        as_read = [each.column for each in found.headings]
        if [*as_read, *[None] * (len(kept) - len(as_read))] == columns:
            return lead[:-1], lead[-1]
    names = [each.header for each in sheet.headings]
    return [], [names[place] if place < len(names) else f"column {place + 1}" for place in kept]


def _column(sheet: SheetIn, place: int) -> str | None:
    return sheet.headings[place].column if place < len(sheet.headings) else None


def _at(cells: Sequence[str], place: int) -> str:
    return cells[place] if place < len(cells) else ""


def _cell(sheet: SheetIn, column: str | None, text: str) -> Cell:
    """A cell as it was: a day a day and a number a number; what only its column told how to read is written out."""
    if not text:
        return None
    if isinstance(text, Figure) or (column in _NUMBERS and _COUNT.fullmatch(text)):
        return Decimal(text)
    if column in DAYS:
        return _day(sheet, column, text)
    return _amount(sheet, column, text) if column in AMOUNTS else text


def _day(sheet: SheetIn, column: str, text: str) -> Cell:
    if _ISO_DAY.fullmatch(text):
        with suppress(ValueError):
            return date.fromisoformat(text)
    with suppress(Refused):
        day_of(text, today())
        return text
    with suppress(Refused, ValueError):
        return date.fromisoformat(day_of(text, today(), sheet.way(column)).edtf)
    return text


def _amount(sheet: SheetIn, column: str, text: str) -> Cell:
    with suppress(Refused):
        amount_of(text, "XXX", UNKNOWN)
        return text
    with suppress(Refused):
        digits, currency = amount_of(text, "XXX", sheet.way(column))
        return Decimal(digits) if currency == "XXX" else f"{digits} {currency}"
    return text


def _wrong(row: PlanRow) -> str:
    said = []
    for problem in row.problems:
        text = f"{problem.column}: {problem.problem}" if problem.column else problem.problem
        said.append(f"{text} ({problem.hint})" if problem.hint else text)
    return "; ".join(said)
