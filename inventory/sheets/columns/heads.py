"""Whether a row is the head of a table: by the columns that its cells name, or by what stands below it. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from inventory.sheets.columns.catalogue import SHEETS, doubtful, header_key, spellings, word_meant
from inventory.sheets.readers.tables import Row
from inventory.store.words.nothing import nothing_in

__all__ = [
    "first_unknown",
    "is_known_head",
    "is_lone",
    "looks_like_head",
    "may_head",
    "mostly_named",
    "names_a_column",
]

#: How many rows below a row are looked at to see whether it is a head, and how long the cells of a head are.
_LOOKED_AT, _LONGEST_HEAD = 30, 40
_FIGURE = re.compile(r"\d")


def is_lone(cells: Sequence[str]) -> bool:
    """Whether a row has one cell only."""
    return len(cells) - cells.count("") == 1


@lru_cache(maxsize=1)
def _every_name() -> frozenset[str]:
    """The keys of all spellings of all columns, and of the doubtful ones."""
    return frozenset(key for sheet in SHEETS for keys in spellings(sheet).values() for key in keys) | doubtful().keys()


def names_a_column(text: str, mapping: Mapping[str, str]) -> bool:
    """Whether a text is a spelling of a column of any sheet, or a header that the user named (`mapping`)."""
    if not text or len(text) > _LONGEST_HEAD or _FIGURE.search(text):
        return False
    key = header_key(text)
    return key in mapping or key in _every_name()


def is_known_head(cells: Sequence[str], mapping: Mapping[str, str]) -> bool:
    """Whether every cell of a row names a column exactly, at least one of them surely."""
    filled = [cell for cell in cells if cell]
    return (
        len(filled) > 1
        and all(names_a_column(cell, mapping) for cell in filled)
        and any(header_key(cell) not in doubtful() for cell in filled)
    )


def mostly_named(cells: Sequence[str], mapping: Mapping[str, str]) -> bool:
    """Whether more than half of the cells of a row name columns exactly, and the others may."""
    filled = [cell for cell in cells if cell]
    named = sum(names_a_column(cell, mapping) for cell in filled)
    return len(filled) > 1 and 2 * named > len(filled) and all(map(may_head, filled))


# Heads whose cells are not known.


def _is_figure(text: str) -> bool:
    """Whether at least half of a text are digits: a number, a serial, an amount, a day."""
    digits = sum(map(str.isdigit, text))
    return digits > 0 and 2 * digits >= sum(map(str.isalnum, text))


def first_unknown(rows: Sequence[Row]) -> int | None:
    """The first row that looks like a head, or that stands under a title of its own."""
    looked = next((place for place in range(min(len(rows), _LOOKED_AT)) if looks_like_head(rows, place)), None)
    if looked is None and len(rows) > 2 and is_lone(rows[0].cells) and rows[1].number == rows[0].number + 1:
        filled = [cell for cell in rows[1].cells if cell]
        return 1 if len(filled) > 1 and all(map(may_head, filled)) else None
    return looked


def looks_like_head(rows: Sequence[Row], place: int) -> bool:
    """Whether a row looks like a head: short texts that are no values, over a block with figures under one of them."""
    filled = [(where, cell) for where, cell in enumerate(rows[place].cells) if cell]
    if len(filled) < 2 or not all(may_head(cell) for _, cell in filled):
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


def may_head(cell: str) -> bool:
    """Whether a cell may be a header: a short text that is no figure, no word for nothing and no kind."""
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
