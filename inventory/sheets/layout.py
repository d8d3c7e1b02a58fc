"""Finding the tables in the sheets of a file: which of them can be read, which of their rows are data."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache

from inventory.errors import Refused
from inventory.sheets.columns import ABOUT, LISTS, NOT_READ_YET, PASSED_OVER, WRONG, SheetKind, header_key, words
from inventory.sheets.grid import Table
from inventory.sheets.headers import Heading
from inventory.sheets.heads import Head, find_head, is_head
from inventory.sheets.ways import UNKNOWN, Way, way_of

__all__ = ["AMOUNTS", "DAYS", "Answers", "DataRow", "SheetIn", "lay_out"]

#: Columns whose cells may be written in more than one way.
AMOUNTS = frozenset({"price", "value", "amount"})
DAYS = frozenset({"acquired on", "value on", "on"})
#: Words beside a total that say what was added up.
_COUNTED = frozenset({"parts", "items", "pieces", "teile", "stück", "pièces", "pezzi"})
#: Cells that joined ones may fill down, at most.
_MOST_FILLED = 1_000_000


@dataclass(frozen=True)
class _Columns:
    """What the columns of a table stand for, by place: a column of ours, else a name of its own, else None."""

    known: tuple[str | None, ...]
    own: tuple[str | None, ...]


@dataclass(frozen=True, slots=True)
class DataRow:
    """One row of data: its number, and its cells."""

    row: int
    cells: list[str]
    columns: _Columns = field(repr=False)

    @property
    def values(self) -> dict[str, str]:
        """The cells that are not empty under known columns."""
        pairs = zip(self.columns.known, self.cells, strict=False)
        return {column: cell for column, cell in pairs if column is not None and cell and not cell.isspace()}

    @property
    def extra(self) -> dict[str, str]:
        """The cells that are not empty under headers of the sheet's own, and those under none."""
        pairs = zip(self.columns.own, self.cells, strict=False)
        found = {name: cell for name, cell in pairs if name is not None and cell and not cell.isspace()}
        width = len(self.columns.own)
        beyond = enumerate(self.cells[width:], width + 1)
        return found | {f"column {place}": cell for place, cell in beyond if cell and not cell.isspace()}


@dataclass(frozen=True)
class SheetIn:
    """A table laid out: what it is, what its sheet is called in the file, its headings, its rows of data.

    `ways` tells for columns of days and amounts how they are written. `titles` are the rows above the head as they
    stand, `head` those of the head. `money` is the currency of amounts that name none, by the person's word.
    """

    kind: SheetKind
    name: str
    headings: list[Heading]
    rows: list[DataRow]
    ways: Mapping[str, Way] = field(default_factory=dict)
    titles: Sequence[list[str]] = ()
    head: Sequence[list[str]] = ()
    money: str | None = None

    def currency(self, column: str) -> str | None:
        """The currency named in the header of a column."""
        return next((each.currency for each in self.headings if each.column == column), None)

    def way(self, column: str) -> Way:
        """How the days or amounts of a column are written."""
        return self.ways.get(column, UNKNOWN)


