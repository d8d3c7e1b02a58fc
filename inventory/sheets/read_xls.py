"""Reading xls, the workbook of before 2007."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path
from typing import Any

from inventory.errors import Refused
from inventory.sheets.grid import (
    FALSE_DAY,
    Merged,
    Once,
    Table,
    cut_short,
    no_sheet,
    remarks,
    text_of_number,
    text_of_time,
)
from inventory.sheets.guards import DAMAGED, LOCKED, MOST_MERGED, Amount, too_large

__all__ = ["read_xls"]

#: Names of parts as the container spells them: a workbook of today under a password, and macros.
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_MACROS = "_VBA_PROJECT".encode("utf-16-le")
_FALSE_NUMBER = 60
#: How xlrd counts the books that formulas refer to: another file, another program.
_OTHER_FILE, _OTHER_PROGRAM = 2, 4


def read_xls(path: Path) -> list[Table]:
    """The sheets of a workbook."""
    import xlrd  # about 30 ms, needed only here

    held = path.read_bytes()
    if _ENCRYPTED in held:
        raise no_sheet(path, LOCKED)
    try:
        with xlrd.open_workbook(
            file_contents=held, logfile=io.StringIO(), on_demand=True, formatting_info=True, ragged_rows=True
        ) as book:
            return _tables(path, book, macros=_MACROS in held)
    except Refused:
        raise
    except xlrd.XLRDError as problem:
        said = str(problem).casefold()
        raise no_sheet(path, LOCKED if "encrypt" in said or "password" in said else DAMAGED) from None
    except Exception:  # a damaged file brings xlrd to stumble in many ways: it checks little of what it unpacks
        raise no_sheet(path, DAMAGED) from None


def _tables(path: Path, book: Any, *, macros: bool) -> list[Table]:
    amount, wrong = Amount(path), 0
    tables = []
    for place in range(book.nsheets):
        sheet = book.sheet_by_index(place)
        tables.append(_table(path, sheet, book.datemode, amount))
        wrong += sum(kinds.count(_ERROR) for kinds in map(sheet.row_types, range(sheet.nrows)))
        book.unload_sheet(place)
    links = any(each in (_OTHER_FILE, _OTHER_PROGRAM) for each in book._supbook_types)
    if tables:
        tables[0] = replace(tables[0], remarks=remarks(links=links, macros=macros, wrong=wrong))
    return tables


_EMPTY, _TEXT, _NUMBER, _DATE, _BOOLEAN, _ERROR, _BLANK = range(7)


def _table(path: Path, sheet: Any, datemode: int, amount: Amount) -> Table:
    texts = Once()

    def read(kind: int, value: Any) -> str:
        if kind == _TEXT:
            return texts[value]
        if kind == _NUMBER:
            return text_of_number(value)
        if kind == _DATE:
            return _day(value, datemode)
        if kind == _BOOLEAN:
            return "TRUE" if value else "FALSE"
        return ""

    rows: list[tuple[int, list[str]]] = []
    for place in range(sheet.nrows):
        pairs = zip(sheet.row_types(place), sheet.row_values(place), strict=True)
        cells = cut_short([read(kind, value) for kind, value in pairs])
        if cells:
            amount.add(cells)
            rows.append((place + 1, cells))
    if len(sheet.merged_cells) > MOST_MERGED:
        raise too_large(path, f"one of its sheets has more than {MOST_MERGED} joined cells")
    merged = tuple(Merged(top + 1, left, bottom, right - 1) for top, bottom, left, right in sheet.merged_cells)
    return Table(sheet.name, rows, sheet.visibility != 0, 1904 if datemode else 1900, merged)


def _day(number: float, datemode: int) -> str:
    """The day and time of a number; the number itself where it is none."""
    from xlrd.xldate import xldate_as_datetime

    if not datemode and int(number) == _FALSE_NUMBER:
        return FALSE_DAY
    if not number >= 1:
        return text_of_number(number)
    try:
        return text_of_time(xldate_as_datetime(number, datemode))
    except (OverflowError, ValueError):
        return text_of_number(number)
