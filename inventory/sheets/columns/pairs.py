"""Two parts in a row: columns whose headers name two kinds ("Sensor No", "ECU No") become a row for each part.

Each part keeps the other one's cells under their own headers: that is how the sheet says that they belong together. It
is a sheet's word and no evidence. What the row says of both (place, car, owner, day, letter) is said of each; what may
be of either (price, condition) is kept as text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.columns.header_match import Heading
from inventory.sheets.columns.kind_words import half_of
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.sheet_layout import SheetLayout
from inventory.sheets.columns.titles import fill
from inventory.sheets.readers.tables import Row
from inventory.store.words.nothing import nothing_in

__all__ = ["in_two"]

TWO, ONE = "two parts", "one part"
#: By which columns a part of a row is told from the other.
_WHICH = frozenset({"part number", "serial"})
#: What a row says of both of its parts.
_OF_BOTH = frozenset(
    {"car", "place", "whose", "acquired on", "acquired from", "match code", "notes", "seen by", "seen on"}
)


def in_two(sheet: SheetLayout, said: Mapping[str, str]) -> tuple[list[SheetLayout], list[SheetQuestion], list[str]]:
    """A table with two parts a row as a table for each of them, what is asked, and what the user is told."""
    halves = {at: half for at, each in enumerate(sheet.headings) if (half := half_of(each.header))}
    kinds = [kind for kind, column in halves.values() if column in _WHICH]
    if sheet.kind is not PARTS or {"kind", "tag"} & set(sheet.columns) or len(set(kinds)) < 2:
        return [sheet], [], []
    kinds = list(dict.fromkeys(kinds))
    question = SheetQuestion(
        key_of("pair", sheet.name),
        f"whether a row of {sheet.name} is one part or {' and '.join(f'a {kind}' for kind in kinds)}",
        (Choice(TWO, "a part for each"), Choice(ONE, "one part")),
        tuple((sheet.name, row.number) for row in sheet.rows),
    )
    answer = said.get(question.key)
    if answer != TWO:
        return [sheet if answer else replace(sheet, waits=question)], [question], []
    texts = [each.header for at, each in enumerate(sheet.headings) if at not in halves and _of_either(each)]
    says = f"{sheet.name}: {', '.join(texts)} may be of either part of a row, so it is kept as text"
    return [_one_half(sheet, halves, kind) for kind in kinds], [question], [says] if texts else []


def _of_either(heading: Heading) -> bool:
    return heading.column is not None and heading.column not in _OF_BOTH


def _one_half(sheet: SheetLayout, halves: Mapping[int, tuple[str, str]], kind: str) -> SheetLayout:
    """The table of one of the two parts of each row; rows without that part are left out."""
    own = {at: column for at, (of, column) in halves.items() if of == kind}
    headings = [
        Heading(each.header, own.get(at), 100, given=True)
        if at in halves
        else Heading(each.header, given=True)
        if _of_either(each)
        else each
        for at, each in enumerate(sheet.headings)
    ]
    which = [at for at, column in own.items() if column in _WHICH]
    rows = [row for row in sheet.rows if _is_there(row, which)]
    half = replace(sheet, headings=headings, rows=rows, shares=True)
    return fill(half, "kind", {row.number: kind for row in rows})


def _is_there(row: Row, which: Sequence[int]) -> bool:
    """Whether a row has a part by one of its columns: a word for none is no part, one for not known is one."""
    cells = [row.cells[at].strip() for at in which if at < len(row.cells)]
    return any(cell and nothing_in(cell) not in ("none", "as above") for cell in cells)
