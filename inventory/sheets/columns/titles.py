"""Section titles: a cell alone in its row within a table ("Relais", "Shelf C"), which may hold for the rows below.

A title is never a row of data. It gives the kind or the place of the rows below it only if the user says so; a cell of
the row itself goes first. It holds until the next title of its sort.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from inventory.errors import Refused
from inventory.parts import tags
from inventory.sheets.columns.catalogue import like_a_word
from inventory.sheets.columns.header_match import Heading
from inventory.sheets.columns.heads import is_lone
from inventory.sheets.columns.kind_words import kind_named
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.sheet_layout import SheetLayout, unnamed
from inventory.sheets.readers.tables import Row
from inventory.store.words.nothing import nothing_in

__all__ = ["fill", "with_titles"]

#: Answers: what titles give, or that each is asked by itself.
KIND, PLACE, NOTHING, EACH = "kind", "place", "nothing", "one by one"
_WORDY = re.compile(r"[^\W\d_]{3,}(?:\W+\w{1,3})?|(?:[^\W\d_]{2,}\W*)+")
#: Under these a cell alone is a part, unless it is words.
_IDENTITY = frozenset({"tag", "serial", "part number", "match code", "date code"})
_CHOICES = (
    Choice(PLACE, "the place of the rows below"),
    Choice(KIND, "the kind of the rows below"),
    Choice(NOTHING, "nothing"),
)


@dataclass(frozen=True)
class _Section:
    """A title, the number of its row, and the numbers of the rows of data below it."""

    number: int
    text: str
    rows: tuple[int, ...]

    @property
    def sort(self) -> str:
        """Whether the title is a word for a kind of part ("kinds") or not ("others")."""
        return "kinds" if kind_named(self.text) else "others"


def _without_titles(sheet: SheetLayout) -> tuple[SheetLayout, list[_Section]]:
    """A table without the rows that are titles, and these with the rows below them."""
    alone = [place for place, row in enumerate(sheet.rows) if is_lone(row.cells)]
    if not alone or sum(1 for each in sheet.headings if each.header) < 2 or len(alone) == len(sheet.rows):
        return sheet, []
    titles = {place for place in alone if _is_title(sheet, place)}
    if not titles:
        return sheet, []
    found: list[_Section] = []
    below: list[int] = []
    for place, row in reversed(list(enumerate(sheet.rows))):
        if place in titles:
            found.append(_Section(row.number, _text(row), tuple(reversed(below))))
            below = []
        else:
            below.append(row.number)
    rows = [row for place, row in enumerate(sheet.rows) if place not in titles]
    return replace(sheet, rows=rows), found[::-1]


def _text(row: Row) -> str:
    return " ".join(next(filter(None, row.cells)).split())


def _is_title(sheet: SheetLayout, place: int) -> bool:
    """Whether a cell alone in its row is a title, and not a part of which nothing else is written."""
    row = sheet.rows[place]
    where, text = next((where, cell) for where, cell in enumerate(row.cells) if cell)
    column = sheet.columns[where] if where < len(sheet.columns) else None
    first = next(at for at, each in enumerate(sheet.headings) if each.header)
    if (where != first and column != "kind") or column in ("notes", "marks") or nothing_in(text):
        return False  # a maker alone, in its column, is what somebody knows of a part
    if sum(map(str.isalpha, text)) < 2 or (column in _IDENTITY and not _WORDY.fullmatch(text.strip())):
        return False
    if column == "tag":
        try:
            tags.parse(text)
        except Refused:
            return True
        return False
    return column != "kind" or _heads_its_rows(sheet, place, where, text)


def _heads_its_rows(sheet: SheetLayout, place: int, where: int, text: str) -> bool:
    """Whether a text alone under `kind` stands over rows without a kind, or is no kind and like none."""
    cells = sheet.rows[place + 1].cells if place + 1 < len(sheet.rows) else []
    if not cells or is_lone(cells):
        return False
    return where >= len(cells) or not cells[where] or not (kind_named(text) or like_a_word("kind", text))


def _sections_of(sheet: SheetLayout, found: Sequence[_Section]) -> list[_Section]:
    """The sections, and before them the title right above the head if it is of the sort of the first."""
    numbers = [row.number for row in sheet.rows if row.number < found[0].number]
    if not numbers or not sheet.titles or not is_lone(sheet.titles[-1]):
        return list(found)
    above = _Section(0, " ".join(next(filter(None, sheet.titles[-1])).split()), tuple(numbers))
    return [above, *found] if above.sort == found[0].sort else list(found)


def _over_all_rows(found: Sequence[_Section]) -> list[_Section]:
    """The sections, each with all rows that it holds for: a shelf for those below the kinds under it too."""
    rows: list[list[int]] = [[] for _ in found]
    outer = {one.sort for one, below in pairwise(found) if not one.rows and below.sort != one.sort}
    held: list[int] = []
    for place, each in enumerate(found):
        sorts = [found[at].sort for at in held]
        if each.sort in sorts:
            held = held[: sorts.index(each.sort)]
        elif place and found[place - 1].rows:
            held = [at for at in held if found[at].sort in outer]
        held.append(place)
        for at in held:
            rows[at] += each.rows
    return [replace(each, rows=tuple(below)) for each, below in zip(found, rows, strict=True)]


def with_titles(sheet: SheetLayout, said: Mapping[str, str]) -> tuple[SheetLayout, list[SheetQuestion], list[str]]:
    """A table whose titles give what the user says, what is asked about them, and what the user is told."""
    sheet, found = _without_titles(sheet)
    if not found:
        return sheet, [], []
    found = _over_all_rows(_sections_of(sheet, found))
    remarks = [
        f'{sheet.name}, row {each.number}: "{each.text}" stands alone and was not read'
        for each in found
        if not each.rows
    ]
    found = [each for each in found if each.rows]
    questions: list[SheetQuestion] = []
    meant = {sort: _asked(sheet, [each for each in found if each.sort == sort], said, questions) for sort in _SORTS}
    given: dict[str, dict[int, str]] = {KIND: {}, PLACE: {}}
    for each in found:
        column, text = meant[each.sort][each.text]
        if column in given:
            given[column].update(dict.fromkeys(each.rows, text))
    for column, by_row in given.items():
        if by_row:
            sheet = fill(sheet, column, by_row)
    return sheet, questions, remarks


_SORTS = ("kinds", "others")


def _asked(
    sheet: SheetLayout, found: Sequence[_Section], said: Mapping[str, str], questions: list[SheetQuestion]
) -> dict[str, tuple[str, str]]:
    """What each title of a sort gives: the column and its text. One question is for all; each by itself on request."""
    if not found:
        return {}
    texts = list(dict.fromkeys(each.text for each in found))
    rows = tuple((sheet.name, number) for each in found for number in each.rows)
    key = key_of("title", sheet.name, found[0].sort)
    named = ", ".join(f'"{text}"' for text in texts[:3]) + (f" and {len(texts) - 3} more" if texts[3:] else "")
    choices = _CHOICES if found[0].sort == "others" else (_CHOICES[1], _CHOICES[0], _CHOICES[2])
    more = (Choice(EACH, "ask about each"),) if texts[1:] else ()
    says = f"what {'titles give' if texts[1:] else 'the title gives'}: {named}"
    questions.append(SheetQuestion(key, says, (*choices, *more), rows, NOTHING))
    answer = said.get(key, NOTHING)
    if answer != EACH:
        return {text: (answer, _value(answer, text)) for text in texts}
    given = {}
    for text in texts:
        its = tuple((sheet.name, number) for each in found if each.text == text for number in each.rows)
        own = SheetQuestion(
            key_of("title", sheet.name, text), f'what the title gives: "{text}"', choices, its, NOTHING, "kind"
        )
        questions.append(own)
        answer = said.get(own.key, NOTHING)
        given[text] = (answer, _value(answer, text)) if answer in (KIND, PLACE, NOTHING) else (KIND, answer)
    return given


def _value(column: str, text: str) -> str:
    return kind_named(text) or text if column == KIND else text


def fill(sheet: SheetLayout, column: str, by_row: Mapping[int, str]) -> SheetLayout:
    """A table with the empty cells of a column filled, by number of the row; the column is added if there is none."""
    if column in sheet.columns:
        place, headings = sheet.columns.index(column), sheet.headings
    else:
        place = max([len(sheet.headings), *(len(row.cells) for row in sheet.rows)])
        loose = [Heading(unnamed(at + 1)) for at in range(len(sheet.headings), place)]
        headings = [*sheet.headings, *loose, Heading(column, column, 100, given=True)]
    return replace(
        sheet, headings=headings, rows=[_filled(row, place, by_row.get(row.number, "")) for row in sheet.rows]
    )


def _filled(row: Row, place: int, text: str) -> Row:
    if not text or (place < len(row.cells) and row.cells[place].strip()):
        return row
    cells = [*row.cells, *[""] * (place + 1 - len(row.cells))]
    cells[place] = text
    return Row(row.number, cells)
