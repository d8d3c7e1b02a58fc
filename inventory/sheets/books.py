"""Writing workbooks and csv: text stays text, nothing starts a formula, a file is there whole or not at all."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any, BinaryIO

from inventory.errors import Refused
from inventory.sheets.files import FORMULA_START
from inventory.store.files import whole_file

__all__ = ["MOST_CHARACTERS", "Cell", "Page", "safe_in_csv", "save", "widths", "without_controls", "write_book"]

#: What a cell holds, and a sheet (Microsoft, "Excel specifications and limits").
MOST_CHARACTERS = 32_767
_MOST_ROWS = 1_048_576
#: Controls, and the two that are no characters in XML 1.0.
_CONTROLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]")
#: What reads as an escaped character in a workbook (ECMA-376, ST_Xstring, from memory): its underscore is escaped.
_ESCAPE = re.compile("_(?=x[0-9A-Fa-f]{4}_)")
#: What openpyxl would take for more than a text, or cannot hold: such a text needs a cell made by hand, which is slow.
_CAREFUL = re.compile("^[=#]|_x[0-9A-Fa-f]{4}_|" + _CONTROLS.pattern)
_WIDEST, _PROSE_WIDEST = 48, 90
#: Characters that surely go on a line of the widest column, and how high it is in points.
_LINE, _LINE_HIGH = 78, 15
#: How large the box of a note is, in pixels.
_NOTE_HIGH, _NOTE_WIDE = 110, 320
Cell = str | Decimal | date | None


@dataclass(frozen=True)
class Page:
    """A sheet to be written: its name, its head, its rows, and by column the range of a list to choose from.

    `above` are rows above the head. `marked` are cells of rows that want a look: (place of the row, place in it).
    `notes` are shown by a spreadsheet program beside the heads they are of. `prose` is read, so its lines are broken.
    """

    name: str
    head: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    choices: dict[str, str] | None = None
    above: Sequence[Sequence[str]] = ()
    marked: Collection[tuple[int, int]] = ()
    notes: Mapping[str, str] | None = None
    prose: bool = False


def write_book(path: Path, pages: Sequence[Page], *, over: bool = False) -> None:
    """Write a workbook: head frozen and filtered, widths by content, no formula in it."""
    from openpyxl import Workbook  # about 100 ms, needed only where a workbook is written

    def write(file: BinaryIO) -> None:
        book = Workbook(write_only=True)
        for page in pages:
            _write_page(book, page)
        book.save(file)

    save(path, write, over=over)


def _write_page(book: Any, page: Page) -> None:
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.comments import Comment
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet = book.create_sheet(page.name)
    rows = page.rows
    if len(rows) >= _MOST_ROWS:
        raise Refused("too-many-rows", f"A sheet holds {_MOST_ROWS} rows, {page.name} has more. Nothing was written")
    top = len(page.above) + 1
    sheet.freeze_panes = f"A{top + 1}"
    for place, width in enumerate(widths(page.head, rows, _PROSE_WIDEST if page.prose else _WIDEST), 1):
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.page_setup.orientation, sheet.page_setup.fitToHeight = "landscape", 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = f"{top}:{top}"
    last = get_column_letter(max(1, len(page.head)))
    sheet.auto_filter.ref = f"A{top}:{last}{len(rows) + top}"
    bold, look_here = Font(bold=True), PatternFill("solid", fgColor="FFE08A")
    marked: dict[int, list[int]] = {}
    for place, column in page.marked:
        marked.setdefault(place, []).append(column)
    head = [_cell(sheet, WriteOnlyCell, text, page.name) for text in page.head]
    for cell in head:
        cell.font = bold
        if page.notes and cell.value in page.notes:
            cell.comment = Comment(page.notes[cell.value], "matchmark", height=_NOTE_HIGH, width=_NOTE_WIDE)
    for line in page.above:
        sheet.append([_cell(sheet, WriteOnlyCell, text, page.name) if text else None for text in line])
    sheet.append(head)
    for place, row in enumerate(rows):
        cells: list[Any] = [value if _plain(value) else _cell(sheet, WriteOnlyCell, value, page.name) for value in row]
        for column in marked.get(place, ()):
            cells[column] = _cell(sheet, WriteOnlyCell, row[column], page.name)
            cells[column].fill = look_here
        if page.prose:
            cells = [_broken(_cell(sheet, WriteOnlyCell, value, page.name)) for value in row]
            lines = max((-(-len(str(value)) // _LINE) for value in row if value), default=1)
            sheet.row_dimensions[top + 1 + place].height = _LINE_HIGH * lines
        sheet.append(cells)
    _offer(sheet, page)


def _broken(cell: Any) -> Any:
    """A cell whose text is broken into lines as wide as its column."""
    from openpyxl.styles import Alignment

    cell.alignment = Alignment(wrap_text=True, vertical="top")
    return cell


def _plain(value: Cell) -> bool:
    """Whether openpyxl writes a value just as it is."""
    return value is None or (
        isinstance(value, str) and len(value) <= MOST_CHARACTERS and _CAREFUL.search(value) is None
    )


def _cell(sheet: Any, make: Any, value: Cell, page: str) -> Any:
    """A cell: text never a formula nor a code of the spreadsheet program, days and amounts with their format."""
    if isinstance(value, str):
        if len(value) > MOST_CHARACTERS:
            raise Refused(
                "cell-too-long",
                f"A cell holds {MOST_CHARACTERS} characters; one of {page} has {len(value)}. Nothing was written",
                hint="write it as csv or json",
            )
        cell = make(sheet, value=_ESCAPE.sub("_x005F_", without_controls(value)))
        cell.data_type = "s"
        return cell
    cell = make(sheet, value=value)
    if isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    elif isinstance(value, Decimal):
        cell.number_format = "0." + "0" * max(2, -int(value.as_tuple().exponent)) if value.as_tuple().exponent else "0"
    return cell


def without_controls(text: str) -> str:
    """Text without controls and what is no character in XML 1.0."""
    return _CONTROLS.sub("", text)


def widths(head: Sequence[str], rows: Sequence[Sequence[Cell]], widest: int = _WIDEST) -> list[int]:
    """How wide the columns of a sheet are, in characters."""
    widths = [len(text) for text in head]
    for row in rows[:1000]:
        for place, value in enumerate(row):
            if value is not None:
                widths[place] = max(widths[place], len(str(value)))
    return [min(width + 2, widest) for width in widths]


def _offer(sheet: Any, page: Page) -> None:
    """Lists to choose from under the heads that have one."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    for column, choices in (page.choices or {}).items():
        offered = DataValidation(type="list", formula1=choices, allow_blank=True, showErrorMessage=False)
        letter = get_column_letter(list(page.head).index(column) + 1)
        offered.add(f"{letter}2:{letter}{_MOST_ROWS}")
        sheet.data_validations.append(offered)


def safe_in_csv(text: str) -> str:
    """Text as it may stand in a csv: an apostrophe before what would start a formula, taken off again when read."""
    return f"'{text}" if FORMULA_START.match(text) else text


def save(path: Path, write: Callable[[BinaryIO], object], *, over: bool = False) -> None:
    """Write a file whole or not at all; one that is there stays, unless `over`."""
    with whole_file(path, over=over) as part, part.open("wb") as file:
        write(file)
