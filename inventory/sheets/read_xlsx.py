"""Reading xlsx and xlsm: the values last seen in their cells. Macros are not run, formulas not worked out."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from inventory.sheets.grid import (
    FALSE_DAY,
    MOST_KEPT,
    Merged,
    Table,
    cut_short,
    no_sheet,
    remarks,
    text_of_number,
    text_of_time,
)
from inventory.sheets.guards import DAMAGED, LOCKED, Amount
from inventory.sheets.vetting import Vetted, vetted

__all__ = ["read_xlsx"]

#: Numbers 59 and 60 of a workbook that counts from 1900 both come as this day.
_BEFORE_FALSE_DAY = date(1900, 2, 28)


def read_xlsx(path: Path, archive: zipfile.ZipFile) -> list[Table]:
    """The sheets of a workbook, those without cells (charts, dialogues) left out."""
    import python_calamine as calamine  # about 10 ms, needed only where a workbook is read

    amount = Amount(path)
    with vetted(path, archive) as found, _sentences(path):
        book = calamine.load_workbook(str(found.copy))
        cells = [each for each in book.sheets_metadata if each.typ == calamine.SheetTypeEnum.WorkSheet]
        tables = []
        for each in cells:
            shown = each.visible == calamine.SheetVisibleEnum.Visible
            tables.append(_table(book.get_sheet_by_name(each.name), found, amount, hidden=not shown))
    names = [name.casefold() for name in archive.namelist()]
    if tables:
        said = remarks(
            links=any("externallinks/" in name for name in names),
            macros=any(name.endswith("vbaproject.bin") for name in names),
            unworked=found.unworked,
            wrong=found.wrong,
        )
        tables[0] = replace(tables[0], remarks=said)
    return tables


@contextmanager
def _sentences(path: Path) -> Iterator[None]:
    """What the reader of workbooks says of a file it cannot read, as a sentence; where it breaks down as well."""
    import python_calamine as calamine

    try:
        yield
    except calamine.PasswordError:
        raise no_sheet(path, LOCKED) from None
    except (calamine.CalamineError, OSError, ValueError, OverflowError):
        raise no_sheet(path, DAMAGED) from None
    except BaseException as broken:
        if type(broken).__name__ != "PanicException":  # raised by the reader's Rust, and importable from nowhere
            raise
        raise no_sheet(path, DAMAGED) from None


def _table(sheet: Any, found: Vetted, amount: Amount, *, hidden: bool) -> Table:
    if sheet.start is None:
        return Table(sheet.name, [], hidden)
    texts = _Texts(FALSE_DAY if found.sixty and found.counts_from == 1900 else None)
    before = [""] * sheet.start[1]
    rows: list[tuple[int, list[str]]] = []
    # The rows come from the first of the sheet on, their cells from the first column that holds something.
    for number, row in enumerate(sheet.iter_rows(), 1):
        cells = cut_short(before + [texts[cell] for cell in row])
        if cells:
            amount.add(cells)
            rows.append((number, cells))
    return Table(sheet.name, rows, hidden, found.counts_from, _merged(sheet))


class _Texts(dict[object, str]):
    """The texts of cells, made once for each: a sheet repeats itself. Some thousands are kept at a time."""

    def __init__(self, false_day: str | None) -> None:
        """`false_day`: what to call a day that may be the one no calendar has."""
        super().__init__()
        self.false_day = false_day

    def __missing__(self, cell: object) -> str:
        text = self._made(cell)
        if cell not in (0, 1):  # which are equal to false and true
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
