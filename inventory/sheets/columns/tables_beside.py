"""Finds the tables beside each other in a tab: after an empty column, where a head is repeated, or without a header."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.sheets.columns.catalogue import header_key
from inventory.sheets.columns.header_match import recognised
from inventory.sheets.columns.header_rows import HeaderRows, find_header_rows
from inventory.sheets.columns.heads import first_unknown, is_lone, may_head
from inventory.sheets.readers.tables import Row, Table

__all__ = ["beside", "further_cuts"]

#: A table beside another one is a column of figures long, and its neighbour so many rows longer or shorter.
_UNALIGNED = 2


@dataclass(frozen=True)
class _Head:
    """The head of some columns: the numbers of its rows, the keys of its cells, the columns that they are."""

    numbers: range
    keys: frozenset[str]
    columns: frozenset[str] = frozenset()


def beside(table: Table, mapping: Mapping[str, str]) -> list[Table]:
    """The tables beside each other in a sheet, or the sheet as it is."""
    groups = _column_groups(table.rows)
    apart = [groups[0]]
    for group in groups[1:]:
        if _apart(_only(table, *apart[-1]), _only(table, *group), mapping):
            apart.append(group)
        else:
            apart[-1] = (apart[-1][0], group[1])
    return [_only(table, *each) for each in apart] if len(apart) > 1 else [table]


def further_cuts(table: Table, mapping: Mapping[str, str]) -> list[Table]:
    """The tables where one head is repeated to the right, or columns without a header have one below; [] for none."""
    head = find_header_rows(table, mapping, "")
    if head is None:
        return []
    return [_only(table, *each) for each in _repeated(table, head) or _headless(table, head, mapping)]


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


def _repeated(table: Table, head: HeaderRows) -> list[tuple[int, int]]:
    """The columns of each table where one head is repeated to the right: "Kind, No, Shelf, Kind, No, Shelf"."""
    if len(head.lines) != 1:
        return []
    keys = [header_key(cell) for cell in head.lines[0]]
    first = next(place for place, key in enumerate(keys) if key)
    named = keys[first:]
    for period in range(2, len(named) // 2 + 1):
        if len(named) % period == 0 and all(key == named[place % period] for place, key in enumerate(named)):
            starts = list(range(first, len(keys), period))
            return list(zip(starts, [*starts[1:], _width(table)], strict=True))
    return []


def _headless(table: Table, head: HeaderRows, mapping: Mapping[str, str]) -> list[tuple[int, int]]:
    """The columns left and right of where columns without a header begin, if these have a head of their own below."""
    width, number = _width(table), table.rows[head.first - 1].number
    headed = [place for line in head.lines for place, cell in enumerate(line) if cell]
    right, left = max(headed) + 1, min(headed)
    for cut, beside, first, last in ((right, right - 1, right, width), (left, left, 0, left)):
        own = _head(_only(table, first, last), mapping) if last - first > 1 else None
        if own is None or own.numbers[0] <= number:
            continue
        line = next(row.cells for row in table.rows if row.number == own.numbers[-1])
        if beside >= len(line) or not line[beside] or not may_head(line[beside]):  # else the head goes on there
            return [(0, cut), (cut, width)]
    return []


def _width(table: Table) -> int:
    return max(len(row.cells) for row in table.rows)
