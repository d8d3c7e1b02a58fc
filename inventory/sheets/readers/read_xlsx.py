"""Reads xlsx and xlsm: the values last saved in their cells. Macros are not run, formulas are not calculated."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from inventory.errors import Refused
from inventory.sheets.readers.cell_text import FALSE_DAY, MOST_KEPT, text_of_number, text_of_time, without_empty_end
from inventory.sheets.readers.limits import DAMAGED, LOCKED, Size
from inventory.sheets.readers.sanitise import SafeCopy, safe_copy
from inventory.sheets.readers.tables import Merged, Row, Table, file_remarks, not_a_spreadsheet
from inventory.sheets.readers.xlsx_looks import add_looks, sheet_parts

__all__ = ["read_xlsx"]

#: The reader returns this day for both numbers 59 and 60 of a workbook that counts from 1900.
_BEFORE_FALSE_DAY = date(1900, 2, 28)


def read_xlsx(path: Path, archive: zipfile.ZipFile) -> list[Table]:
    """The sheets of a workbook, without chart and dialog sheets. Raises `Refused` if it cannot be read safely."""
    import python_calamine as calamine  # about 10 ms, needed only where a workbook is read

    size = Size(path)
    with safe_copy(path, archive) as copy, _as_refusals(path):
        book = calamine.load_workbook(str(copy.path))
        cells = [each for each in book.sheets_metadata if each.typ == calamine.SheetTypeEnum.WorkSheet]
        tables = []
        for each in cells:
            shown = each.visible == calamine.SheetVisibleEnum.Visible
            tables.append(_table(book.get_sheet_by_name(each.name), copy, size, hidden=not shown))
        without_value = _by_sheet(path, copy) if copy.uncalculated else []
        if copy.rearranged or copy.table_rearranged:
            tables = _with_order(path, copy, tables)
        tables, looks = add_looks(path, archive, copy.path, tables)
    names = [name.casefold() for name in archive.namelist()]
    if tables:
        remarks = file_remarks(
            links=any("externallinks/" in name for name in names),
            macros=any(name.endswith("vbaproject.bin") for name in names),
            uncalculated=copy.uncalculated,
            without_value=without_value,
            errors=copy.errors,
        )
        tables[0] = replace(tables[0], remarks=(*remarks, *looks))
    return tables


def _by_sheet(path: Path, copy: SafeCopy) -> list[tuple[str, list[str]]]:
    """The first formulas without a value by sheet, five at most."""
    found: list[tuple[str, list[str]]] = []
    with zipfile.ZipFile(copy.path) as copied, suppress(Refused):
        found += [(name, copy.without_value.get(part, [])) for name, part in sheet_parts(path, copied).items()]
    left, some = 5, []
    for name, cells in found:
        some.append((name, cells[:left]))
        left -= len(some[-1][1])
    return some


def _with_order(path: Path, copy: SafeCopy, tables: list[Table]) -> list[Table]:
    """The tables with why their rows may stand otherwise than they were written."""
    with zipfile.ZipFile(copy.path) as copied, suppress(Refused):
        parts = sheet_parts(path, copied)
        return [replace(each, rearranged=copy.why_rearranged(parts.get(each.name, ""))) for each in tables]
    return tables


@contextmanager
def _as_refusals(path: Path) -> Iterator[None]:
    """Turn errors and crashes of calamine into refusals."""
    import python_calamine as calamine

    try:
        yield
    except calamine.PasswordError:
        raise not_a_spreadsheet(path, LOCKED) from None
    except (calamine.CalamineError, OSError, ValueError, OverflowError):
        raise not_a_spreadsheet(path, DAMAGED) from None
    except BaseException as broken:
        if type(broken).__name__ != "PanicException":  # raised by the reader's Rust, and importable from nowhere
            raise
        raise not_a_spreadsheet(path, DAMAGED) from None


def _table(sheet: Any, copy: SafeCopy, size: Size, *, hidden: bool) -> Table:
    if sheet.start is None:
        return Table(sheet.name, [], hidden)
    texts = _Texts(FALSE_DAY if copy.has_sixty and copy.counts_from == 1900 else None)
    before = [""] * sheet.start[1]
    rows: list[Row] = []
    # iter_rows starts at row 1 of the sheet, its cells at the first column that is not empty.
    for number, row in enumerate(sheet.iter_rows(), 1):
        cells = without_empty_end(before + list(map(texts.__getitem__, row)))
        if cells:
            size.add(cells)
            rows.append(Row(number, cells))
    return Table(sheet.name, rows, hidden, copy.counts_from, _merged(sheet))


class _Texts(dict[object, str]):
    """The texts of cell values, each made once; some thousands are kept at a time."""

    def __init__(self, false_day: str | None) -> None:
        """`false_day`: the text for a day that may be the one that no calendar has."""
        super().__init__()
        self.false_day = false_day

    def __missing__(self, cell: object) -> str:
        text = self._made(cell)
        if cell not in (0, 1):  # equal to False and True, which have other texts
            if len(self) > MOST_KEPT:
                self.clear()
            self[cell] = text
        return text

    def _made(self, cell: object) -> str:
        if isinstance(cell, str):
            return cell
        if isinstance(cell, bool):
            return "TRUE" if cell else "FALSE"
        if isinstance(cell, float):
            return text_of_number(cell)
        if isinstance(cell, date | time):
            day = cell.date() if isinstance(cell, datetime) else cell
            return self.false_day if self.false_day and day == _BEFORE_FALSE_DAY else text_of_time(cell)
        return str(cell)


def _merged(sheet: Any) -> tuple[Merged, ...]:
    found = sheet.merged_cell_ranges or ()
    return tuple(Merged(start[0] + 1, start[1], end[0] + 1, end[1]) for start, end in found)
