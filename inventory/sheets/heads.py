"""Finding the head of a table: in which line it is, over how many lines it goes, and which sheet it makes of it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.sheets.columns import PARTS, SHEETS, SheetKind, words
from inventory.sheets.grid import Merged, Table
from inventory.sheets.headers import Heading, doubts, read_headings, recognised

__all__ = ["LAST_HEAD", "Head", "find_head", "is_head"]

#: Titles may stand above the head, but not more lines than this.
LAST_HEAD = 20
_BRACKETED = re.compile(r"[\[(].*[\])]")


@dataclass(frozen=True)
class Head:
    """A way to read the head of a table: which sheet it makes it, and the place of the first row of data.

    `lines` are the rows that the head stands in, as they may stand again further down.
    """

    kind: SheetKind
    headings: list[Heading]
    first: int
    lines: tuple[list[str], ...]

    @property
    def count(self) -> int:
        """How many columns are known."""
        return len(recognised(self.headings))


def find_head(table: Table, said: Mapping[str, str], named: str) -> Head | None:
    """The best way to read the head: the kind that is named so, most columns known, two lines, the upper row."""
    best: Head | None = None
    for place in range(min(len(table.rows), LAST_HEAD)):
        if not any(table.rows[place][1]):
            continue
        ways = [_single(kind, table, place, said) for kind in SHEETS]
        if best is None and place + 1 < len(table.rows) and table.rows[place + 1][0] == table.rows[place][0] + 1:
            ways += [_double(kind, table, place, said) for kind in SHEETS]
        for way in ways:
            if way is not None and _fits(way) and (best is None or _rank(way, named) > _rank(best, named)):
                best = way
    return best


def is_head(cells: Sequence[str], said: Mapping[str, str]) -> bool:
    """Whether a row in the midst of a sheet is the head of another table: nothing in it but names of columns."""
    filled = [cell for cell in cells if cell.strip()]
    if len(filled) < 2:
        return False
    return any(
        kind.needs <= (known := recognised(read_headings(filled, kind, said))) and len(known) == len(filled)
        for kind in SHEETS
    )


def _rank(way: Head, named: str) -> tuple[bool, int, int, bool]:
    return (way.kind.name == named, way.count, len(way.lines), way.kind is PARTS)


def _fits(way: Head) -> bool:
    """Whether a row can be a head: two columns known or to be asked about, or the only one there is."""
    width = sum(1 for heading in way.headings if not heading.header.startswith("column "))
    return (way.count > 0 and way.count + len(doubts(way.headings)[0]) >= 2) or way.count == width == 1


def _single(kind: SheetKind, table: Table, place: int, said: Mapping[str, str]) -> Head | None:
    cells = table.rows[place][1]
    return _as(kind, cells, place + 1, (cells,), said)


def _as(
    kind: SheetKind, cells: Sequence[str], first: int, lines: tuple[list[str], ...], said: Mapping[str, str]
) -> Head | None:
    headings = read_headings(cells, kind, said)
    return Head(kind, headings, first, lines) if kind.needs <= recognised(headings) else None


def _double(kind: SheetKind, table: Table, place: int, said: Mapping[str, str]) -> Head | None:
    """A head of two lines: taken where joining them makes two more columns known than either line alone.

    One is enough where cells are joined across in the upper line or down into the lower one, or where with it fewer
    headers are in doubt than in the upper line alone; none is needed where the lower line holds nothing but what stands
    in brackets, or currencies.
    """
    lines = (table.rows[place][1], table.rows[place + 1][1])
    width = max(map(len, lines))
    joined = [each for each in table.merged if each.first_row == table.rows[place][0]]
    upper, lower = _across(lines[0], width, joined), [*lines[1], *[""] * (width - len(lines[1]))]
    both = [above if above == below else f"{above} {below}".strip() for above, below in zip(upper, lower, strict=True)]
    alone = max(len(recognised(read_headings(line, kind, said))) for line in (upper, lower))
    known = [
        [heading.column is not None for heading in read_headings(line, kind, said)] for line in (both, lower, upper)
    ]
    chosen = [
        next((line[place] for line, yes in zip((both, lower, upper), known, strict=True) if yes[place]), both[place])
        for place in range(width)
    ]
    way = _as(kind, chosen, place + 2, lines, said)
    spans = any(
        each.last_row > each.first_row or 0 < each.last_column - each.first_column < width - 1 for each in joined
    )
    if way is None or not any(known[0]):
        return None
    surer = len(doubts(way.headings)[0]) < len(doubts(read_headings(upper, kind, said))[0])
    needed = 0 if _is_units(lines[1]) else 1 if spans or surer else 2
    return way if way.count >= alone + needed else None


def _across(cells: Sequence[str], width: int, joined: Sequence[Merged]) -> list[str]:
    """A line of a head with the text of joined cells in each column they go over."""
    line = [*cells, *[""] * (width - len(cells))]
    for each in joined:
        if each.first_column < width:
            for column in range(each.first_column + 1, min(each.last_column + 1, width)):
                line[column] = line[column] or line[each.first_column]
    return line


def _is_units(cells: Sequence[str]) -> bool:
    """Whether a line says in what the columns above are given, and nothing else."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    known = {*words("currencies"), *words("signs")}
    return bool(filled) and all(cell in known or _BRACKETED.fullmatch(cell) for cell in filled)
