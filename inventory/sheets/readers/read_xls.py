"""Reads xls, the workbook format used before 2007."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

from inventory.errors import Refused
from inventory.sheets.readers.cell_text import FALSE_DAY, Interned, text_of_number, text_of_time, without_empty_end
from inventory.sheets.readers.limits import DAMAGED, LOCKED, MOST_MERGED, Size, too_large
from inventory.sheets.readers.looks import MOST_COMMENTS, NO_LOOK, Looker, look_of
from inventory.sheets.readers.tables import HIDDEN_ROWS, Merged, Row, Table, file_remarks, not_a_spreadsheet
from inventory.sheets.readers.xls_looks import comment_of, xls_looks

__all__ = ["read_xls"]

#: Names inside the container that show a password-protected xlsx, and macros.
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_MACROS = "_VBA_PROJECT".encode("utf-16-le")
_FALSE_NUMBER = 60
#: xlrd's types of books that formulas refer to: another file, another program.
_OTHER_FILE, _OTHER_PROGRAM = 2, 4


def read_xls(path: Path) -> list[Table]:
    """The sheets of a workbook. Raises `Refused` if it is locked, damaged or too large."""
    import xlrd  # about 30 ms, needed only here

    held = path.read_bytes()
    if _ENCRYPTED in held:
        raise not_a_spreadsheet(path, LOCKED)
    try:
        with xlrd.open_workbook(
            file_contents=held, logfile=io.StringIO(), on_demand=True, formatting_info=True, ragged_rows=True
        ) as book:
            return _tables(path, book, macros=_MACROS in held)
    except Refused:
        raise
    except xlrd.XLRDError as problem:
        why = str(problem).casefold()
        raise not_a_spreadsheet(path, LOCKED if "encrypt" in why or "password" in why else DAMAGED) from None
    except Exception:  # xlrd checks little, so a damaged file makes it raise almost anything
        raise not_a_spreadsheet(path, DAMAGED) from None


def _tables(path: Path, book: Any, *, macros: bool) -> list[Table]:
    size, errors = Size(path), 0
    tables = []
    for place in range(book.nsheets):
        sheet = book.sheet_by_index(place)
        tables.append(_table(path, sheet, book.datemode, size))
        errors += sum(kinds.count(_ERROR) for kinds in map(sheet.row_types, range(sheet.nrows)))
        book.unload_sheet(place)
    links = any(each in (_OTHER_FILE, _OTHER_PROGRAM) for each in book._supbook_types)
    if tables:
        remarks = file_remarks(links=links, macros=macros, errors=errors)
        tables[0] = replace(tables[0], remarks=(*remarks, *tables[0].remarks))
    return tables


_EMPTY, _TEXT, _NUMBER, _DATE, _BOOLEAN, _ERROR, _BLANK = range(7)


def _table(path: Path, sheet: Any, datemode: int, size: Size) -> Table:
    texts = Interned()

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

    rows: list[Row] = []
    looks, looker = xls_looks(sheet.book), Looker()
    for place in range(sheet.nrows):
        kinds = sheet.row_types(place)
        cells = [read(kind, value) for kind, value in zip(kinds, sheet.row_values(place), strict=True)]
        for column in range(len(cells)) if looks else ():
            if look := looks.get(sheet.cell_xf_index(place, column)):
                cells[column] = looker.looked(cells[column], look, number=kinds[column] in (_NUMBER, _DATE))
        cells = without_empty_end(cells)
        if cells:
            size.add(cells)
            rows.append(Row(place + 1, cells))
    if len(sheet.merged_cells) > MOST_MERGED:
        raise too_large(path, f"one of its sheets has more than {MOST_MERGED} merged ranges")
    merged = tuple(Merged(top + 1, left, bottom, right - 1) for top, bottom, left, right in sheet.merged_cells)
    table = Table(sheet.name, rows, sheet.visibility != 0, 1904 if datemode else 1900, merged)
    notes = {(at[0] + 1, at[1]): comment_of(note) for at, note in islice(sheet.cell_note_map.items(), MOST_COMMENTS)}
    remarks = looker.with_comments(table, notes)
    looked = any(look_of(cell) is not NO_LOOK for row in rows for cell in row.cells) if looks or notes else False
    hidden = any(sheet.rowinfo_map[each].hidden for each in sheet.rowinfo_map if sheet.row_len(each))
    return replace(table, remarks=tuple(remarks), looked=looked, rearranged=HIDDEN_ROWS if hidden else "")


def _day(number: float, datemode: int) -> str:
    """The day and time of a day number, or the number itself if it is not one."""
    from xlrd.xldate import xldate_as_datetime

    if not datemode and int(number) == _FALSE_NUMBER:
        return FALSE_DAY
    if not number >= 1:
        return text_of_number(number)
    try:
        return text_of_time(xldate_as_datetime(number, datemode))
    except (OverflowError, ValueError):
        return text_of_number(number)
