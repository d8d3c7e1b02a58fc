"""How many: a row with a quantity is so many parts without a serial, or one line of hardware, or none."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from inventory.sheets.columns.catalogue import PARTS, QUANTITY, SHEETS
from inventory.sheets.columns.header_match import Heading
from inventory.sheets.columns.kind_words import kind_named
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.sheet_layout import SheetLayout
from inventory.sheets.columns.titles import fill
from inventory.sheets.readers.tables import Row
from inventory.store.words.nothing import nothing_in

__all__ = ["by_quantity"]

#: Answers: so many parts, one line of hardware at its place, one entry with the number as text.
MANY, LINE, TEXT = "parts", "one line", "text"
#: In the key of a question: all words that are kinds of parts.
KINDS = "kinds"
_NUMBER = re.compile(r"(\d{1,4})(?:[.,]0+)?\s*(?:x|[^\W\d_]{1,6}\.?)?")
#: A row is at most so many parts; a higher number is kept as text.
_MOST = 200
_HARDWARE = next(kind for kind in SHEETS if kind.name == "hardware")
#: What a line of hardware says of its item, and how many.
_SPEC = ("kind", "maker", "part number")
_SAID = (*_SPEC, QUANTITY)
_CHOICES = (
    Choice(MANY, "so many parts, each by itself"),
    Choice(LINE, "one line of hardware at its place"),
    Choice(TEXT, "one part; the number is kept as text"),
)


@dataclass
class _Sorted:
    """The rows of a table by what they are, those that ask by their word, and the numbers of those that are none."""

    rows: list[Row] = field(default_factory=list)
    hardware: dict[int, tuple[str, str]] = field(default_factory=dict)
    asked: dict[str, list[int]] = field(default_factory=dict)
    none: list[int] = field(default_factory=list)
    many: bool = False


def by_quantity(
    sheet: SheetLayout, said: Mapping[str, str]
) -> tuple[list[SheetLayout], list[SheetQuestion], list[str]]:
    """A table with as many rows as each of its rows has parts, that of its hardware, what is asked, what is told.

    1 or nothing is one part, 0 is none. A number beside a serial is kept as text: there is one such part.
    """
    at = next((place for place, each in enumerate(sheet.headings) if each.column == QUANTITY), None)
    if sheet.kind is not PARTS or at is None:
        return [sheet], [], []
    found = _Sorted()
    for row in sheet.rows:
        _sort(sheet, row, at, said, found)
    parts = replace(sheet, rows=found.rows, shares=sheet.shares or found.many)
    questions = [
        SheetQuestion(
            key_of("quantity", sheet.name, word),
            "what several of a kind in one row are" if word == KINDS else f'what several "{word}" in one row are',
            _CHOICES,
            tuple((sheet.name, number) for number in rows),
            _taken(word),
        )
        for word, rows in found.asked.items()
    ]
    remarks = []
    if found.none:
        rows = ", ".join(map(str, found.none))
        remarks.append(f"{sheet.name}, row {rows}: the quantity is 0, so there is none and no part was added")
    remarks += [
        f"{sheet.name}, row {row.number}: no place in a line of hardware for {', '.join(left)}"
        for row in sheet.rows
        if row.number in found.hardware and (left := _left_over(sheet, row))
    ]
    sheets = [parts] if parts.rows or not found.hardware else []
    return [*sheets, *([_hardware(sheet, found)] if found.hardware else [])], questions, remarks


def _sort(sheet: SheetLayout, row: Row, at: int, said: Mapping[str, str], into: _Sorted) -> None:
    text = row.cells[at].strip() if at < len(row.cells) else ""
    read = _NUMBER.fullmatch(text)
    count = 0 if nothing_in(text) == "none" else int(read[1]) if read else None
    values = sheet.values(row.cells)
    if count == 0:
        into.none.append(row.number)
    elif count == 1:
        into.rows.append(_without(row, at))
    elif count is None or count > _MOST or any(_is_said(values.get(column, "")) for column in ("serial", "tag")):
        into.rows.append(row)
    else:
        kind = " ".join(values.get("kind", "").split())
        word = KINDS if kind_named(kind) else kind or sheet.name
        into.asked.setdefault(word, []).append(row.number)
        answer = said.get(key_of("quantity", sheet.name, word), _taken(word))
        if answer == MANY:
            into.many = True
            into.rows += [_without(row, at)] * count
        elif answer == LINE and values.get("place"):
            named = (values.get(column, "") for column in _SPEC)
            into.hardware[row.number] = " ".join(filter(None, named)), str(count)
        else:
            into.rows.append(row)


def _taken(word: str) -> str:
    """What counts without an answer: six injectors are six parts, of another word the number is kept as text."""
    return MANY if word == KINDS else TEXT


def _left_over(sheet: SheetLayout, row: Row) -> list[str]:
    """The cells of a row of which a line of hardware says nothing."""
    cells = zip(sheet.headings, row.cells, strict=False)
    return [f'"{cell}"' for heading, cell in cells if cell and heading.column not in ("place", *_SAID)]


def _is_said(text: str) -> bool:
    return bool(text) and not nothing_in(text)


def _without(row: Row, at: int) -> Row:
    return Row(row.number, [*row.cells[:at], "", *row.cells[at + 1 :]])


def _hardware(sheet: SheetLayout, found: _Sorted) -> SheetLayout:
    """The rows that are hardware, as a table of the sheet `hardware`."""
    headings = [each if each.column == "place" else Heading("") for each in sheet.headings]
    rows = [row for row in sheet.rows if row.number in found.hardware]
    made = replace(sheet, kind=_HARDWARE, headings=headings, rows=rows, shares=False)
    made = fill(made, "spec", {number: spec for number, (spec, _) in found.hardware.items()})
    return fill(made, "count", {number: count for number, (_, count) in found.hardware.items()})
