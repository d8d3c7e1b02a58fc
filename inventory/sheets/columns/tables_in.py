"""Finds the tables in one sheet of a file: beside each other and below each other, each with a head of its own.

A further table starts to the right where columns have a head of their own, and below where a row names columns, or
where a row after a gap looks like a head although no cell of it is known. The cells of other tables are blanked, so a
cell keeps its column of the file and is never seen under a head that is not its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from inventory.errors import Refused
from inventory.sheets.columns.catalogue import SHEETS, doubtful, header_key, spellings, word_meant
from inventory.sheets.columns.header_match import recognised
from inventory.sheets.columns.header_rows import find_header_rows, is_header_row
from inventory.sheets.readers.tables import Row, Table
from inventory.store.words.nothing import nothing_in

__all__ = ["Block", "filled_down", "first_unknown", "is_lone", "tables_in"]

#: The most cells that merged ranges may fill downwards.
_MOST_FILLED = 1_000_000
#: How many rows below a row are looked at to see whether it is a head, and how long the cells of a head are.
_LOOKED_AT, _LONGEST_HEAD = 30, 40
#: A table beside another one is a column of figures long, and its neighbour so many rows longer or shorter.
_UNALIGNED = 2


@dataclass(frozen=True)
class Block:
    """One table of a sheet. `head`: the number of the row that only looks like a head, if it begins with such a one."""

    table: Table
    head: int | None = None


def tables_in(table: Table, mapping: Mapping[str, str]) -> list[Block]:
    """The tables of a sheet, from left to right and from top to bottom."""
    parts = _beside(table, mapping)
    if len(parts) == 1:
        blocks = list(_below(table, mapping))
        if len(blocks) > 1:
            return [each for block in blocks for each in _within(block, mapping)]
        cuts = _repeated(table, mapping) or _headless(table, mapping)
        if not cuts:
            return blocks
        parts = [_only(table, *each) for each in cuts]
    return [each for part in parts for each in tables_in(part, mapping)]


def _within(block: Block, mapping: Mapping[str, str]) -> list[Block]:
    """The tables of a block that was cut out of the rows of a sheet."""
    found = tables_in(block.table, mapping)
    return [block] if len(found) == 1 else found


def is_lone(cells: Sequence[str]) -> bool:
    """Whether a row has one cell only."""
    return len(cells) - cells.count("") == 1


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


# Tables beside each other.


@dataclass(frozen=True)
class _Head:
    """The head of some columns: the numbers of its rows, the keys of its cells, the columns that they are."""

    numbers: range
    keys: frozenset[str]
    columns: frozenset[str] = frozenset()


def _beside(table: Table, mapping: Mapping[str, str]) -> list[Table]:
    """The tables beside each other in a sheet, or the sheet as it is."""
    groups = _column_groups(table.rows)
    apart = [groups[0]]
    for group in groups[1:]:
        if _apart(_only(table, *apart[-1]), _only(table, *group), mapping):
            apart.append(group)
        else:
            apart[-1] = (apart[-1][0], group[1])
    return [_only(table, *each) for each in apart] if len(apart) > 1 else [table]


def _column_groups(rows: Sequence[Row]) -> list[tuple[int, int]]:
    """The runs of columns between wholly empty ones: the first column of each, and the one after its last."""
    width = max(len(row.cells) for row in rows)
    used = [any(place < len(row.cells) and row.cells[place] for row in rows) for place in range(width)]
    starts = [place for place in range(width) if used[place] and (place == 0 or not used[place - 1])]
    ends = [place + 1 for place in range(width) if used[place] and (place + 1 == width or not used[place + 1])]
    return list(zip(starts, ends, strict=True)) or [(0, width)]


def _only(table: Table, first: int, last: int) -> Table:
    """A sheet with the cells of some columns only, and only the rows that have any."""
    blank = [""] * first
    rows = []
    for number, cells in table.rows:
        kept = cells[first:last]
        while kept and not kept[-1]:
            kept.pop()
        if kept:
            rows.append(Row(number, [*blank, *kept]))
    merged = tuple(each for each in table.merged if first <= each.first_column < last)
    return replace(table, rows=rows, merged=merged)


def _head(table: Table, mapping: Mapping[str, str]) -> _Head | None:
    """The head of some columns: one that names columns, else a row that looks like one."""
    known = find_header_rows(table, mapping, "")
    if known is not None:
        keys = {header_key(cell) for line in known.lines for cell in line}
        last = table.rows[known.first - 1].number
        return _Head(
            range(last - len(known.lines) + 1, last + 1), frozenset(keys - {""}), frozenset(recognised(known.headings))
        )
    place = first_unknown(table.rows)
    if place is None:
        return None
    row = table.rows[place]
    return _Head(range(row.number, row.number + 1), frozenset(map(header_key, row.cells)) - {""})


def _apart(left: Table, right: Table, mapping: Mapping[str, str]) -> bool:
    """Whether columns after an empty column are a table of their own.

    They are if both have a head, and these stand in different rows, or name a column twice (by other words: two), or
    their rows do not go together: the right ones end early, or go on below the left ones.
    """
    heads = _head(left, mapping), _head(right, mapping)
    if heads[0] is None or heads[1] is None:
        return False
    if not set(heads[0].numbers) & set(heads[1].numbers) or heads[0].keys & heads[1].keys:
        return True
    if len(heads[0].columns & heads[1].columns) > 1:
        return True
    number = max(each.numbers[-1] for each in heads if each is not None)
    rows, others = (
        [row.number for row in each.rows if row.number > number and not is_lone(row.cells)] for each in (left, right)
    )
    beyond = set(others) - set(rows)
    ends_early = others == rows[: len(others)] and len(rows) - len(others) >= _UNALIGNED
    return len(beyond) >= _UNALIGNED or ends_early


def _repeated(table: Table, mapping: Mapping[str, str]) -> list[tuple[int, int]]:
    """The columns of each table where one head is repeated to the right: "Kind, No, Shelf, Kind, No, Shelf"."""
    head = find_header_rows(table, mapping, "")
    if head is None or len(head.lines) != 1:
        return []
    keys = [header_key(cell) for cell in head.lines[0]]
    first = next(place for place, key in enumerate(keys) if key)
    named = keys[first:]
    for period in range(2, len(named) // 2 + 1):
        if len(named) % period == 0 and all(key == named[place % period] for place, key in enumerate(named)):
            starts = list(range(first, len(keys), period))
            return list(zip(starts, [*starts[1:], _width(table)], strict=True))
    return []


def _headless(table: Table, mapping: Mapping[str, str]) -> list[tuple[int, int]]:
    """The columns left and right of where columns without a header begin, if these have a head of their own below."""
    head = find_header_rows(table, mapping, "")
    if head is None:
        return []
    width, number = _width(table), table.rows[head.first - 1].number
    headed = [place for line in head.lines for place, cell in enumerate(line) if cell]
    right, left = max(headed) + 1, min(headed)
    for cut, beside, first, last in ((right, right - 1, right, width), (left, left, 0, left)):
        own = _head(_only(table, first, last), mapping) if last - first > 1 else None
        if own is None or own.numbers[0] <= number:
            continue
        line = next(row.cells for row in table.rows if row.number == own.numbers[-1])
        if beside >= len(line) or not line[beside] or not _may_head(line[beside]):  # else the head goes on there
            return [(0, cut), (cut, width)]
    return []


def _width(table: Table) -> int:
    return max(len(row.cells) for row in table.rows)


# Tables below each other.


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
            spelled[first] = _names_a_column(first, mapping)
        if (spelled[first] and _is_known_head(cells, mapping)) or (gap and is_header_row(cells, mapping)):
            if gap or not _is_second_line(table, place, mapping):
                yield place, True
        elif not gap and not is_lone(rows[place - 1].cells):
            continue
        elif _mostly_named(cells, mapping) or _looks_like_head(rows, place):
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


@lru_cache(maxsize=1)
def _every_name() -> frozenset[str]:
    """The keys of all spellings of all columns, and of the doubtful ones."""
    return frozenset(key for sheet in SHEETS for keys in spellings(sheet).values() for key in keys) | doubtful().keys()


def _names_a_column(text: str, mapping: Mapping[str, str]) -> bool:
    if not text or len(text) > _LONGEST_HEAD or _FIGURE.search(text):
        return False
    key = header_key(text)
    return key in mapping or key in _every_name()


def _is_known_head(cells: Sequence[str], mapping: Mapping[str, str]) -> bool:
    """Whether every cell of a row names a column exactly, at least one of them surely."""
    filled = [cell for cell in cells if cell]
    return (
        len(filled) > 1
        and all(_names_a_column(cell, mapping) for cell in filled)
        and any(header_key(cell) not in doubtful() for cell in filled)
    )


def _mostly_named(cells: Sequence[str], mapping: Mapping[str, str]) -> bool:
    """Whether more than half of the cells of a row name columns exactly, and the others may."""
    filled = [cell for cell in cells if cell]
    named = sum(_names_a_column(cell, mapping) for cell in filled)
    return len(filled) > 1 and 2 * named > len(filled) and all(map(_may_head, filled))


# Heads whose cells are not known.

_FIGURE = re.compile(r"\d")


def _is_figure(text: str) -> bool:
    """Whether at least half of a text are digits: a number, a serial, an amount, a day."""
    digits = sum(map(str.isdigit, text))
    return digits > 0 and 2 * digits >= sum(map(str.isalnum, text))


def first_unknown(rows: Sequence[Row]) -> int | None:
    """The first row that looks like a head, or that stands under a title of its own."""
    looked = next((place for place in range(min(len(rows), _LOOKED_AT)) if _looks_like_head(rows, place)), None)
    if looked is None and len(rows) > 2 and is_lone(rows[0].cells) and rows[1].number == rows[0].number + 1:
        filled = [cell for cell in rows[1].cells if cell]
        return 1 if len(filled) > 1 and all(map(_may_head, filled)) else None
    return looked


def _looks_like_head(rows: Sequence[Row], place: int) -> bool:
    """Whether a row looks like a head: short texts that are no values, over a block with figures under one of them."""
    filled = [(where, cell) for where, cell in enumerate(rows[place].cells) if cell]
    if len(filled) < 2 or not all(_may_head(cell) for _, cell in filled):
        return False
    if len({header_key(cell) for _, cell in filled}) < len(filled):
        return False
    below = [line for line in _block_below(rows, place) if any(line[filled[0][0] : filled[-1][0] + 1])]
    if not below or not any(_figures_in(below, where) for where, _ in filled):
        return False
    near = rows[max(0, place - _LOOKED_AT) : place + 1 + _LOOKED_AT]
    return not any(
        where < len(row.cells) and row.cells[where] == cell
        for row in near
        if row is not rows[place] and row.cells != rows[place].cells
        for where, cell in filled
    )


def _may_head(cell: str) -> bool:
    return (
        len(cell) <= _LONGEST_HEAD
        and not _is_figure(cell)
        and any(map(str.isalpha, cell))
        and not nothing_in(cell)
        and word_meant("kind", cell) == cell
    )


def _block_below(rows: Sequence[Row], place: int) -> list[list[str]]:
    """The cells of the rows below a row, down to the next empty one."""
    found = []
    for before, row in zip(rows[place:], rows[place + 1 : place + 1 + _LOOKED_AT], strict=False):
        if row.number > before.number + 1 or not any(row.cells):
            break
        found.append(row.cells)
    return found


def _figures_in(block: Sequence[Sequence[str]], where: int) -> bool:
    """Whether most cells of a column are figures."""
    cells = [line[where] for line in block if where < len(line) and line[where]]
    return bool(cells) and 2 * sum(map(_is_figure, cells)) > len(cells) and 2 * len(cells) >= len(block)
