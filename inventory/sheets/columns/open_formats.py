"""What days and amounts leave open for a file or a column: the century of a year, whose dollar a sign means. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import cast

from inventory.sheets.columns.catalogue import words
from inventory.sheets.columns.cell_format import CellFormat, Dates, Decimal, century_open, shared_sign
from inventory.sheets.columns.layout import Answers, SheetLayout
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.store.days.clock import today

__all__ = ["with_formats_said", "with_signs"]

_KEEP = Choice("text", "keep as text")
#: How many currencies are offered for a sign.
_FEW = 4
_CENTURIES = (
    Choice("20", "2000 and later; years after this one are of the last century"),
    Choice("19", "1900 to 1999"),
    _KEEP,
)


def with_formats_said(answers: Answers) -> Answers:
    """The answers, with what was answered about the whole file among its formats; an option goes before an answer."""
    said, given = answers.said, answers.cell_format
    numbers = said.get("day numbers")
    known = CellFormat(
        given.dates or cast("Dates | None", _one_of(said.get("dates"), "day-first", "month-first")),
        given.decimal or cast("Decimal | None", _one_of(said.get("decimal"), "comma", "point")),
        given.counts_from or (int(numbers) if numbers in ("1900", "1904") else None),
        given.century or _one_of(said.get("century"), "19", "20"),
    )
    currency = said.get("currency", "").strip().upper()
    return replace(answers, cell_format=known, currency=answers.currency or (currency if len(currency) == 3 else None))


def _one_of(answer: str | None, *words: str) -> str | None:
    return answer if answer in words else None


def with_signs(sheets: Sequence[SheetLayout], answers: Answers) -> tuple[list[SheetLayout], list[SheetQuestion]]:
    """The tables, whose amounts know what was answered about a bare sign; and what is still to be asked of the file."""
    said = {sign: answers.said.get(key_of("currency", sign), "").strip().upper() for sign in words("shared_signs")}
    found: list[SheetLayout] = []
    signs: dict[str, list[tuple[str, int]]] = {}
    years: dict[tuple[str, int], str] = {}
    for sheet in sheets:
        formats = dict(sheet.formats)
        for place, heading in enumerate(sheet.headings):
            column = heading.column or ""
            if column in sheet.kind.amounts:
                meant = tuple(filter(None, (*said.values(), answers.currency)))
                formats[column] = replace(sheet.cell_format(column), currencies=meant)
                for number, sign in _bare(sheet, place, answers.currency):
                    signs.setdefault(sign, []).append((sheet.name, number))
            elif column in sheet.kind.days:
                open_ones = {text for text in _texts(sheet, place) if century_open(text, today().year)}
                for row in sheet.rows if open_ones else ():
                    if place < len(row.cells) and row.cells[place] in open_ones:
                        years.setdefault((sheet.name, row.number), row.cells[place])
        found.append(replace(sheet, formats=formats))
    return found, [*_signs_asked(signs), *_century(years)]


def _texts(sheet: SheetLayout, place: int) -> set[str]:
    return {row.cells[place] for row in sheet.rows if place < len(row.cells)}


def _bare(sheet: SheetLayout, place: int, currency: str | None) -> Iterator[tuple[int, str]]:
    """The rows whose amount has a sign of several currencies and nothing that says which: their numbers and signs.

    The sign may stand in the header.
    """
    column = sheet.headings[place].column or ""
    header = sheet.header_currency(column) or ""
    over = header if header in words("shared_signs") else ""
    signs = {text: shared for text in _texts(sheet, place) if (shared := shared_sign(text) or _under(over, text))}
    named = "" if over else header
    beside = sheet.kind.amounts.get(column, "")
    for row in sheet.rows if signs else ():
        if place < len(row.cells) and (sign := signs.get(row.cells[place])):
            values = sheet.values(row.cells)
            given = values.get(beside) or named or values.get("currency") or currency
            if given not in words("shared_signs")[sign]:
                yield row.number, sign


def _under(sign: str, text: str) -> str:
    """The sign of a header for a bare number under it."""
    return sign if any(map(str.isdigit, text)) and not re.search(r"[^\W\d_]|[€£]", text) else ""


def _signs_asked(signs: Mapping[str, Sequence[tuple[str, int]]]) -> Iterator[SheetQuestion]:
    for sign, rows in signs.items():
        choices = (*(Choice(code, code) for code in words("shared_signs")[sign][:_FEW]), _KEEP)
        says, every = f"amounts with the sign {sign}", tuple(dict.fromkeys(rows))
        yield SheetQuestion(key_of("currency", sign), says, choices, every, _KEEP.key, "value currency")


def _century(years: Mapping[tuple[str, int], str]) -> Iterator[SheetQuestion]:
    if years:
        says = f'years of two figures, as in "{next(iter(years.values()))}"'
        yield SheetQuestion("century", says, _CENTURIES, tuple(years), _KEEP.key)
