"""Sheets as other programs write them, by libraries that none of our readers is built on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import xlsxwriter
import xlwt
from odf.dc import Creator
from odf.number import EmbeddedText, Number, NumberStyle
from odf.office import Annotation
from odf.opendocument import OpenDocumentSpreadsheet
from odf.style import Style, TableCellProperties, TextProperties
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook

__all__ = ["OWNED_HEAD", "WRITERS", "Rows", "looked_ods", "ods_cell", "owned_book"]

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


OWNED_HEAD = ("Kind", "Serial", "Price", "Bought", "Notes")
#: The sheet of an owner: serial, price and the format in which it is shown, note, mark.
_OWNED = [
    ("relay", 14522, 12.5, "[$$-409]#,##0.00", "lid bent", ""),
    ("relay", 147, 8, '#,##0.00 "€"', "", "yellow"),
    ("injector", 99, 9.5, '"$"#,##0.00', "ok", ""),
    ("fuel pump", 5, 100, '"$"#,##0.00', "", ""),
    ("relay", 77, 1, "[$$-409]#,##0.00", "", "struck"),
]


def owned_book(path: Path) -> Path:
    """An owner's sheet that says much by its looks."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Shelf")
    sheet.write_row(0, 0, OWNED_HEAD, book.add_format({"bg_color": "#D9D9D9"}))
    for row, (kind, serial, price, shown, note, mark) in enumerate(_OWNED, 1):
        look = {"yellow": {"bg_color": "#FFFF00"}, "struck": {"font_strikeout": True}}.get(mark, {})
        sheet.write(row, 0, kind, book.add_format(look))
        sheet.write_number(row, 1, serial, book.add_format({"num_format": "0000000", **look}))
        sheet.write_number(row, 2, price, book.add_format({"num_format": shown, **look}))
        sheet.write_datetime(row, 3, date(1971, 3, 1), book.add_format({"num_format": "mm/yyyy"}))
        sheet.write(row, 4, note)
    sheet.write_comment("B2", "Ines:\nread twice", {"author": "Ines"})
    sheet.write_comment("E3", "ask him")
    sheet.write_comment("A1", "all of 1971")
    book.close()
    return path


def looked_ods(path: Path) -> Path:
    """A cell struck through on yellow, with a comment, and one in dollars."""
    book = OpenDocumentSpreadsheet()
    style = Style(name="ce1", family="table-cell")
    style.addElement(TableCellProperties(backgroundcolor="#ffff00"))
    style.addElement(TextProperties(textlinethroughstyle="solid"))
    book.automaticstyles.addElement(style)
    grouped = NumberStyle(name="N1")
    number = Number(minintegerdigits="10", decimalplaces="0")
    for position in ("3", "6", "9"):
        number.addElement(EmbeddedText(position=position, text=" "))
    grouped.addElement(number)
    book.automaticstyles.addElement(grouped)
    book.automaticstyles.addElement(of_numbers := Style(name="ce2", family="table-cell", datastylename="N1"))
    sheet, row = Table(name="Shelf"), TableRow()
    first = TableCell(valuetype="string", stylename=style)
    comment = Annotation()
    comment.addElement(Creator(text="Ines"))
    comment.addElement(P(text="read twice"))
    first.addElement(comment)
    first.addElement(P(text="0000147"))
    row.addElement(first)
    row.addElement(TableCell(valuetype="currency", currency="USD", value="8"))
    row.addElement(TableCell(valuetype="float", value="280000001", stylename=of_numbers))
    sheet.addElement(row)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))
    return path
