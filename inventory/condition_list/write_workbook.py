"""Writes the condition list as a workbook: front, items, tests and seals, values, gaps, terms.

It has no macros, links, hidden sheets or author. Text is stored as text, whatever it looks like. The totals on the
front are formulas over the items, so that a reader can check them. Rows go to the disk as they are written, so a large
list needs no more memory than a small one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.exceptions import FileCreateError
from xlsxwriter.worksheet import Worksheet

from inventory.condition_list.fingerprint import CHECK
from inventory.condition_list.pages import GAPS, TESTS_AND_SEALS, VALUES, check_rows, gap_rows, test_rows, value_rows
from inventory.condition_list.table import COLUMNS, Cell, Column, as_text, disarmed, row_of
from inventory.condition_list.values import ConditionList
from inventory.condition_list.words import CONFIDENTIAL, HOW_TO_CHECK
from inventory.condition_list.write_front import Formula, front_rows, term_rows
from inventory.money import minor_digits

__all__ = ["write_workbook"]

#: Characters that a cell may hold (Microsoft, "Excel specifications and limits").
_MOST_SIGNS = 32_767
_CUT = " ... (cut here, the record has all of it)"
#: Digits that a cell can hold of a number; a longer amount is written as text, so that it stays exact.
_MOST_DIGITS = 15
#: Not allowed in XML 1.0, and not among the control characters that are removed on input.
_NO_XML = re.compile("[\ufffe\uffff]")
#: XlsxWriter takes a text with this start as its own markup and does not escape it.
_ITS_MARKUP = "<r>"
_TEXT_COLUMNS = frozenset({"Tag", "Part number", "Serial", "Date code", "Match code"})
_A3, _A4 = 8, 9
#: A column's width is counted in digits of this size; lines of whole words end about this much before its edge.
_USUAL_SIZE, _RAGGED = 11, 2
#: The line height in font sizes, and the highest row that spreadsheets allow, in points.
_LINE_HEIGHT, _HIGHEST = 1.3, 409
_TOP = {"valign": "top", "align": "left", "text_wrap": True}
_RIGHT = {"valign": "top", "align": "right", "indent": 1, "text_wrap": True}
_LINE = {"bottom": 7, "bottom_color": "#999999"}


def write_workbook(path: Path, drawn: ConditionList) -> None:
    """Write the list to a workbook. Raises `OSError` if the file cannot be written."""
    try:
        _write(path, drawn)
    except FileCreateError as problem:
        raise OSError(*getattr(problem.args[0], "args", (str(problem),))) from problem


def _write(path: Path, drawn: ConditionList) -> None:
    with Workbook(str(path), {"constant_memory": True}) as book:
        book.set_properties({"title": f"Condition list no. {drawn.number}", "author": "", "comments": ""})
        items = (row_of(item, drawn.basis) for item in drawn.items)
        _lines(book, _page(book, "Front", drawn, portrait=True), front_rows(drawn))
        _table(book, _page(book, "Items", drawn, paper=_A3), COLUMNS, items, size=8)
        _table(book, _page(book, "Tests and seals", drawn), TESTS_AND_SEALS, test_rows(drawn))
        _table(book, _page(book, "Values", drawn), VALUES, value_rows(drawn))
        _table(book, _page(book, "Gaps", drawn), GAPS, gap_rows(drawn))
        _lines(book, _page(book, "Terms", drawn, portrait=True), term_rows())
        check = [[CHECK], ["", HOW_TO_CHECK], *map(list, check_rows(drawn))]
        _lines(book, _page(book, CHECK, drawn, portrait=True), check)


def _page(book: Workbook, name: str, drawn: ConditionList, *, paper: int = _A4, portrait: bool = False) -> Worksheet:
    """A sheet as wide as the page, with the list's number in the header and the page number in the footer."""
    sheet = book.add_worksheet(name)
    sheet.set_paper(paper)
    sheet.set_portrait() if portrait else sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(left=0.4, right=0.4)
    known = f"as of {drawn.as_of}, as known on {drawn.known_on}"
    sheet.set_header(f"&LCondition list no. {drawn.number}&C{known}&R{CONFIDENTIAL}")
    sheet.set_footer(f"&L{name}&Cpage &P of &N")
    return sheet


def _table(
    book: Workbook, sheet: Worksheet, columns: Sequence[Column], rows: Iterable[Sequence[Cell]], *, size: int = 9
) -> None:
    """A header and one row for each entry; header and first two columns stay in view and repeat on every page."""
    titles = [column.title for column in columns]
    widths = [column.width for column in columns]
    for place, width in enumerate(widths):
        sheet.set_column(place, place, width)
    sheet.freeze_panes(1, 2)
    sheet.repeat_rows(0)
    sheet.repeat_columns(0, 1)
    look = _Formats(book, size)
    sheet.set_row(0, _height(titles, widths, size))
    for place, title in enumerate(titles):
        sheet.write_string(0, place, title, look.head(title in ("Value", "Amount")))
    currency_at = titles.index("Currency") if "Currency" in titles else None
    number = 0
    for number, row in enumerate(rows, 1):
        digits = minor_digits(str(row[currency_at])) if currency_at is not None else 0
        cells = [_safe(value) for value in row]
        sheet.set_row(number, _height(cells, widths, size))
        for place, (title, value) in enumerate(zip(titles, cells, strict=True)):
            _put(book, sheet, number, place, value, look.of(title, value, digits))
    sheet.autofilter(0, 0, number, len(columns) - 1)


