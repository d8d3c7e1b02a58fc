"""Writes workbooks (xlsx): text stays text, nothing starts a formula, rows go to the disk as they are written."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from inventory.errors import Refused
from inventory.sheets.writers.page import Cell, Page, widths, without_controls
from inventory.store.files import whole_file
from inventory.store.words.text import fit_cell

__all__ = ["write_workbook"]

#: The most rows of a sheet, characters of its name, digits of a number (Microsoft, "Excel specifications and limits").
_MOST_ROWS = 1_048_576
_LONGEST_NAME = 31
_MOST_DIGITS = 15
_NOT_IN_NAMES = str.maketrans(dict.fromkeys("[]:*?/\\", "_"))
#: Spreadsheet programs count wrongly before this day (they know a 29 February 1900): earlier days are written as text.
_FIRST_DAY = date(1900, 3, 1)
#: The library writes a text that begins so as it is, for markup of its own.
_ITS_MARKUP = "<r>"
_PROSE_WIDEST = 90
#: Characters that surely fit on a line of the widest column, and its height in points.
_LINE, _LINE_HEIGHT = 78, 15
#: The size of the box of a comment, in pixels.
_NOTE = {"author": "matchmark", "width": 320, "height": 110}


def write_workbook(path: Path, pages: Sequence[Page], *, overwrite: bool = False) -> None:
    """Write a workbook: header frozen and filtered, widths by content, no formulas; a longer text than fits is cut.

    Raises `Refused` if a sheet does not fit, or as `store.files.whole_file` does.
    """
    for page in pages:
        if len(page.rows) + len(page.above) >= _MOST_ROWS:
            raise Refused(
                "too-many-rows",
                f"The sheet {page.name} has more than {_MOST_ROWS} rows, the most that a workbook holds",
            )
    with whole_file(path, overwrite=overwrite) as part:
        _write(part, pages)


def _write(path: Path, pages: Sequence[Page]) -> None:
    from xlsxwriter import Workbook  # about 40 ms, needed only where a workbook is written
    from xlsxwriter.exceptions import FileCreateError

    book = Workbook(str(path), {"constant_memory": True})
    book.set_properties({"author": "", "comments": ""})
    names: set[str] = set()
    for page in pages:
        _Sheet(book, page, _free_name(page.name, names)).write()
    try:
        book.close()
    except FileCreateError as problem:
        raise OSError(*getattr(problem.args[0], "args", (str(problem),))) from problem


def _free_name(wanted: str, taken: set[str]) -> str:
    """A name that a sheet may have, and that no sheet of the workbook has yet in any case."""
    plain = without_controls(wanted).translate(_NOT_IN_NAMES).strip("'")[:_LONGEST_NAME].rstrip("'") or "sheet"
    name, count = plain, 1
    while name.casefold() in taken:
        count += 1
        name = f"{plain[: _LONGEST_NAME - len(str(count))]}{count}"
    taken.add(name.casefold())
    return name


class _Sheet:
    """One sheet while it is written, row after row."""

    def __init__(self, book: Any, page: Page, name: str) -> None:
        self._book, self._page = book, page
        self._sheet = book.add_worksheet(name)
        self._formats: dict[tuple[tuple[str, Any], ...], Any] = {}
        self._top = len(page.above)

    def write(self) -> None:
        """Write the whole sheet."""
        self._set_up()
        page, sheet, put = self._page, self._sheet, self._put
        for row, line in enumerate(page.above):
            for column, text in enumerate(line):
                if text:
                    put(row, column, text, {})
        for column, text in enumerate(page.headers):
            put(self._top, column, text, {"bold": True})
            if page.notes and text in page.notes:
                sheet.write_comment(self._top, column, page.notes[text], _NOTE)
        marked: dict[int, set[int]] = {}
        for place, column in page.marked:
            marked.setdefault(place, set()).add(column)
        style = {"text_wrap": True, "valign": "top"} if page.prose else {}
        for place, cells in enumerate(page.rows):
            row = self._top + 1 + place
            if page.prose:
                lines = max((-(-len(str(value)) // _LINE) for value in cells if value), default=1)
                sheet.set_row(row, _LINE_HEIGHT * lines)
            highlighted = marked.get(place, ())
            for column, value in enumerate(cells):
                if column in highlighted:
                    put(row, column, value, {"bg_color": "#FFE08A"})
                elif value is not None:
                    put(row, column, value, style)

    def _set_up(self) -> None:
        """Widths, the header in view and on every printed page, filters, lists to choose from."""
        page, sheet, top = self._page, self._sheet, self._top
        for column, width in enumerate(widths(page.headers, page.rows, *([_PROSE_WIDEST] if page.prose else []))):
            sheet.set_column(column, column, width)
        sheet.freeze_panes(top + 1, 0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(top)
        sheet.autofilter(top, 0, top + len(page.rows), max(0, len(page.headers) - 1))
        for name, source in (page.choices or {}).items():
            column = list(page.headers).index(name)
            offered = {"validate": "list", "source": f"={source}", "show_error": False, "show_input": False}
            sheet.data_validation(1, column, _MOST_ROWS - 1, column, offered)

    def _put(self, row: int, column: int, value: Cell, style: dict[str, Any]) -> None:
        """Write one cell: text as text, a day as a day, an amount as a number."""
        sheet = self._sheet
        if isinstance(value, date) and value < _FIRST_DAY:
            value = value.isoformat()
        if isinstance(value, Decimal) and len(value.as_tuple().digits) > _MOST_DIGITS:
            value = str(value)
        if isinstance(value, str):
            self._put_text(row, column, value, self._format(style))
        elif isinstance(value, date):
            sheet.write_datetime(row, column, value, self._format({**style, "num_format": "yyyy-mm-dd"}))
        elif isinstance(value, Decimal):
            decimals = max(2, -int(value.as_tuple().exponent)) if value.as_tuple().exponent else 0
            form = "0." + "0" * decimals if decimals else "0"
            sheet.write_number(row, column, float(value), self._format({**style, "num_format": form}))
        elif style:
            sheet.write_blank(row, column, None, self._format(style))

    def _put_text(self, row: int, column: int, text: str, form: Any) -> None:
        if not text.isprintable():
            text = without_controls(text)
        text = fit_cell(text)
        if text.startswith(_ITS_MARKUP):
            plain = self._book.add_format()
            fragments = (plain, text[:1], plain, text[1:])
            self._sheet.write_rich_string(row, column, *fragments, *([form] if form else []))
        elif text:
            self._sheet.write_string(row, column, text, form)

    def _format(self, style: dict[str, Any]) -> Any:
        """The format of a style, made once; None for a plain cell."""
        if not style:
            return None
        key = tuple(style.items())
        if key not in self._formats:
            self._formats[key] = self._book.add_format(style)
        return self._formats[key]