@dataclass(frozen=True)
class Answers:
    """What a person said of a file: header keys to columns, whether hidden sheets are read too, how days and figures
    are written in it, and the currency of amounts that name none.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    hidden: bool = False
    way: Way = UNKNOWN
    currency: str | None = None


def lay_out(tables: Sequence[Table], answers: Answers) -> tuple[list[SheetIn], list[str]]:
    """The tables that can be read, and remarks on what cannot and on what was noticed."""
    found: list[SheetIn] = []
    remarks = [said_of_file for table in tables for said_of_file in table.remarks]
    passed = []
    for table in tables:
        if table.name in (ABOUT, LISTS) or not any(any(cells) for _, cells in table.rows):
            continue
        if table.hidden and not answers.hidden:
            passed.append(table.name)
        elif header_key(table.name) in NOT_READ_YET:
            raise Refused(
                "sheet-not-read-yet",
                f'The sheet "{table.name}" cannot be read yet. Nothing was changed',
                hint="take it out of the file, and read the rest",
            )
        else:
            _lay_out_sheet(table, answers, found, remarks)
    if passed and not found:
        raise Refused(
            "only-hidden-sheets",
            f"What could be read is hidden: {_listed(passed)}. Nothing was changed",
            hint="to read hidden sheets too: --hidden",
        )
    return found, remarks + [
        f'The sheet "{name}" is hidden and was not read: to read it too, --hidden' for name in passed
    ]


def _listed(names: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)


def _lay_out_sheet(table: Table, answers: Answers, found: list[SheetIn], remarks: list[str]) -> None:
    """The tables of one sheet, one below the other."""
    said = answers.columns
    table = _filled_down(table)
    before = len(found)
    for block in _blocks(table, said):
        # The name of a sheet says what its first table is; those below may be something else.
        head = find_head(block, said, header_key(table.name) if len(found) == before else "")
        if head is None:
            continue
        columns = _columns(head.headings)
        rows = list(_data_rows(block, head, columns))
        name = table.name or head.kind.name
        if rows and _is_sum(rows[-1]):
            remarks.append(f"{name}, row {rows.pop().row}: nothing but amounts, taken for a total and not read")
        ways = {
            column: way_of((row.cells[place] for row in rows if place < len(row.cells)), answers.way, table.counts_from)
            for place, column in enumerate(columns.known)
            if column in AMOUNTS or column in DAYS
        }
        titles = [cells for _, cells in block.rows[: head.first - len(head.lines)]]
        found.append(SheetIn(head.kind, name, head.headings, rows, ways, titles, head.lines, money=answers.currency))
    if len(found) == before:
        remarks.append(f'The sheet "{table.name}" has no columns that are known here and was not read')


def _filled_down(table: Table) -> Table:
    """The table with what stands in cells joined downwards in each row that has something of its own."""
    down = [each for each in table.merged if each.last_row > each.first_row]
    if not down:
        return table
    rows = {number: list(cells) for number, cells in table.rows}
    numbers = sorted(rows)
    left = _MOST_FILLED
    for each in down:
        top = rows.get(each.first_row, [])
        text = top[each.first_column] if each.first_column < len(top) else ""
        if not text:
            continue
        for number in range(each.first_row + 1, min(each.last_row, numbers[-1]) + 1):
            left -= 1
            if left < 0:
                raise Refused(
                    "sheet-too-large",
                    f'Joined cells of the sheet "{table.name}" go over more than {_MOST_FILLED} cells. '
                    "Nothing was changed",
                    hint="take them apart, and read the file again",
                )
            cells = rows.get(number)
            if cells is not None and any(cells):
                cells += [""] * (each.first_column + 1 - len(cells))
                cells[each.first_column] = cells[each.first_column] or text
    return replace(table, rows=[(number, rows[number]) for number, _ in table.rows])


def _blocks(table: Table, said: Mapping[str, str]) -> Iterator[Table]:
    """The tables of a sheet: another begins where a head stands below an empty row, with a title or without."""
    rows = table.rows
    starts = [0]
    heads: list[list[str]] = []
    for place, (_, cells) in enumerate(rows):
        above = place - 1 if place and _is_lone(rows[place - 1][1]) else place
        if any(cells) and _after_gap(rows, above) and is_head(cells, said) and cells not in heads:
            heads.append(cells)
            if above:
                starts.append(above)
    for start, end in zip(starts, [*starts[1:], len(rows)], strict=True):
        yield table if len(starts) == 1 else replace(table, rows=rows[start:end])


def _is_lone(cells: Sequence[str]) -> bool:
    return sum(1 for cell in cells if cell) == 1


def _after_gap(rows: Sequence[tuple[int, list[str]]], place: int) -> bool:
    """Whether nothing stands in the line above a row."""
    return place == 0 or not any(rows[place - 1][1]) or rows[place - 1][0] < rows[place][0] - 1


def _columns(headings: Sequence[Heading]) -> _Columns:
    """What each column stands for; the names of others are numbered where one stands twice."""
    names: dict[str, None] = {}
    for heading in headings:
        name, count = heading.header, 2
        while name in names:
            name, count = f"{heading.header} ({count})", count + 1
        names[name] = None
    known = tuple(heading.column for heading in headings)
    passed = header_key(WRONG)
    own = tuple(
        None if column is not None or header_key(heading.header) == passed else name
        for heading, column, name in zip(headings, known, names, strict=True)
    )
    return _Columns(known, own)


def _data_rows(table: Table, head: Head, columns: _Columns) -> Iterator[DataRow]:
    """The rows under the head that are data: no blanks, no totals, no head again, no example."""
    tag = columns.known.index("tag") if "tag" in columns.known else None
    for number, cells in table.rows[head.first :]:
        first = next((cell for cell in cells if cell and not cell.isspace()), None)
        if first is None or _is_total(first) or cells in head.lines:
            continue
        if tag is not None and tag < len(cells) and cells[tag].strip().casefold() == PASSED_OVER:
            continue
        yield DataRow(number, cells, columns)


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


def _is_sum(row: DataRow) -> bool:
    """Whether nothing stands in a row but amounts."""
    values = row.values
    return not row.extra and bool(values) and values.keys() <= AMOUNTS
