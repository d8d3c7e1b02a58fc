"""Finds the tables in the sheets of a file, and which of their rows are data."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, lru_cache
from typing import NamedTuple

from inventory.errors import Refused
from inventory.sheets.columns.catalogue import (
    ABOUT,
    EXAMPLE_ROW,
    LISTS,
    WRONG,
    SheetKind,
    header_key,
    words,
)
from inventory.sheets.columns.cell_format import UNKNOWN, CellFormat, format_of
from inventory.sheets.columns.header_match import Heading
from inventory.sheets.columns.header_rows import HeaderRows, find_header_rows, is_header_row
from inventory.sheets.columns.own_sheets import own_kind
from inventory.sheets.columns.questions import SheetQuestion
from inventory.sheets.readers.tables import Row, Table

__all__ = ["Answers", "LaidOut", "SheetLayout", "lay_out"]

#: Words beside a total that say what was added up.
_COUNTED = frozenset({"parts", "items", "pieces", "teile", "stück", "pièces", "pezzi"})
#: The most cells that merged ranges may fill downwards.
_MOST_FILLED = 1_000_000


@dataclass(frozen=True)
class Answers:
    """What the user said about a file: header keys to columns, whether hidden sheets are read too, how days and figures
    are written, the currency of amounts without one, and by the key of a question (`columns.questions`) the answer.
    `strict`: a cell that cannot be read refuses its row.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    hidden: bool = False
    cell_format: CellFormat = UNKNOWN
    currency: str | None = None
    said: Mapping[str, str] = field(default_factory=dict)
    strict: bool = False


class LaidOut(NamedTuple):
    """The tables of a file that can be read, remarks for the user, and what the file leaves open."""

    sheets: list[SheetLayout]
    remarks: list[str]
    questions: list[SheetQuestion]


@dataclass(frozen=True)
class SheetLayout:
    """One table of a file: its kind, the name of its sheet, its headings and its rows of data.

    `formats`: how the columns of days and amounts are written. `titles`: the rows above the header; `header`: the cells
    of the header rows. `default_currency`: the currency of amounts without one, if the user named it.
    """

    kind: SheetKind
    name: str
    headings: list[Heading]
    rows: list[Row]
    formats: Mapping[str, CellFormat] = field(default_factory=dict)
    titles: Sequence[list[str]] = ()
    header: Sequence[list[str]] = ()
    default_currency: str | None = None

    @cached_property
    def columns(self) -> tuple[str | None, ...]:
        """For each column of the file, the column it stands for; None: it is kept under its own name, or unused."""
        return tuple(heading.column for heading in self.headings)

    @cached_property
    def own_names(self) -> tuple[str | None, ...]:
        """For each column of the file, the name it is kept under; None: it is a known column, or is not read."""
        return _own_names(self.headings)

    def header_currency(self, column: str) -> str | None:
        """The currency named in the header of a column."""
        return next((each.currency for each in self.headings if each.column == column), None)

    def cell_format(self, column: str) -> CellFormat:
        """How the days or amounts of a column are written."""
        return self.formats.get(column, UNKNOWN)

    def values(self, cells: Sequence[str]) -> dict[str, str]:
        """The cells of a row under recognised columns, empty ones left out."""
        pairs = zip(self.columns, cells, strict=False)
        return {column: cell for column, cell in pairs if column is not None and cell and not cell.isspace()}

    def own_values(self, cells: Sequence[str]) -> dict[str, str]:
        """The other cells of a row by the name they are kept under, empty ones left out."""
        pairs = zip(self.own_names, cells, strict=False)
        found = {name: cell for name, cell in pairs if name is not None and cell and not cell.isspace()}
        width = len(self.own_names)
        beyond = enumerate(cells[width:], width + 1)
        return found | {unnamed(place): cell for place, cell in beyond if cell and not cell.isspace()}


def unnamed(number: int) -> str:
    """The name of a column without a header, by its number from 1."""
    return f"column {number}"


