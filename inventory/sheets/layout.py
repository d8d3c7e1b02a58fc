"""Finding the table in a sheet: where its head is, which sheet it is, which of its rows are data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from inventory.errors import Refused
from inventory.sheets.columns import (
    ABOUT,
    LISTS,
    NOT_READ_YET,
    PARTS,
    PASSED_OVER,
    SHEETS,
    WRONG,
    SheetKind,
    header_key,
    words,
)
from inventory.sheets.files import Table
from inventory.sheets.headers import Heading, doubts, read_headings, recognised

__all__ = ["DataRow", "SheetIn", "lay_out"]

#: Titles may stand above the head, but not more lines than this.
_LAST_HEAD = 20


@dataclass(frozen=True)
class DataRow:
    """One row of data: its number, the cells under known columns, and those under headers of the sheet's own."""

    row: int
    values: dict[str, str]
    extra: dict[str, str]
    cells: list[str] = field(repr=False)


@dataclass(frozen=True)
class SheetIn:
    """A sheet laid out: what it is, what it is called in the file, its headings and its rows of data."""

    kind: SheetKind
    name: str
    headings: list[Heading]
    rows: list[DataRow]

    def currency(self, column: str) -> str | None:
        """The currency named in the header of a column."""
        return next((each.currency for each in self.headings if each.column == column), None)


@dataclass(frozen=True)
class _Head:
    """A way to read the head of a table: which sheet it makes it, and the first row of data."""

    kind: SheetKind
    headings: list[Heading]
    first: int

    @property
    def count(self) -> int:
        return len(recognised(self.headings))


def lay_out(tables: Sequence[Table], said: Mapping[str, str]) -> tuple[list[SheetIn], list[str]]:
    """The sheets that can be read, and remarks on those that cannot. `said`: header keys to columns."""
    found: list[SheetIn] = []
    remarks: list[str] = []
    for table in tables:
        if table.name in (ABOUT, LISTS) or not any(any(cells) for _, cells in table.rows):
            continue
        if table.hidden:
            remarks.append(f'The sheet "{table.name}" is hidden and was not read')
        elif header_key(table.name) in NOT_READ_YET:
            raise Refused(
                "sheet-not-read-yet",
                f'The sheet "{table.name}" cannot be read yet. Nothing was changed',
                hint="take it out of the file, and read the rest",
            )
        elif (head := _head(table, said)) is None:
            remarks.append(f'The sheet "{table.name}" has no columns that are known here and was not read')
        else:
            found.append(SheetIn(head.kind, table.name or head.kind.name, head.headings, list(_data_rows(table, head))))
    return found, remarks


def _head(table: Table, said: Mapping[str, str]) -> _Head | None:
    """The best way to read the head: most columns known, then the kind named as the sheet is, then the upper row."""
    named = header_key(table.name)
    best: _Head | None = None
    for place in range(min(len(table.rows), _LAST_HEAD)):
        cells = table.rows[place][1]
        if not any(cells):
            continue
        ways = [_as(kind, cells, place + 1, said) for kind in SHEETS]
        if best is None and place + 1 < len(table.rows):
            ways += [_joined(kind, cells, table.rows[place + 1][1], place + 2, said) for kind in SHEETS]
        for way in ways:
            if way is not None and _fits(way) and (best is None or _rank(way, named) > _rank(best, named)):
                best = way
    return best


def _rank(way: _Head, named: str) -> tuple[bool, int, bool]:
    return (way.kind.name == named, way.count, way.kind is PARTS)


def _fits(way: _Head) -> bool:
    """Whether a row can be a head: two columns known or to be asked about, or the only one there is."""
    width = sum(1 for heading in way.headings if not heading.header.startswith("column "))
    return (way.count > 0 and way.count + len(doubts(way.headings)[0]) >= 2) or way.count == width == 1


def _as(kind: SheetKind, cells: Sequence[str], first: int, said: Mapping[str, str]) -> _Head | None:
    headings = read_headings(cells, kind, said)
    return _Head(kind, headings, first) if kind.needs <= recognised(headings) else None


def _joined(
    kind: SheetKind, upper: Sequence[str], lower: Sequence[str], first: int, said: Mapping[str, str]
) -> _Head | None:
    """A head of two lines: taken only where joining makes at least two more columns known than either line alone."""
    both = [f"{above} {below}".strip() for above, below in zip(upper, lower, strict=False)]
    alone = max(len(recognised(read_headings(line, kind, said))) for line in (upper, lower))
    lines = [[line[place] if place < len(line) else "" for place in range(len(both))] for line in (both, lower, upper)]
    known = [[heading.column is not None for heading in read_headings(line, kind, said)] for line in lines]
    chosen = [
        next((line[place] for line, yes in zip(lines, known, strict=True) if yes[place]), both[place])
        for place in range(len(both))
    ]
    way = _as(kind, chosen, first, said)
    return way if way is not None and any(known[0]) and way.count >= alone + 2 else None


def _data_rows(table: Table, head: _Head) -> Iterator[DataRow]:
    """The rows under the head that are data: no blanks, no totals, no head again, no example."""
    totals = {header_key(word) for word in words("totals")}
    keys = [header_key(heading.header) for heading in head.headings]
    names = _own_names(head.headings)
    heads = table.rows[head.first - 1][1]
    for row, cells in table.rows[head.first :]:
        filled = [cell for cell in cells if cell.strip()]
        if not filled or header_key(filled[0]) in totals:
            continue
        if cells == heads:
            continue
        values: dict[str, str] = {}
        extra: dict[str, str] = {}
        for place, cell in enumerate(cells):
            if not cell.strip():
                continue
            column = head.headings[place].column if place < len(keys) else None
            if column is not None:
                values[column] = cell
            elif place >= len(keys) or keys[place] != header_key(WRONG):
                extra[names[place] if place < len(keys) else f"column {place + 1}"] = cell
        if values.get("tag", "").strip().casefold() != PASSED_OVER:
            yield DataRow(row, values, extra, cells)


def _own_names(headings: Sequence[Heading]) -> list[str]:
    """The names under which cells of unknown columns are kept: the headers, numbered where one stands twice."""
    names: list[str] = []
    for heading in headings:
        name, count = heading.header, 2
        while name in names:
            name, count = f"{heading.header} ({count})", count + 1
        names.append(name)
    return names
