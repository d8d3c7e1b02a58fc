"""What every reader of files returns: tables of text. And the refusal for files that are no spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from inventory.errors import Refused

__all__ = ["FILTERED", "HIDDEN_ROWS", "SORTED", "Merged", "Row", "Table", "file_remarks", "not_a_spreadsheet"]

#: Why the rows of a sheet may stand otherwise than they were written (`Table.rearranged`).
FILTERED, HIDDEN_ROWS, SORTED = "it has a filter", "some of its rows are hidden", "it was sorted"


class Row(NamedTuple):
    """One row: its number as a spreadsheet shows it (from 1), and its cells without the empty ones at the end."""

    number: int
    cells: list[str]


@dataclass(frozen=True)
class Merged:
    """A merged range: rows as a spreadsheet shows them (from 1), columns from 0, both ends included."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int


@dataclass(frozen=True)
class Table:
    """One sheet: its name ("" in a csv) and its rows, empty rows left out.

    `counts_from`: the year from which the workbook counts days (1900 or 1904); None if the file does not say.
    `remarks`: what the user should know about how the file was read, whole sentences without the full stop. `looked`:
    some cells carry how they look (`looks.Looked`). `rearranged`: why its rows may stand otherwise than they were
    written, a clause as "it has a filter"; "" if nothing says so.
    """

    name: str
    rows: list[Row]
    hidden: bool = False
    counts_from: int | None = None
    merged: tuple[Merged, ...] = ()
    remarks: tuple[str, ...] = ()
    looked: bool = False
    rearranged: str = ""


def not_a_spreadsheet(path: Path, why: str, hint: str = "save it as xlsx or as csv, and read that") -> Refused:
    """The refusal for a file that cannot be read. `why` is a clause, as "it is a PDF"."""
    return Refused("not-a-spreadsheet", f"{path} cannot be read as a spreadsheet: {why}", hint=hint)


def file_remarks(
    *,
    links: bool = False,
    macros: bool = False,
    uncalculated: int = 0,
    errors: int = 0,
    without_value: Sequence[tuple[str, Sequence[str]]] = (),
) -> tuple[str, ...]:
    """What the user should know about how a file was read.

    `links`: some formulas refer to other files. `uncalculated`: the number of formulas without a value;
    `without_value`: the first of them by sheet. `errors`: the number of cells that show an error of the program.
    """
    remarks = []
    if links:
        remarks.append(
            "Some formulas refer to other files: their last saved values were read, those files were not opened"
        )
    if macros:
        remarks.append("The file contains macros: they were not run")
    if uncalculated:
        formulas = "1 formula has" if uncalculated == 1 else f"{uncalculated} formulas have"
        first = "; ".join(f"{sheet} {', '.join(cells)}" for sheet, cells in without_value if cells)
        where = f" ({first}{' and others' if uncalculated > sum(len(cells) for _, cells in without_value) else ''})"
        remarks.append(
            f"{formulas} no value yet and read as empty{where if first else ''}: open the file in its own program and "
            "save it once"
        )
    if errors:
        cells = "1 cell shows" if errors == 1 else f"{errors} cells show"
        remarks.append(f"{cells} an error (as #DIV/0!) and read as empty")
    return tuple(remarks)