def _lines(book: Workbook, sheet: Worksheet, rows: Sequence[Sequence[Any]]) -> None:
    """A page of two columns, label and text. A row of one cell is a heading."""
    widths = (44, 92)
    for place, width in enumerate(widths):
        sheet.set_column(place, place, width)
    for number, row in enumerate(rows):
        heading = len(row) == 1
        size = 16 if number == 0 else 12 if heading else 10
        looks: dict[str, Any] = {**_TOP, "bold": heading, "font_size": size, "text_wrap": not heading}
        cells = [value if isinstance(value, Formula) else _safe(value) for value in row]
        high = 16 if number == 0 else 14 if heading else 10
        sheet.set_row(number, _height([] if heading else cells, widths, high))
        for place, value in enumerate(cells):
            if isinstance(value, Formula):
                form = book.add_format({**looks, "num_format": _amount_format(value.digits)})
                sheet.write_formula(number, place, value.text, form, float(value.amount))
            else:
                _put(book, sheet, number, place, value, book.add_format(looks))


class _Formats:
    """The formats of a table, each made once."""

    def __init__(self, book: Workbook, size: int) -> None:
        self._make = book.add_format
        self._size = size
        self._known: dict[tuple[object, ...], Any] = {}

    def head(self, right: bool) -> Any:
        """The format of a title."""
        style = _RIGHT if right else _TOP
        return self._once(("head", right), {**style, "bold": True, "font_size": self._size, "bg_color": "#E7E6E0"})

    def of(self, title: str, value: Cell, digits: int) -> Any:
        """The format of a cell: for days, for amounts, and for text that could be read as a formula."""
        armed = isinstance(value, str) and disarmed(value) != value
        key = title in _TEXT_COLUMNS, type(value), digits, armed
        if key in self._known:
            return self._known[key]
        style: dict[str, Any] = {**(_RIGHT if isinstance(value, Decimal) else _TOP), **_LINE, "font_size": self._size}
        if title in _TEXT_COLUMNS:
            style["num_format"] = "@"
        elif isinstance(value, date):
            style["num_format"] = "yyyy-mm-dd"
        elif isinstance(value, Decimal):
            style["num_format"] = _amount_format(digits)
        if armed:
            style["quote_prefix"] = True  # it stays text even when somebody edits the cell
        return self._once(key, style)

    def _once(self, key: tuple[object, ...], style: dict[str, Any]) -> Any:
        if key not in self._known:
            self._known[key] = self._make(style)
        return self._known[key]


def _height(cells: Sequence[Any], widths: Sequence[float], size: int) -> float:
    """The height that the longest cell of a row needs; not every program computes it when it opens the file."""
    lines = 1
    for value, width in zip(cells, widths, strict=False):
        if isinstance(value, str):
            per_line = width * _USUAL_SIZE / size - _RAGGED
            if len(value) > per_line:
                lines = max(lines, math.ceil(len(value) / per_line))
    return min(lines * size * _LINE_HEIGHT + 2, _HIGHEST)


def _safe(value: Cell) -> Cell:
    """A value in a form that a cell can hold."""
    if isinstance(value, Decimal) and len(value.as_tuple().digits) > _MOST_DIGITS:
        return str(value)
    if not isinstance(value, str):
        return value
    text = value.strip() if value.isprintable() else _NO_XML.sub("", as_text(value))
    return text if len(text) <= _MOST_SIGNS else text[: _MOST_SIGNS - len(_CUT)] + _CUT


def _put(book: Workbook, sheet: Worksheet, row: int, column: int, value: Cell, look: Any) -> None:
    """Write a cell: text as text, never a formula; a day as a date; an amount as a number."""
    if isinstance(value, str):
        if value.startswith(_ITS_MARKUP):
            plain = book.add_format()
            sheet.write_rich_string(row, column, plain, value[:1], plain, value[1:], look)
        elif value:
            sheet.write_string(row, column, value, look)
        else:
            sheet.write_blank(row, column, None, look)
    elif isinstance(value, date):
        sheet.write_datetime(row, column, value, look)
    else:
        sheet.write_number(row, column, float(value) if isinstance(value, Decimal) else value, look)


def _amount_format(digits: int) -> str:
    return f"#,##0.{'0' * digits}" if digits else "#,##0"
