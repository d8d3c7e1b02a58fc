"""The workbook of refused rows: the sheet as the user has it, and last columns: from which row, and what is wrong.

Titles, header and cells are as they were, so that rows can be corrected and the workbook read again. What only the
other cells of a column decided (whether 3/4/2019 puts the day first) is written out, since those cells are missing.
Where a row was at first is not read again, but kept: refused once more, it still names the original.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from datetime import date
from decimal import Decimal
from pathlib import Path

from inventory.errors import Refused
from inventory.sheets.columns.catalogue import FROM_ROW, FROM_SHEET, NOT_READ, WRONG, header_key
from inventory.sheets.columns.cell_format import UNKNOWN
from inventory.sheets.columns.cells import amount_of, day_of
from inventory.sheets.columns.header_rows import find_header_rows
from inventory.sheets.columns.layout import SheetLayout, unnamed
from inventory.sheets.plan.rows import PlanRow
from inventory.sheets.readers.cell_text import Figure
from inventory.sheets.readers.tables import Row, Table
from inventory.sheets.writers.page import Cell, Page
from inventory.sheets.writers.workbook import write_workbook
from inventory.store.days.clock import today

__all__ = ["write_rejects"]

_ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_COUNT = re.compile(r"\d{1,9}")
_NUMBERS = ("condition", "order")


def write_rejects(
    path: Path, refused: Sequence[PlanRow], *, of_record: Sequence[SheetLayout] = (), overwrite: bool = False
) -> None:
    """Write refused rows so that they can be corrected and read again. `overwrite`: replace an existing file.

    `of_record`: the sheet that says of which record they are, if it is another one.
    """
    by_sheet: dict[int, list[PlanRow]] = {}
    for row in refused:
        by_sheet.setdefault(id(row.sheet), []).append(row)
    said = [Page(sheet.name, [each.header for each in sheet.headings], sheet.titles) for sheet in of_record]
    write_workbook(path, [*(_page(rows[0].sheet, rows) for rows in by_sheet.values()), *said], overwrite=overwrite)


def _page(sheet: SheetLayout, rows: Sequence[PlanRow]) -> Page:
    width = max(len(sheet.headings), max((len(row.row.cells) for row in rows), default=0))
    ours = {header_key(each.header): place for place, each in enumerate(sheet.headings)}
    kept = [place for place in range(width) if place not in {ours.get(key) for key in NOT_READ}]
    above, headers = _headers(sheet, kept)
    lines: list[list[Cell]] = []
    marked: list[tuple[int, int]] = []
    for row in rows:
        wrong = {problem.column for problem in row.problems}
        columns = [_column(sheet, place) for place in kept]
        marked += [(len(lines), place) for place, column in enumerate(columns) if column in wrong]
        cells = [_cell(sheet, column, _at(row.row.cells, place)) for place, column in zip(kept, columns, strict=True)]
        tab, number = (_at(row.row.cells, ours.get(header_key(name), width)) for name in (FROM_SHEET, FROM_ROW))
        first = Decimal(number) if _COUNT.fullmatch(number) else Decimal(row.row.number)
        lines.append([*cells, tab or sheet.name, first, _wrong(row)])
    return Page(sheet.name, [*headers, FROM_SHEET, FROM_ROW, WRONG], lines, above=above, marked=marked)


def _headers(sheet: SheetLayout, kept: Sequence[int]) -> tuple[list[list[str]], list[str]]:
    """Titles and header as they were; without titles and with one header row if those would be read differently."""
    lead = [[_at(line, place) for place in kept] for line in (*sheet.titles, *sheet.header)]
    columns = [_column(sheet, place) for place in kept]
    chosen = {header_key(each.header): each.column for each in sheet.headings if each.column is not None}
    rows = [Row(number, cells) for number, cells in enumerate(lead, 1)]
    found = find_header_rows(Table(sheet.name, rows), chosen, header_key(sheet.name))
    if found is not None and found.first == len(lead):
        as_read = [each.column for each in found.headings]
        if [*as_read, *[None] * (len(kept) - len(as_read))] == columns:
            return lead[:-1], lead[-1]
    names = [each.header for each in sheet.headings]
    return [], [names[place] if place < len(names) else unnamed(place + 1) for place in kept]


def _column(sheet: SheetLayout, place: int) -> str | None:
    return sheet.headings[place].column if place < len(sheet.headings) else None


def _at(cells: Sequence[str], place: int) -> str:
    return cells[place] if place < len(cells) else ""


def _cell(sheet: SheetLayout, column: str | None, text: str) -> Cell:
    """A cell as it was: days as days, numbers as numbers; what only its column explained is written out."""
    if not text:
        return None
    if (isinstance(text, Figure) and text[-1].isdigit()) or (
        column in (*_NUMBERS, *sheet.kind.amounts) and _COUNT.fullmatch(text)
    ):
        return Decimal(text)
    if column is not None and column in sheet.kind.days:
        return _day(sheet, column, text)
    return _amount(sheet, column, text) if column is not None and column in sheet.kind.amounts else text


def _day(sheet: SheetLayout, column: str, text: str) -> Cell:
    if _ISO_DAY.fullmatch(text):
        with suppress(ValueError):
            return date.fromisoformat(text)
    with suppress(Refused):
        day_of(text, today())
        return text
    with suppress(Refused, ValueError):
        return date.fromisoformat(day_of(text, today(), sheet.cell_format(column)).edtf)
    return text


#: The currency of an amount whose cell names none, while only its figures matter.
_TWO_DECIMALS = "EUR"


def _amount(sheet: SheetLayout, column: str, text: str) -> Cell:
    with suppress(Refused):
        amount_of(text, _TWO_DECIMALS, UNKNOWN)
        return text
    with suppress(Refused):
        digits, currency = amount_of(text, None, sheet.cell_format(column))
        return f"{digits} {currency}"
    with suppress(Refused):
        return Decimal(amount_of(text, _TWO_DECIMALS, sheet.cell_format(column))[0])
    return text


def _wrong(row: PlanRow) -> str:
    found = []
    for problem in row.problems:
        text = f"{problem.column}: {problem.problem}" if problem.column else problem.problem
        found.append(f"{text} ({problem.hint})" if problem.hint else text)
    return "; ".join(found)
