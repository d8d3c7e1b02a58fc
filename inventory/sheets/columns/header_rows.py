"""Finds the header rows of a table: where they are, whether one or two, and which sheet the table is."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.sheets.columns.catalogue import PARTS, QUANTITY, SHEETS, SheetKind, words
from inventory.sheets.columns.header_match import Heading, doubts, may_have_headers, read_headings, recognised
from inventory.sheets.columns.kind_words import half_of
from inventory.sheets.readers.tables import Merged, Table

__all__ = ["LAST_HEADER_ROW", "HeaderRows", "find_header_rows", "is_header_row"]

#: The header must be in one of so many rows; titles may stand above it.
LAST_HEADER_ROW = 20
_BRACKETED = re.compile(r"[\[(].*[\])]")


@dataclass(frozen=True)
class HeaderRows:
    """One way to read the header of a table: the kind of sheet, its headings, the index of the first row of data.

    `lines` are the cells of the header rows: the same rows may be repeated further down.
    """

    kind: SheetKind
    headings: list[Heading]
    first: int
    lines: tuple[list[str], ...]

    @property
    def count(self) -> int:
        """How many columns are recognised."""
        return len(recognised(self.headings) - {QUANTITY})


def find_header_rows(table: Table, mapping: Mapping[str, str], sheet_name: str) -> HeaderRows | None:
    """The best way to read the header: the kind named like the sheet, most columns recognised, two rows, upper row."""
    best: HeaderRows | None = None
    named = any(kind.name == sheet_name for kind in SHEETS)
    for place in range(min(len(table.rows), LAST_HEADER_ROW)):
        if not any(table.rows[place].cells):
            continue
        found: list[HeaderRows | None] = []
        # With fewer headers than the best row, one can only win as the kind that is named like the sheet.
        least = 1 if best is None or (named and best.kind.name != sheet_name) else best.count
        if may_have_headers(table.rows[place].cells, mapping, least):
            found += [_one_row(kind, table, place, mapping) for kind in SHEETS]
        if best is None and _next_row_follows(table, place):
            found += [_two_rows(kind, table, place, mapping) for kind in SHEETS]
        for each in found:
            if (
                each is not None
                and _plausible(each)
                and (best is None or _rank(each, sheet_name) > _rank(best, sheet_name))
            ):
                best = each
    return best


def _next_row_follows(table: Table, place: int) -> bool:
    return place + 1 < len(table.rows) and table.rows[place + 1].number == table.rows[place].number + 1


def is_header_row(cells: Sequence[str], mapping: Mapping[str, str]) -> bool:
    """Whether a row in the middle of a sheet is the header of another table: every cell is the name of a column."""
    filled = [cell for cell in cells if cell.strip()]
    if len(filled) < 2 or not may_have_headers(filled, mapping, len(filled)):
        return False
    return any(
        kind.needs <= (known := recognised(read_headings(filled, kind, mapping))) and len(known) == len(filled)
        for kind in SHEETS
    )


def _rank(found: HeaderRows, sheet_name: str) -> tuple[bool, int, int, bool]:
    return (found.kind.name == sheet_name, found.count, len(found.lines), found.kind is PARTS)


def _plausible(found: HeaderRows) -> bool:
    """Whether a row can be a header: two columns recognised or doubtful, or its only column recognised.

    Headers of two parts in a row ("Sensor SN", "ECU SN") count as well; with serials they are no list of what fits.
    """
    halves = [half for heading in found.headings if (half := half_of(heading.header))]
    two = len({kind for kind, _ in halves}) > 1
    if two and found.kind.name == "fits" and any(column == "serial" for _, column in halves):
        return False
    width = sum(1 for heading in found.headings if not heading.header.startswith("column "))
    known = found.count + (len(halves) if two and found.kind is PARTS else 0)
    return (known > 0 and known + len(doubts(found.headings)[0]) >= 2) or found.count == width == 1


def _one_row(kind: SheetKind, table: Table, place: int, mapping: Mapping[str, str]) -> HeaderRows | None:
    cells = table.rows[place].cells
    return _read_as(kind, cells, place + 1, (cells,), mapping)


def _read_as(
    kind: SheetKind, cells: Sequence[str], first: int, lines: tuple[list[str], ...], mapping: Mapping[str, str]
) -> HeaderRows | None:
    headings = read_headings(cells, kind, mapping)
    return HeaderRows(kind, headings, first, lines) if kind.needs <= recognised(headings) else None


def _two_rows(kind: SheetKind, table: Table, place: int, mapping: Mapping[str, str]) -> HeaderRows | None:
    """A header of two rows: accepted if joining them makes two more columns recognised than either row alone.

    One more is enough if cells are merged across in the upper row or down into the lower one, or if fewer headers are
    doubtful than in the upper row alone. None is needed if the lower row contains only units: currencies or brackets.
    """
    lines = (table.rows[place].cells, table.rows[place + 1].cells)
    width = max(map(len, lines))
    merged = [each for each in table.merged if each.first_row == table.rows[place].number]
    upper, lower = _spread(lines[0], width, merged), [*lines[1], *[""] * (width - len(lines[1]))]
    both = [above if above == below else f"{above} {below}".strip() for above, below in zip(upper, lower, strict=True)]
    read = [read_headings(line, kind, mapping) for line in (both, lower, upper)]
    alone = max(len(recognised(headings)) for headings in read[1:])
    known = [[heading.column is not None for heading in headings] for headings in read]
    if not any(known[0]):
        return None
    chosen = [
        next((line[place] for line, yes in zip((both, lower, upper), known, strict=True) if yes[place]), both[place])
        for place in range(width)
    ]
    found = _read_as(kind, chosen, place + 2, lines, mapping)
    spans = any(
        each.last_row > each.first_row or 0 < each.last_column - each.first_column < width - 1 for each in merged
    )
    if found is None:
        return None
    surer = len(doubts(found.headings)[0]) < len(doubts(read[2])[0])
    needed = 0 if _only_units(lines[1]) else 1 if spans or surer else 2
    return found if found.count >= alone + needed else None


def _spread(cells: Sequence[str], width: int, merged: Sequence[Merged]) -> list[str]:
    """A header row with the text of merged cells repeated in each column that they cover."""
    line = [*cells, *[""] * (width - len(cells))]
    for each in merged:
        if each.first_column < width:
            for column in range(each.first_column + 1, min(each.last_column + 1, width)):
                line[column] = line[column] or line[each.first_column]
    return line


def _only_units(cells: Sequence[str]) -> bool:
    """Whether a row contains only units of the columns above: currencies or text in brackets."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    known = {*words("currencies"), *words("signs")}
    return bool(filled) and all(cell in known or _BRACKETED.fullmatch(cell) for cell in filled)
