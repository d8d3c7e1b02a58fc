"""A sheet to be written, and what all writers share: what a cell may contain, widths, a file written whole."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import BinaryIO

from inventory.sheets.readers.cell_text import FORMULA_START
from inventory.store.files import whole_file

__all__ = ["Cell", "Page", "safe_in_csv", "save", "widths", "without_controls"]

#: Control characters, and the two code points that are no characters in XML 1.0.
_CONTROLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]")
_WIDEST = 48
_MEASURED = 1000
#: The length of a day as it is written, 2026-03-31.
_DAY = 10
Cell = str | Decimal | date | None


@dataclass(frozen=True)
class Page:
    """A sheet to be written: its name, its headers, its rows, and by column the range of a list to choose from.

    `above`: rows above the header. `marked`: cells to highlight, as (index of the row, index in it). `notes`: comments
    on headers. `prose`: the sheet is for reading, so long texts are wrapped.
    """

    name: str
    headers: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    choices: Mapping[str, str] | None = None
    above: Sequence[Sequence[str]] = ()
    marked: Collection[tuple[int, int]] = ()
    notes: Mapping[str, str] | None = None
    prose: bool = False


def without_controls(text: str) -> str:
    """Text without control characters and without code points that are no characters in XML 1.0."""
    return _CONTROLS.sub("", text)


def widths(headers: Sequence[str], rows: Sequence[Sequence[Cell]], widest: int = _WIDEST) -> list[int]:
    """The widths of the columns of a sheet in characters, by its header and first thousand rows.

    In a sheet without rows there is room for a day in every column: a spreadsheet shows #### where there is not.
    """
    widths = [len(text) if rows else max(len(text), _DAY) for text in headers]
    for row in rows[:_MEASURED]:
        for place, value in enumerate(row):
            if value is not None:
                widths[place] = max(widths[place], len(str(value)))
    return [min(width + 2, widest) for width in widths]


def safe_in_csv(text: str) -> str:
    """Text for a csv: an apostrophe is put before what would start a formula, and taken off again by the reader."""
    return f"'{text}" if FORMULA_START.match(text) else text


def save(path: Path, write: Callable[[BinaryIO], object], *, overwrite: bool = False) -> None:
    """Write a file whole or not at all; an existing file is replaced only with `overwrite`."""
    with whole_file(path, overwrite=overwrite) as part, part.open("wb") as file:
        write(file)
