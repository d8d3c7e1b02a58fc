"""Which column of a sheet of parts has the numbers that its keeper gave them. Pure.

Labels of ours have a form; a column headed as labels in which nothing has it contains numbers of the keeper's own. A
column that only counts the rows (1, 2, 3 ... under "lfd. Nr.", "Pos.", "#") identifies nothing: next month the same
part may stand in another row. It is kept under its own name. A bare "Nr." beside part number and serial, each once, is
the keeper's.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from itertools import islice

from inventory.errors import Refused
from inventory.parts import tags
from inventory.sheets.columns.catalogue import EXAMPLE_ROW, PARTS, header_key, words
from inventory.sheets.columns.header_match import Heading
from inventory.sheets.columns.sheet_layout import SheetLayout
from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import fold

__all__ = ["COLUMN", "given_in", "in_order", "number_key", "own_numbers_found", "same_but_zeros", "without_zeros"]

COLUMN = "own number"
#: Columns for which a header such as "Pos." or "Nr." may be taken.
_MAY_COUNT = (COLUMN, "position", "part number", "serial", None)
#: Words in the column `tag` that are no label.
_NO_LABEL = ("new", EXAMPLE_ROW)
#: The figures of a number, and what stands between them.
_PIECES = re.compile(r"[0-9]{1,18}|[^0-9\s]+")
#: So many different texts of a column are looked at to see what it contains.
_LOOKED_AT = 500


def without_zeros(key: str) -> str:
    """A folded number without the zeros before it, which a spreadsheet program drops."""
    return key.lstrip("0") or key[-1:]


def number_key(number: str) -> str:
    """A keeper's number as it is compared."""
    return without_zeros(fold(number))


def same_but_zeros(one: str | None, other: str | None) -> bool:
    """Whether two numbers differ in nothing but zeros before them."""
    if not one or not other:
        return False
    first, second = fold(one), fold(other)
    return first != second and without_zeros(first) == without_zeros(second)


def given_in(sheet: SheetLayout) -> str | None:
    """The header under which the keeper's numbers stand."""
    return next((each.header for each in sheet.headings if each.column == COLUMN), None)


def own_numbers_found(sheet: SheetLayout, chosen: Mapping[str, str]) -> tuple[SheetLayout, str]:
    """A sheet of parts with these columns settled, and a remark ("" for none); `chosen`: headers that the user named.

    `SheetLayout.counting` are the columns that count the rows.
    """
    if sheet.kind is not PARTS:
        return sheet, ""
    headings = list(sheet.headings)
    counting = []
    for place, heading in enumerate(headings):
        if header_key(heading.header) in chosen or heading.column not in _MAY_COUNT:
            continue
        if header_key(heading.header) in _counting() and _counts(_texts(sheet, place)):
            headings[place] = Heading(heading.header)
            counting.append(heading.header)
    has_own = any(each.column == COLUMN for each in headings)
    known = {each.column for each in headings}
    for place, heading in enumerate(headings):
        beside = heading.column is None and heading.header not in counting and {"part number", "serial"} <= known
        named = header_key(heading.header) in chosen
        if beside and not has_own and not named and header_key(heading.header) in _counting():
            texts = [text.strip() for text in _texts(sheet, place)]
            if texts and len(set(texts)) == len(texts):
                headings[place], has_own = replace(heading, column=COLUMN, doubt=None), True
    for place, heading in enumerate(headings):
        labels = heading.column == "tag" and header_key(heading.header) != "tag"
        if labels and not has_own and _no_labels(_texts(sheet, place)):
            headings[place] = replace(heading, column=COLUMN)
    if headings == sheet.headings:
        return sheet, ""
    says = ""
    if counting:
        names = ", ".join(f'"{each}"' for each in counting)
        says = f"{sheet.name}: {names} only counts the rows, so no part is known by it; it is kept as it is"
    return replace(sheet, headings=headings, counting=frozenset(counting)), says


def in_order(sheet: SheetLayout) -> SheetLayout:
    """A sheet of parts, with a note if its own numbers or those that count its rows do not rise: it was sorted."""
    if sheet.kind is not PARTS or sheet.rearranged:
        return sheet
    for place, heading in enumerate(sheet.headings):
        counts = heading.column is None and header_key(heading.header) in _counting()
        if (counts or heading.column == COLUMN) and not _rise(_texts(sheet, place)):
            return replace(sheet, rearranged=f"{heading.header} is not in order")
    return sheet


def _rise(texts: Iterable[str]) -> bool:
    """Whether no number is lower than the one before it; texts without a figure are passed over."""
    before: list[tuple[int, str]] = []
    for text in texts:
        pieces = _PIECES.findall(text.casefold())
        key = [(int(piece), "") if piece.isdecimal() else (-1, piece) for piece in pieces]
        if any(number >= 0 for number, _ in key):
            if key < before:
                return False
            before = key
    return True


def _texts(sheet: SheetLayout, place: int) -> Iterable[str]:
    """The texts of a column, empty ones left out."""
    return (row.cells[place] for row in sheet.rows if place < len(row.cells) and row.cells[place].strip())


@cache
def _counting() -> frozenset[str]:
    """The keys of headers of a column that may only count the rows."""
    return frozenset(map(header_key, words("counting")))


def _counts(texts: Iterable[str]) -> bool:
    """Whether the texts are 1, 2, 3 and so on, in their order."""
    last = -1
    for number, text in enumerate(texts, 1):
        plain = text.strip().rstrip(".)")
        if not plain.isdecimal() or len(plain) > 9 or int(plain) != number:
            return False
        last = number
    return last > 0


def _no_labels(texts: Iterable[str]) -> bool:
    """Whether none of these texts is a label of ours, or one misread; False without texts."""
    several = list(islice(dict.fromkeys(texts), _LOOKED_AT))
    return bool(several) and not any(_like_a_label(text.strip()) for text in several)


def _like_a_label(text: str) -> bool:
    if text.casefold() in _NO_LABEL or nothing_in(text) is not None:
        return True
    try:
        tags.parse(text)
    except Refused as refusal:
        return refusal.code != "not-a-tag"
    return True