def _own_names(headings: Sequence[Heading]) -> tuple[str | None, ...]:
    """The names of columns that are kept as they are; a name that occurs twice is numbered."""
    names: dict[str, None] = {}
    for heading in headings:
        name, count = heading.header, 2
        while name in names:
            name, count = f"{heading.header} ({count})", count + 1
        names[name] = None
    not_read = header_key(WRONG)
    return tuple(
        None if heading.column is not None or header_key(heading.header) == not_read else name
        for heading, name in zip(headings, names, strict=True)
    )


def lay_out(tables: Sequence[Table], answers: Answers) -> LaidOut:
    """The tables that can be read; remarks: what cannot be read, and what the user should know; what is asked.

    Raises `Refused` if everything readable is hidden.
    """
    found: list[SheetLayout] = []
    questions: list[SheetQuestion] = []
    remarks = [remark for table in tables for remark in table.remarks]
    hidden = []
    for table in tables:
        if table.name in (ABOUT, LISTS) or not any(any(row.cells) for row in table.rows):
            continue
        if table.hidden and not answers.hidden:
            hidden.append(table.name)
        else:
            _lay_out_sheet(table, answers, found, remarks)
    if hidden and not found:
        names = ", ".join(f'"{name}"' for name in hidden)
        raise Refused(
            "only-hidden-sheets",
            f"All sheets that can be read are hidden: {names}",
            hint="to read hidden sheets too: --hidden",
        )
    unread = [f'The sheet "{name}" is hidden and was not read: to read it, --hidden' for name in hidden]
    return LaidOut(found, [*remarks, *unread], questions)


def _lay_out_sheet(table: Table, answers: Answers, found: list[SheetLayout], remarks: list[str]) -> None:
    """Append the tables of one sheet, from top to bottom."""
    if (own := own_kind(table)) is not None:
        found.append(_own_sheet(table, own, answers))
        return
    table = _filled_down(table)
    before = len(found)
    for block in _blocks(table, answers.columns):
        # The name of a sheet says what its first table is; those below it may be something else.
        sheet_name = header_key(table.name) if len(found) == before else ""
        header = find_header_rows(block, answers.columns, sheet_name)
        if header is None:
            continue
        titles = [row.cells for row in block.rows[: header.first - len(header.lines)]]
        sheet = SheetLayout(
            header.kind,
            table.name or header.kind.name,
            header.headings,
            list(_data_rows(block, header)),
            titles=titles,
            header=header.lines,
            default_currency=answers.currency,
        )
        if sheet.rows and _only_amounts(sheet, sheet.rows[-1]):
            number = sheet.rows.pop().number
            remarks.append(f"{sheet.name}, row {number}: only amounts, so it was taken for a total and not read")
        found.append(replace(sheet, formats=_formats(sheet, answers.cell_format, table.counts_from)))
    if len(found) == before:
        remarks.append(f'The sheet "{table.name}" has no known columns and was not read')


def _own_sheet(table: Table, kind: SheetKind, answers: Answers) -> SheetLayout:
    """A sheet that only the program writes: its headers are ours, and each row is data, a title if it is only told."""
    headers, rows = table.rows[0].cells, [row for row in table.rows[1:] if any(row.cells)]
    headings = [Heading(each, each if each in kind.columns else None, 100) for each in headers]
    if kind.told:
        return SheetLayout(kind, kind.name, headings, [], titles=[row.cells for row in rows])
    sheet = SheetLayout(kind, kind.name, headings, rows, header=[headers], default_currency=answers.currency)
    return replace(sheet, formats=_formats(sheet, answers.cell_format, table.counts_from))


def _formats(sheet: SheetLayout, given: CellFormat, counts_from: int | None) -> dict[str, CellFormat]:
    """How each column of days or amounts is written."""
    return {
        column: format_of((row.cells[place] for row in sheet.rows if place < len(row.cells)), given, counts_from)
        for place, column in enumerate(sheet.columns)
        if column is not None and (column in sheet.kind.amounts or column in sheet.kind.days)
    }


