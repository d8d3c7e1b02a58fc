"""The condition list as a workbook: front, items, tests and seals, values, gaps, terms.

No macros, links, hidden sheets or author; text is stored as text, whatever it looks like; the totals on the front
are formulas over the items, so that a reader can see how they come about. openpyxl is imported at module level:
only `list_files` imports this module, when a workbook is wanted.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from copy import copy
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from inventory.worth.list_front import Formula, front_rows, term_rows
from inventory.worth.list_sheets import GAPS, TESTS_AND_SEALS, VALUES, gap_rows, test_rows, value_rows
from inventory.worth.list_table import COLUMNS, Cell, Column, as_text, disarmed, row_of
from inventory.worth.list_words import CONFIDENTIAL
from inventory.worth.listed import ConditionList
from inventory.worth.money import minor_digits

__all__ = ["write_workbook"]

#: Signs that a cell may hold; openpyxl cuts what is longer in silence.
_MOST_SIGNS = 32_767
_CUT = " ... (cut here, the record holds all of it)"
#: Not allowed in XML 1.0, and not among the control characters that are cleaned away on the way in.
_NO_XML = re.compile("[\ufffe\uffff]")
_TEXT_COLUMNS = frozenset({"Tag", "Part number", "Serial", "Date code", "Match code"})
_A3, _A4 = 8, 9
#: A column's width is counted in figures of this size; lines of whole words end about so many signs before its edge.
_USUAL_SIZE, _RAGGED = 11, 2
#: In sizes of the letters; and the highest row that spreadsheets know, in points.
_LINE_HEIGHT, _HIGHEST = 1.3, 409
_HEAD = PatternFill("solid", fgColor="E7E6E0")
_LINE = Border(bottom=Side(style="hair", color="999999"))


def write_workbook(path: Path, drawn: ConditionList) -> None:
    """Write the list to a workbook."""
    book = Workbook()
    book.properties.creator = ""  # else the name of the library stands as the author
    book.properties.title = f"Condition list no. {drawn.number}"
    front = book.active
    assert isinstance(front, Worksheet)
    front.title = "Front"
    _lines(front, front_rows(drawn))
    items = [row_of(item, drawn.basis) for item in drawn.items]
    _table(book.create_sheet("Items"), COLUMNS, items, paper=_A3, size=8)
    _table(book.create_sheet("Tests and seals"), TESTS_AND_SEALS, test_rows(drawn))
    _table(book.create_sheet("Values"), VALUES, value_rows(drawn))
    _table(book.create_sheet("Gaps"), GAPS, gap_rows(drawn))
    _lines(book.create_sheet("Terms"), term_rows())
    for sheet in book.worksheets:
        _print_setup(sheet, drawn)
    for words in (front, book["Terms"]):
        words.page_setup.orientation = "portrait"
    book.save(path)


def _table(
    sheet: Worksheet, columns: Sequence[Column], rows: Sequence[Sequence[Cell]], *, paper: int = _A4, size: int = 9
) -> None:
    """A head and one row for each entry; head and first two columns stay in view and stand on every page."""
    top = Alignment(vertical="top", horizontal="left", wrap_text=True)
    right = Alignment(vertical="top", horizontal="right", indent=1, wrap_text=True)
    sheet.page_setup.paperSize = paper
    for place, column in enumerate(columns, 1):
        head = sheet.cell(1, place)
        _put(head, column.title)
        head.font, head.fill = Font(bold=True, size=size), _HEAD
        head.alignment = right if column.title in ("Value", "Amount") else top
        sheet.column_dimensions[get_column_letter(place)].width = column.width
    _give_height(sheet, 1, size)
    titles = [column.title for column in columns]
    currency_at = titles.index("Currency") if "Currency" in titles else None
    plain = Font(size=size)
    looks: dict[tuple[object, ...], Any] = {}
    for number, row in enumerate(rows, 2):
        digits = minor_digits(str(row[currency_at])) if currency_at is not None else 0
        for place, (title, value) in enumerate(zip(titles, row, strict=True), 1):
            cell: Any = sheet.cell(number, place)
            _put(cell, value, digits)
            look = (title in _TEXT_COLUMNS, type(value), digits, cell.quotePrefix)
            if look in looks:  # styling a cell anew takes ten times as long as taking over what another has
                cell._style = copy(looks[look])
                continue
            if title in _TEXT_COLUMNS:
                cell.number_format = "@"
            cell.font, cell.border = plain, _LINE
            cell.alignment = right if isinstance(value, Decimal) else top
            looks[look] = cell._style
        _give_height(sheet, number, size)
    last = get_column_letter(len(columns))
    sheet.freeze_panes = "C2"
    sheet.auto_filter.ref = f"A1:{last}{len(rows) + 1}"
    sheet.print_title_rows, sheet.print_title_cols = "1:1", "A:B"


def _lines(sheet: Worksheet, rows: Sequence[Sequence[Any]]) -> None:
    """A page of two columns: a label and what is said of it. A row of one cell is a heading."""
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 44, 92
    for number, row in enumerate(rows, 1):
        heading = len(row) == 1
        for place, value in enumerate(row, 1):
            cell = sheet.cell(number, place)
            if isinstance(value, Formula):
                cell.value = value.text
                cell.number_format = _amount_format(value.digits)
            else:
                _put(cell, value)
            size = 16 if number == 1 else 12 if heading else 10
            cell.font = Font(bold=heading, size=size)
            cell.alignment = Alignment(vertical="top", horizontal="left", wrap_text=not heading)
        _give_height(sheet, number, 16 if number == 1 else 14 if heading else 10)


def _give_height(sheet: Worksheet, number: int, size: int) -> None:
    """Make a row as high as its longest cell needs: not every program does so by itself when it opens the file."""
    lines = 1
    for cell in sheet[number]:
        if isinstance(cell.value, str) and cell.data_type == "s" and cell.alignment.wrap_text:
            per_line = sheet.column_dimensions[cell.column_letter].width * _USUAL_SIZE / size - _RAGGED
            lines = max(lines, math.ceil(len(cell.value) / per_line))
    sheet.row_dimensions[number].height = min(lines * size * _LINE_HEIGHT + 2, _HIGHEST)


def _put(cell: Any, value: Cell, digits: int = 0) -> None:
    """Give a cell its value: text as text, never a formula; a day as a date; an amount with its decimals."""
    if isinstance(value, str):
        text = _NO_XML.sub("", as_text(value))
        if len(text) > _MOST_SIGNS:
            text = text[: _MOST_SIGNS - len(_CUT)] + _CUT
        cell.value = text
        cell.data_type = "s"
        cell.quotePrefix = disarmed(text) != text  # so that it stays text when somebody edits the cell
    else:
        cell.value = value
    if isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    elif isinstance(value, Decimal):
        cell.number_format = _amount_format(digits)


def _amount_format(digits: int) -> str:
    return f"#,##0.{'0' * digits}" if digits else "#,##0"


def _print_setup(sheet: Worksheet, drawn: ConditionList) -> None:
    """Landscape, A4 unless set already, as wide as the page, the list's number above and the page's below."""
    sheet.page_setup.paperSize = sheet.page_setup.paperSize or _A4
    sheet.page_setup.orientation = "landscape"
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    header: Any = sheet.oddHeader
    footer: Any = sheet.oddFooter
    header.left.text = f"Condition list no. {drawn.number}"
    header.center.text = f"as of {drawn.as_of}, as known on {drawn.known_on}"
    header.right.text = CONFIDENTIAL
    footer.center.text = "page &P of &N"
    footer.left.text = sheet.title
