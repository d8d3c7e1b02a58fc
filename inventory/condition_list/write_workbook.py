"""Writes the condition list as a workbook: front, schedule, items, and what stands behind them, a sheet each.

It has no macros, links, hidden sheets or author. Text is stored as text, whatever it looks like. The totals on the
front are formulas over the items, so that a reader can check them. Rows go to the disk as they are written, so a large
list needs no more memory than a small one.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.exceptions import FileCreateError
from xlsxwriter.worksheet import Worksheet

from inventory.condition_list.cells import Column
from inventory.condition_list.fingerprint import CHECK
from inventory.condition_list.pages import check_rows, tables_of
from inventory.condition_list.values import ConditionList
from inventory.condition_list.words import CONFIDENTIAL, HOW_TO_CHECK
from inventory.condition_list.write_cells import Formats, height, put, safe
from inventory.condition_list.write_front import front_rows, term_rows
from inventory.money import minor_digits

__all__ = ["write_workbook"]

_A4 = 9
#: Sizes of type (points) of a table, of the items, and of the lines, headings and title of a text page. On paper the
#: items are reduced to about nine points.
_TABLE, _ITEMS, _LINE, _HEADING, _TITLE = 9, 10.5, 10, 12, 16
_SCALE_OF_ITEMS = 85


def write_workbook(path: Path, drawn: ConditionList) -> None:
    """Write the list to a workbook. Raises `OSError` if the file cannot be written.

    It is packed in memory: a zip that the disk has no room for complains once more when it is thrown away.
    """
    packed = io.BytesIO()
    try:
        _write(packed, drawn)
    except FileCreateError as problem:
        raise OSError(*getattr(problem.args[0], "args", (str(problem),))) from problem
    path.write_bytes(packed.getbuffer())


def _write(packed: io.BytesIO, drawn: ConditionList) -> None:
    known = datetime.fromisoformat(drawn.known_on)  # in place of the hour of drawing: the same list is the same file
    with Workbook(packed, {"constant_memory": True}) as book:
        book.set_properties({"title": drawn.title, "author": "", "comments": "", "created": known})
        looks = {size: Formats(book, size) for size in (_TABLE, _ITEMS)}
        _lines(book, _page(book, "Front", drawn, portrait=True), front_rows(drawn))
        for name, titles, rows in tables_of(drawn):
            size = _ITEMS if name == "Items" else _TABLE
            _table(_page(book, name, drawn), titles, rows, looks[size], drawn.state.mark)
        _lines(book, _page(book, "Terms", drawn, portrait=True), term_rows())
        check = [[CHECK], ["", HOW_TO_CHECK], *map(list, check_rows(drawn))]
        _lines(book, _page(book, CHECK, drawn, portrait=True), check)


def _page(book: Workbook, name: str, drawn: ConditionList, *, portrait: bool = False) -> Worksheet:
    """A sheet for A4, with the list's number in the header and the page number in the footer."""
    sheet = book.add_worksheet(name)
    sheet.set_paper(_A4)
    sheet.set_portrait() if portrait else sheet.set_landscape()
    sheet.set_margins(left=0.4, right=0.4)
    known = f"as of {drawn.as_of}, as known on {drawn.known_on}"
    sheet.set_header(f"&L{drawn.title}&C{known}&R{CONFIDENTIAL}")
    sheet.set_footer(f"&L{name}&Cpage &P of &N")
    return sheet


def _table(
    sheet: Worksheet, titles: Sequence[Column], rows: Iterable[Sequence[Any]], looks: Formats, mark: str
) -> None:
    """A header and one row for each entry; header and first two columns stay in view and repeat on every page.

    A `mark` stands in a row above the header.
    A table that is wider than a page begins a new one with each group of columns, so that its type is never reduced.
    """
    widths = [column.width for column in titles]
    for at, width in enumerate(widths):
        sheet.set_column(at, at, width)
    head = 1 if mark else 0
    if mark:
        sheet.write_string(0, 0, mark, looks.of_line(mark, bold=True))
    sheet.freeze_panes(head + 1, 2)
    sheet.repeat_rows(0, head)
    sheet.repeat_columns(0, 1)
    if breaks := [at for at, column in enumerate(titles) if column.begins]:
        sheet.set_v_pagebreaks(breaks)
        sheet.print_across()
        sheet.set_print_scale(_SCALE_OF_ITEMS if looks.size == _ITEMS else 100)
    else:
        sheet.fit_to_pages(1, 0)
    _head(sheet, head, titles, looks)
    names = [column.title for column in titles]
    currency_at = names.index("Currency") if "Currency" in names else None
    number, size = head, looks.size
    for number, row in enumerate(rows, head + 1):
        digits = minor_digits(str(row[currency_at])) if currency_at is not None else 0
        cells = [safe(value) for value in row]
        sheet.set_row(number, height(cells, widths, size))
        for at, (column, value) in enumerate(zip(titles, cells, strict=True)):
            put(sheet, number, at, value, looks.of(column, value, digits), looks.plain)
    sheet.autofilter(head, 0, number, len(titles) - 1)


def _head(sheet: Worksheet, row: int, titles: Sequence[Column], looks: Formats) -> None:
    """The titles; those of every other group of columns have another grey."""
    sheet.set_row(row, height([column.title for column in titles], [column.width for column in titles], looks.size))
    group = 0
    for at, column in enumerate(titles):
        group += column.begins
        sheet.write_string(row, at, column.title, looks.head(column, bool(group % 2)))


def _lines(book: Workbook, sheet: Worksheet, rows: Sequence[Sequence[Any]]) -> None:
    """A page of two columns, label and text. A row of one cell is a heading."""
    sheet.fit_to_pages(1, 0)
    widths = (29, 66)
    for at, width in enumerate(widths):
        sheet.set_column(at, at, width)
    title, heading, line = (Formats(book, size) for size in (_TITLE, _HEADING, _LINE))
    for number, row in enumerate(rows):
        alone = len(row) == 1
        looks = title if number == 0 else heading if alone else line
        cells = [safe(value) for value in row]
        sheet.set_row(number, height([] if alone else cells, widths, looks.size))
        for at, value in enumerate(cells):
            put(sheet, number, at, value, looks.of_line(value, bold=alone), looks.plain)