def _filled_down(table: Table) -> Table:
    """Repeat the text of cells merged downwards in each of their rows that is not empty."""
    down = [each for each in table.merged if each.last_row > each.first_row]
    if not down:
        return table
    rows = {number: list(cells) for number, cells in table.rows}
    last = max(rows)
    left = _MOST_FILLED
    for each in down:
        top = rows.get(each.first_row, [])
        text = top[each.first_column] if each.first_column < len(top) else ""
        if not text:
            continue
        for number in range(each.first_row + 1, min(each.last_row, last) + 1):
            left -= 1
            if left < 0:
                raise Refused(
                    "sheet-too-large",
                    f'Merged ranges of the sheet "{table.name}" cover more than {_MOST_FILLED} cells',
                    hint="split them, and read the file again",
                )
            cells = rows.get(number)
            if cells is not None and any(cells):
                cells += [""] * (each.first_column + 1 - len(cells))
                cells[each.first_column] = cells[each.first_column] or text
    return replace(table, rows=[Row(number, rows[number]) for number, _ in table.rows])


def _blocks(table: Table, mapping: Mapping[str, str]) -> Iterator[Table]:
    """The tables of a sheet: a further one starts where a header follows an empty row, with or without a title."""
    rows = table.rows
    gaps = [place for place in range(len(rows)) if _after_gap(rows, place)]
    starts = [0]
    headers: list[list[str]] = []
    for place in sorted({*gaps, *(gap + 1 for gap in gaps if gap + 1 < len(rows))}):
        above = place - 1 if place and _is_title(rows[place - 1].cells) else place
        cells = rows[place].cells
        if any(cells) and _after_gap(rows, above) and is_header_row(cells, mapping) and cells not in headers:
            headers.append(cells)
            if above:
                starts.append(above)
    for start, end in zip(starts, [*starts[1:], len(rows)], strict=True):
        yield table if len(starts) == 1 else replace(table, rows=rows[start:end])


def _is_title(cells: Sequence[str]) -> bool:
    """Whether a row has one cell only."""
    return sum(1 for cell in cells if cell) == 1


def _after_gap(rows: Sequence[Row], place: int) -> bool:
    """Whether the line above a row is empty."""
    return place == 0 or rows[place - 1].number < rows[place].number - 1 or not any(rows[place - 1].cells)


def _data_rows(table: Table, header: HeaderRows) -> Iterator[Row]:
    """The rows below the header that are data: not empty, not a total, not the header again, not an example."""
    columns = [heading.column for heading in header.headings]
    tag = columns.index("tag") if "tag" in columns else None
    for row in table.rows[header.first :]:
        cells = row.cells
        first = cells[0] if cells and cells[0] and not cells[0].isspace() else _first_text(cells)
        if first is None or _is_total(first) or cells in header.lines:
            continue
        if tag is not None and tag < len(cells) and cells[tag].strip().casefold() == EXAMPLE_ROW:
            continue
        yield row


def _first_text(cells: Sequence[str]) -> str | None:
    return next((cell for cell in cells if cell and not cell.isspace()), None)


@cache
def _totals() -> frozenset[str]:
    return frozenset(header_key(word) for word in words("totals"))


@lru_cache(maxsize=4096)
def _is_total(text: str) -> bool:
    """Whether the first cell of a row says that it adds up the others: "Total", "Summe EUR", "Total (12 parts):"."""
    key = header_key(text)
    if key in _totals():
        return True
    beside = {*_COUNTED, *(code.casefold() for code in words("currencies"))}
    plain = [word for word in re.findall(r"[^\W\d_]+", text.casefold()) if word not in beside]
    return bool(plain) and len(plain) < 3 and header_key("".join(plain)) in _totals()


def _only_amounts(sheet: SheetLayout, row: Row) -> bool:
    """Whether a row contains only amounts."""
    values = sheet.values(row.cells)
    return not sheet.own_values(row.cells) and bool(values) and values.keys() <= sheet.kind.amounts.keys()
