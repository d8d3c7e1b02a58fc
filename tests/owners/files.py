"""An owner's sheet as the file that he would send: csv, xlsx (XlsxWriter), xls (xlwt), ods (odfpy)."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import xlsxwriter
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.style import Style, TextProperties
from odf.table import Table, TableCell, TableRow
from odf.text import P

from tests.owners.owner import Cell, Owner, Tab

__all__ = ["write_owner"]


def write_owner(owner: Owner, folder: Path, *, next_month: bool = False) -> Path:
    """Write this month's or next month's version; both have the same name, in folders of their own."""
    place = folder / ("next" if next_month else "first")
    place.mkdir(parents=True, exist_ok=True)
    path = place / owner.file
    tabs = owner.version(next_month=next_month)
    {"csv": _csv, "xlsx": _xlsx, "xls": _xls, "ods": _ods}[owner.form](path, tabs, owner.options)
    return path


def _csv(path: Path, tabs: Sequence[Tab], options: dict[str, Any]) -> None:
    """As a spreadsheet saves it: all lines as long as the longest, quotes only where they are needed."""
    separator = options["separator"]
    width = max(len(line.cells) for line in tabs[0].lines)
    lines = []
    for line in tabs[0].lines:
        cells = [_quoted(cell.shown, separator) for cell in line.cells]
        lines.append(separator.join(cells + [""] * (width - len(cells))))
    path.write_bytes("".join(f"{line}\r\n" for line in lines).encode(options["encoding"]))


def _quoted(text: str, separator: str) -> str:
    if separator in text or '"' in text:
        return '"{}"'.format(text.replace('"', '""'))
    return text


def _xlsx(path: Path, tabs: Sequence[Tab], options: dict[str, Any]) -> None:
    book = xlsxwriter.Workbook(str(path))
    for tab in tabs:
        sheet = book.add_worksheet(tab.name)
        for line in tab.lines:
            for place, cell in enumerate(line.cells):
                _write_xlsx(book, sheet, line.number - 1, place, cell)
        for place in tab.options.get("hidden_columns", ()):
            sheet.set_column(place, place, None, None, {"hidden": True})
        for area in tab.options.get("merged", ()):
            first = area.split(":")[0]
            row, column = int(first[1:]) - 1, ord(first[0]) - 65
            sheet.merge_range(area, tab.lines[row].cells[column].shown, None)
        if tab.options.get("autofilter"):
            sheet.autofilter(0, 0, len(tab.lines) - 1, len(tab.lines[0].cells) - 1)
    book.close()


def _write_xlsx(book: Any, sheet: Any, row: int, column: int, cell: Cell) -> None:
    look: dict[str, Any] = {}
    if cell.yellow:
        look["bg_color"] = "#FFFF00"
    if cell.struck:
        look["font_strikeout"] = True
    if cell.day is not None:
        look["num_format"] = "dd/mm/yyyy"
    if cell.number_format:
        look["num_format"] = cell.number_format
    style = book.add_format(look) if look else None
    if cell.day is not None:
        sheet.write_datetime(row, column, datetime.fromisoformat(cell.day), style)
    elif cell.number is not None:
        sheet.write_number(row, column, cell.number, style)
    elif cell.typed:
        sheet.write_string(row, column, cell.typed, style)
    elif style:
        sheet.write_blank(row, column, None, style)
    if cell.comment:
        sheet.write_comment(row, column, cell.comment)


def _xls(path: Path, tabs: Sequence[Tab], options: dict[str, Any]) -> None:
    book = xlwt.Workbook(encoding="cp1252")
    for tab in tabs:
        sheet = book.add_sheet(tab.name)
        for line in tab.lines:
            for place, cell in enumerate(line.cells):
                if cell.typed:  # an apostrophe that makes a number a text is not stored with it
                    sheet.write(
                        line.number - 1, place, cell.shown.removeprefix("'") if cell.number is None else cell.number
                    )
    book.save(str(path))


def _ods(path: Path, tabs: Sequence[Tab], options: dict[str, Any]) -> None:
    book = OpenDocumentSpreadsheet()
    struck = Style(name="struck", family="table-cell")
    struck.addElement(TextProperties(textlinethroughstyle="solid", textlinethroughtype="single"))
    book.automaticstyles.addElement(struck)
    for tab in tabs:
        table = Table(name=tab.name)
        for line in tab.lines:
            row = TableRow()
            for cell in line.cells:
                row.addElement(_ods_cell(cell, struck))
            table.addElement(row)
        book.spreadsheet.addElement(table)
    book.save(str(path))


def _ods_cell(cell: Cell, struck: Style) -> TableCell:
    style = {"stylename": struck} if cell.struck else {}
    if cell.day is not None:
        made = TableCell(valuetype="date", datevalue=cell.day, **style)
    elif cell.number is not None:
        made = TableCell(valuetype="float", value=cell.shown, **style)
    else:
        made = TableCell(valuetype="string", **style) if cell.typed else TableCell(**style)
    if cell.typed:
        made.addElement(P(text=cell.shown))
    return made
