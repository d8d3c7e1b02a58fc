"""Finds the tables in one sheet of a file: beside each other and below each other, each with a head of its own.

A further table starts to the right where columns have a head of their own, and below where a row names columns, or
where a row after a gap looks like a head although no cell of it is known. The cells of other tables are blanked, so a
cell keeps its column of the file and is never seen under a head that is not its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.errors import Refused
from inventory.sheets.columns.header_rows import find_header_rows, is_header_row
from inventory.sheets.columns.heads import is_known_head, is_lone, looks_like_head, mostly_named, names_a_column
from inventory.sheets.columns.tables_beside import beside, further_cuts
from inventory.sheets.readers.tables import Row, Table

__all__ = ["Block", "filled_down", "tables_in"]

#: The most cells that merged ranges may fill downwards.
_MOST_FILLED = 1_000_000


@dataclass(frozen=True)
class Block:
    """One table of a sheet. `head`: the number of the row that only looks like a head, if it begins with such a one."""

    table: Table
    head: int | None = None


def tables_in(table: Table, mapping: Mapping[str, str]) -> list[Block]:
    """The tables of a sheet, from left to right and from top to bottom."""
    parts = beside(table, mapping)
    if len(parts) == 1:
        blocks = list(_below(table, mapping))
        if len(blocks) > 1:
            return [each for block in blocks for each in _within(block, mapping)]
        parts = further_cuts(table, mapping)
        if not parts:
            return blocks
    return [each for part in parts for each in tables_in(part, mapping)]


def _within(block: Block, mapping: Mapping[str, str]) -> list[Block]:
    """The tables of a block that was cut out of the rows of a sheet."""
    found = tables_in(block.table, mapping)
    return [block] if len(found) == 1 else found


def filled_down(table: Table) -> Table:
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


def _below(table: Table, mapping: Mapping[str, str]) -> Iterator[Block]:
    """The tables below each other in a sheet."""
    rows = table.rows
    starts: list[tuple[int, int | None]] = []
    head: list[str] = []
    last = -2
    for place, known in _heads(table, mapping):
        cells = rows[place].cells
        if cells == head or place - last < 2:
            continue  # the same head again, or the second line of a head
        head, last = cells, place
        starts.append((_title_above(rows, place), None if known else rows[place].number))
    if not starts or starts[0][0] > 0:
        starts.insert(0, (0, None))
    for (start, number), (end, _) in zip(starts, [*starts[1:], (len(rows), None)], strict=True):
        yield Block(table if len(starts) == 1 else replace(table, rows=rows[start:end]), number)


def _heads(table: Table, mapping: Mapping[str, str]) -> Iterator[tuple[int, bool]]:
    """The rows that are heads, and whether all their cells name columns."""
    rows, spelled = table.rows, dict[str, bool]()
    for place, (number, cells) in enumerate(rows):
        gap = place == 0 or rows[place - 1].number < number - 1 or not any(rows[place - 1].cells)
        first = cells[0] if cells and cells[0] else next(filter(None, cells), "")
        if first not in spelled:
            spelled[first] = names_a_column(first, mapping)
        if (spelled[first] and is_known_head(cells, mapping)) or (gap and is_header_row(cells, mapping)):
            if gap or not _is_second_line(table, place, mapping):
                yield place, True
        elif not gap and not is_lone(rows[place - 1].cells):
            continue
        elif mostly_named(cells, mapping) or looks_like_head(rows, place):
            yield place, False


def _is_second_line(table: Table, place: int, mapping: Mapping[str, str]) -> bool:
    """Whether a row is the second line of a head that begins in the row above."""
    found = find_header_rows(replace(table, rows=table.rows[place - 1 : place + 1]), mapping, "")
    return found is not None and len(found.lines) > 1


def _title_above(rows: Sequence[Row], place: int) -> int:
    """The first of the titles directly above a head."""
    while place and is_lone(rows[place - 1].cells) and rows[place - 1].number == rows[place].number - 1:
        place -= 1
    return place
