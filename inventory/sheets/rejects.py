"""The workbook of refused rows: the sheet's own columns, and one that says what is wrong."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from inventory.sheets.books import Page, write_book
from inventory.sheets.columns import WRONG, header_key
from inventory.sheets.layout import SheetIn
from inventory.sheets.plan import PlanRow

__all__ = ["write_rejects"]


def write_rejects(path: Path, refused: Sequence[PlanRow]) -> None:
    """Write refused rows so that they can be mended and read again."""
    by_sheet: dict[int, list[PlanRow]] = {}
    for row in refused:
        by_sheet.setdefault(id(row.sheet), []).append(row)
    write_book(path, [_page(rows[0].sheet, rows) for rows in by_sheet.values()])


def _page(sheet: SheetIn, rows: Sequence[PlanRow]) -> Page:
    kept = [place for place, each in enumerate(sheet.headings) if header_key(each.header) != header_key(WRONG)]
    beyond = max((len(row.row.cells) for row in rows), default=0)
    kept += range(len(sheet.headings), beyond)
    head = [sheet.headings[place].header if place < len(sheet.headings) else f"column {place + 1}" for place in kept]
    lines = [
        [row.row.cells[place] or None if place < len(row.row.cells) else None for place in kept] + [_wrong(row)]
        for row in rows
    ]
    return Page(sheet.name, [*head, WRONG], lines)


def _wrong(row: PlanRow) -> str:
    said = []
    for problem in row.problems:
        text = f"{problem.column}: {problem.problem}" if problem.column else problem.problem
        said.append(f"{text} ({problem.hint})" if problem.hint else text)
    return "; ".join(said)
