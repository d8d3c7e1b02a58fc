"""What every reader of files gives: tables of text. And the sentences for what cannot be read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path

from inventory.errors import Refused
from inventory.sheets.ways import Figure

__all__ = [
    "FALSE_DAY",
    "MOST_KEPT",
    "Merged",
    "Once",
    "Table",
    "cut_short",
    "no_sheet",
    "remarks",
    "text_of_number",
    "text_of_time",
]

#: A day that spreadsheet programs count and no calendar has: number 60 of those that count from 1900.
FALSE_DAY = "1900-02-29"
#: From here on a number in a spreadsheet has more digits than are kept of it (15; Microsoft, "Excel specifications").
_ALL_DIGITS = 1e15
#: Texts that are remembered while a sheet is read.
MOST_KEPT = 50_000


@dataclass(frozen=True)
class Merged:
    """Cells joined into one: rows as a spreadsheet shows them (from 1), columns from 0, both ends included."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int


@dataclass(frozen=True)
class Table:
    """One sheet: its name ("" in a csv), and its rows as text with the numbers that a spreadsheet shows beside them.

    Rows in which nothing stands are left out.

    `counts_from` is the year from which the workbook counts days (1900 or 1904), None where nothing says.
    `remarks` tell what was noticed while reading, in whole sentences without the full stop.
    """

    name: str
    rows: list[tuple[int, list[str]]]
    hidden: bool = False
    counts_from: int | None = None
    merged: tuple[Merged, ...] = ()
    remarks: tuple[str, ...] = ()


class Once(dict[str, str]):
    """Texts of which each is kept once, some thousands at a time: sheets repeat themselves."""

    def __missing__(self, text: str) -> str:
        if len(self) >= MOST_KEPT:
            self.clear()
        self[text] = text
        return text


def no_sheet(path: Path, why: str, hint: str = "save it as xlsx or as csv, and read that") -> Refused:
    """That a file cannot be read, and why, in one sentence."""
    return Refused(
        "not-a-spreadsheet", f"{path} cannot be read as a spreadsheet: {why}. Nothing was changed", hint=hint
    )


def text_of_number(number: float) -> str:
    """A number as a person reads it: whole ones without a point, no more than 15 digits that count."""
    if number.is_integer():
        if abs(number) < _ALL_DIGITS:
            return f"{number:.0f}"
        digits, _, zeros = f"{number:.14e}".partition("e+")
        return digits.replace(".", "") + "0" * (int(zeros) - 14)
    return Figure(format(number, ".15g"))


def text_of_time(cell: date | time) -> str:
    """A day or a time as a person reads it: days without an hour of nought."""
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time(0) else cell.isoformat(" ")
    return cell.isoformat()


def cut_short(cells: list[str]) -> list[str]:
    """A row without the empty cells at its end."""
    end = len(cells)
    while end and not cells[end - 1]:
        end -= 1
    return cells if end == len(cells) else cells[:end]


def remarks(*, links: bool = False, macros: bool = False, unworked: int = 0, wrong: int = 0) -> tuple[str, ...]:
    """What a person should know of how a file was read.

    `links`: its formulas look into other files. `unworked`: formulas that have no value. `wrong`: cells that show an
    error of the spreadsheet program.
    """
    said = []
    if links:
        said.append("Some formulas look into other files: the values last seen were read, those files were not opened")
    if macros:
        said.append("The file holds macros: they were not run")
    if unworked:
        formulas = "1 formula has" if unworked == 1 else f"{unworked} formulas have"
        said.append(f"{formulas} no value yet and read as empty: open the file in its own program and save it once")
    if wrong:
        cells = "1 cell shows" if wrong == 1 else f"{wrong} cells show"
        said.append(f"{cells} that a formula did not work out (as #DIV/0!) and read as empty")
    return tuple(said)
