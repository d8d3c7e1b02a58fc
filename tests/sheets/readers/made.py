"""Sheets as other programs write them, by libraries that none of our readers is built on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import xlsxwriter
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook

__all__ = ["WRITERS", "Rows", "ods_cell"]

Rows = Sequence[Sequence[Any]]


def by_openpyxl(path: Path, rows: Rows) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(list(row))
    book.save(path)


def by_xlsxwriter(path: Path, rows: Rows) -> None:
    book = xlsxwriter.Workbook(str(path))
    sheet, day = book.add_worksheet("parts"), book.add_format({"num_format": "dd/mm/yyyy"})
    for place, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, date):
                sheet.write_datetime(place, column, value, day)
            elif isinstance(value, str):
                sheet.write_string(place, column, value)
            elif value is not None:
                sheet.write(place, column, value)
    book.close()


def by_xlwt(path: Path, rows: Rows) -> None:
    book = xlwt.Workbook()
    sheet, day = book.add_sheet("parts"), xlwt.easyxf(num_format_str="DD/MM/YYYY")
    for place, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, date):
                sheet.write(place, column, value, day)
            elif value is not None:
                sheet.write(place, column, value)
    book.save(str(path))


def ods_cell(value: Any, **more: Any) -> TableCell:
    if isinstance(value, bool):
        return TableCell(valuetype="boolean", booleanvalue=str(value).lower(), **more)
    if isinstance(value, int | float):
        return TableCell(valuetype="float", value=value, **more)
    if isinstance(value, date):
        return TableCell(valuetype="date", datevalue=value.isoformat(), **more)
    cell = TableCell(**more) if value is None else TableCell(valuetype="string", **more)
    for line in str(value or "").split("\n") if value is not None else ():
        cell.addElement(P(text=line))
    return cell


def by_odfpy(path: Path, rows: Rows) -> None:
    book = OpenDocumentSpreadsheet()
    sheet = Table(name="parts")
    for row in rows:
        line = TableRow()
        for value in row:
            line.addElement(ods_cell(value))
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))


#: A way to write a workbook, by the name of the library and the suffix it writes.
WRITERS: dict[str, tuple[str, Callable[[Path, Rows], None]]] = {
    "openpyxl": (".xlsx", by_openpyxl),
    "xlsxwriter": (".xlsx", by_xlsxwriter),
    "xlwt": (".xls", by_xlwt),
    "odfpy": (".ods", by_odfpy),
}
