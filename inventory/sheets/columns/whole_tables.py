"""What is asked about a whole table: what an unknown one is, which kind its parts are, up to which day it was kept."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cache

from inventory.errors import Refused
from inventory.sheets.columns.catalogue import PARTS, header_key, words
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.cells import day_of
from inventory.sheets.columns.header_match import read_headings, recognised
from inventory.sheets.columns.header_rows import HeaderRows
from inventory.sheets.columns.heads import first_unknown, is_lone
from inventory.sheets.columns.kind_words import kind_named
from inventory.sheets.columns.questions import Choice, SheetQuestion, answered, key_of
from inventory.sheets.columns.sheet_layout import SheetLayout
from inventory.sheets.columns.tables_in import Block
from inventory.sheets.columns.titles import fill
from inventory.sheets.readers.tables import Row

__all__ = [
    "HIDDEN",
    "LEFT_OUT",
    "READ",
    "hidden_tabs",
    "older_left_out",
    "says_what",
    "unknown_table",
    "with_day",
    "with_kind",
]

#: Answers about a table.
LEFT_OUT, READ = "left out", "read"
#: The key of the question about hidden tabs.
HIDDEN = "hidden"
#: A further table of parts says of single parts what they are by one of these; a price list has none of them.
_OF_ONE_PART = frozenset({"tag", "serial", "place", "condition", "match code", "car", "position", "seal state"})
_SHOWN, _LONGEST_TITLE = 3, 60


def hidden_tabs(names: Sequence[str]) -> SheetQuestion:
    """The question whether hidden tabs are read too, where there are some beside others."""
    choices = (Choice(LEFT_OUT, "left out"), Choice(READ, "read too"))
    return SheetQuestion(HIDDEN, f"hidden tabs: {', '.join(names)}", choices, (), LEFT_OUT)


def says_what(head: HeaderRows, main: HeaderRows | None) -> bool:
    """Whether a further table is surely a list of parts, or another sheet that we know."""
    known = recognised(head.headings)
    return (
        head.kind is not PARTS
        or bool(known & _OF_ONE_PART)
        or (main is not None and known == recognised(main.headings))
    )


def unknown_table(tab: str, block: Block, head: HeaderRows | None) -> tuple[SheetQuestion, HeaderRows] | None:
    """The question what a table is that names no columns of ours (or too few), and its head; None if it has none."""
    rows = block.table.rows
    if head is None:
        place = first_unknown(rows) if block.head is None else _place_of(rows, block.head)
        if place is None:
            return None
        cells = rows[place].cells
        head = HeaderRows(PARTS, read_headings(cells, PARTS, {}), place + 1, (cells,))
    headers = ", ".join(cell for cell in head.lines[-1] if cell)
    below = rows[head.first :]
    question = SheetQuestion(
        key_of("table", headers),  # of a list that stands in each year's tab once, also in next year's
        f'what the table with the head "{headers}" is',
        (Choice(LEFT_OUT, "leave it out"), Choice(READ, "a list of parts: then name its headers")),
        tuple((tab, row.number) for row in below),
        LEFT_OUT,
        shown=tuple(" | ".join(filter(None, row.cells)) for row in below[:_SHOWN]),
    )
    return question, head


def _place_of(rows: Sequence[Row], number: int) -> int:
    return next(place for place, row in enumerate(rows) if row.number == number)


def with_kind(sheet: SheetLayout, said: Mapping[str, str]) -> tuple[SheetLayout, list[SheetQuestion]]:
    """A table of parts in which no column says what they are, with the kind that the user names for all of them."""
    known = {*sheet.columns, *(each.doubt for each in sheet.headings)}
    if sheet.kind is not PARTS or {"kind", "tag"} & known or not sheet.rows:
        return sheet, []
    lone = [next(filter(None, line)) for line in sheet.titles if is_lone(line)]
    named = list(dict.fromkeys(filter(None, map(kind_named, (*reversed(lone), sheet.name)))))
    question = SheetQuestion(
        key_of("kind", sheet.name, *lone[-1:]) if lone and kind_named(lone[-1]) else key_of("kind", sheet.name),
        f"what all parts of {sheet.name} are, as no column says it",
        tuple(Choice(each, each) for each in (*named, "other")),
        tuple((sheet.name, row.number) for row in sheet.rows),
        "other",
        "kind",
    )
    kind = said.get(question.key)
    return fill(sheet, "kind", {row.number: kind for row in sheet.rows}) if kind else sheet, [question]


def with_day(
    sheet: SheetLayout, said: Mapping[str, str], written: CellFormat, today: date
) -> tuple[SheetLayout, list[SheetQuestion], list[str]]:
    """A table with the day up to which it was kept, if its title or tab names one: "Stand 3/2021", "2019".

    A title is changed with each version of a list, so its day is taken and told; an answer would hold for the next one.
    """
    titles = (cell for line in reversed(sheet.titles) for cell in line if cell)
    for text in titles:
        if day := _day_in(text, written, today):
            says = f'{sheet.name}: kept up to {day}, as "{text}" says; if it is another day: --on'
            return replace(sheet, kept_up_to=day), [], [says]
    day = _day_in(sheet.name, written, today)
    if not day:
        return sheet, [], []
    question = SheetQuestion(
        key_of("day", sheet.name),
        f"up to which day {sheet.name} was kept",
        (Choice(day, day), Choice("nothing", "not known")),
        tuple((sheet.name, row.number) for row in sheet.rows),
        day,
        "text",
    )
    answer = answered(said, question)
    kept = "" if answer == "nothing" else day_of(answer, today, written).edtf
    return replace(sheet, kept_up_to=kept), [question], []


def older_left_out(
    sheets: Sequence[SheetLayout], questions: Sequence[SheetQuestion], said: Mapping[str, str]
) -> tuple[list[SheetLayout], list[SheetQuestion]]:
    """The tables without the older ones of a list that was kept on in another tab, and what is asked.

    Tabs are versions of one list if they have the same head, mostly the same numbers, and were kept up to other days.
    Read together they would make one part of several rows, or several of one; so the newest counts unless somebody says
    otherwise: what is only in an older one is not here any more.
    """
    newest: dict[frozenset[str], SheetLayout] = {}
    for sheet in sheets:
        head = _head_of(sheet)
        if sheet.kind is PARTS and sheet.kept_up_to and sheet.kept_up_to > newest.get(head, _NEVER).kept_up_to:
            newest[head] = sheet
    asked: dict[str, SheetQuestion] = {}
    for sheet in sheets:
        last = newest.get(_head_of(sheet), _NEVER)
        if "" < sheet.kept_up_to < last.kept_up_to and sheet.name != last.name and _same_numbers(sheet, last):
            asked[sheet.name] = SheetQuestion(
                key_of("tab", sheet.name),
                f"the tab {sheet.name}, an older version of {last.name}",
                (Choice(LEFT_OUT, "leave it out"), Choice(READ, "read it too")),
                tuple((sheet.name, row.number) for row in sheet.rows),
                LEFT_OUT,
            )
    out = {name for name, question in asked.items() if answered(said, question) == LEFT_OUT}
    kept = [each for each in questions if not each.rows or not {name for name, _ in each.rows} <= out]
    return [each for each in sheets if each.name not in out], [*kept, *asked.values()]


_NEVER = SheetLayout(PARTS, "", [], [])


def _head_of(sheet: SheetLayout) -> frozenset[str]:
    return frozenset(header_key(each.header) for each in sheet.headings if not each.given)


def _same_numbers(one: SheetLayout, other: SheetLayout) -> bool:
    """Whether at least half of the numbers in a table are in another one as well."""
    numbers, others = (
        {tuple(sheet.values(row.cells).get(column, "") for column in _NUMBERS) for row in sheet.rows}
        for sheet in (one, other)
    )
    return 2 * len(numbers & others) >= len(numbers) > 0


_NUMBERS = ("tag", "part number", "serial")
_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_SHORT_DAY = re.compile(r"\d{1,2}([./-])\d{1,2}\1\d\d")


def _day_in(text: str, written: CellFormat, today: date) -> str:
    """The day (EDTF) up to which a text says that a list was kept, as "My relays, updated 3/2021"; else "".

    It stands beside nothing but words for lists and days, or after the word that says so. Beside such a word a year of
    two figures leaves no century open: no spreadsheet is a hundred years old.
    """
    if len(text) > _LONGEST_TITLE:
        return ""
    every = text.split()
    after = max((place for place, word in enumerate(every, 1) if header_key(word) in _says_a_day()), default=0)
    rest = " ".join(word for word in every[after:] if header_key(word) not in _said_of_lists())
    if rest != text and _SHORT_DAY.fullmatch(rest):
        written = replace(written, century="20")
    elif not _YEAR.search(text):
        return ""
    try:
        return day_of(rest, today, written).edtf
    except Refused:
        return ""


@cache
def _said_of_lists() -> frozenset[str]:
    return frozenset(map(header_key, words("kept up to")))


@cache
def _says_a_day() -> frozenset[str]:
    return frozenset(map(header_key, words("kept up to what follows")))
