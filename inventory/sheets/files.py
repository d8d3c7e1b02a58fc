"""Reading a file into tables of text, whatever program wrote it. What the text means is decided elsewhere."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from inventory.errors import Refused

__all__ = ["FORMULA_START", "Table", "read_tables", "without_apostrophe"]

#: A text that begins so may start a formula in a spreadsheet program (OWASP, CSV injection; full-width signs included).
FORMULA_START = re.compile("'*[=+\\-@\t\r\n\0＝＋－＠]")
_ESCAPED = re.compile("'+[=+\\-@\t\r\n\0＝＋－＠]")
_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_SEPARATORS = ",;\t|"
_SAMPLE = 65_536
#: The most cells a sheet may span: far above any workshop's, far below what would fill the memory.
_MOST_CELLS = 40_000_000


@dataclass(frozen=True)
class Table:
    """One sheet: its name ("" in a csv), and its rows as text with the numbers that a spreadsheet shows beside them."""

    name: str
    rows: list[tuple[int, list[str]]]
    hidden: bool = False


def read_tables(path: Path) -> list[Table]:
    """The sheets of a file; refused, with one sentence, where it is no spreadsheet."""
    try:
        with path.open("rb") as file:
            start = file.read(4)
            held = b"" if start in (_ZIP, _OLE) else start + file.read()
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise Refused("file-not-readable", f"{path} cannot be read: {why}. Nothing was changed") from None
    return _workbook(path) if start in (_ZIP, _OLE) else [_csv(path, held)]


def _no_sheet(path: Path, why: str) -> Refused:
    return Refused(
        "not-a-spreadsheet",
        f"{path} cannot be read as a spreadsheet: {why}. Nothing was changed",
        hint="save it as xlsx or as csv, and read that",
    )


def _workbook(path: Path) -> list[Table]:
    import python_calamine as calamine  # about 10 ms, needed only where a workbook is read

    try:
        book = calamine.load_workbook(str(path))
        shown = {each.name: each.visible == calamine.SheetVisibleEnum.Visible for each in book.sheets_metadata}
        return [_sheet(path, book.get_sheet_by_name(name), not shown[name]) for name in book.sheet_names]
    except calamine.PasswordError:
        raise _no_sheet(path, "it is locked with a password") from None
    except (calamine.CalamineError, OSError, ValueError):
        raise _no_sheet(path, "it is damaged or of another kind") from None


def _sheet(path: Path, sheet: Any, hidden: bool) -> Table:
    end = sheet.end
    if end is None:
        return Table(sheet.name, [], hidden)
    if (end[0] + 1) * (end[1] + 1) > _MOST_CELLS:
        raise _no_sheet(path, f'the sheet "{sheet.name}" claims {end[0] + 1} rows of {end[1] + 1} columns')
    first = sheet.start[0]
    rows = sheet.to_python(skip_empty_area=False)[first:]
    return Table(
        sheet.name, [(first + place, [_text(cell) for cell in row]) for place, row in enumerate(rows, 1)], hidden
    )


def _text(cell: object) -> str:
    """A cell as a person reads it: whole numbers without a point, days without an hour of nought."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return f"{cell:.0f}" if cell.is_integer() else format(cell, ".15g")
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time(0) else cell.isoformat(" ")
    return cell.isoformat() if isinstance(cell, date | time) else str(cell)


def _csv(path: Path, held: bytes) -> Table:
    text = _decoded(path, held)
    try:
        records = list(csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text)))
    except csv.Error as problem:
        raise _no_sheet(path, str(problem)) from None
    return Table("", [(row, [without_apostrophe(cell) for cell in cells]) for row, cells in enumerate(records, 1)])


def _decoded(path: Path, held: bytes) -> str:
    """The text of a csv: UTF-16 where it is marked so, UTF-8 where it is that, else Windows-1252."""
    try:
        if held.startswith((b"\xff\xfe", b"\xfe\xff")):
            return held.decode("utf-16")
        if b"\0" in held[:_SAMPLE]:
            raise _no_sheet(path, "it holds no text")
        try:
            return held.decode("utf-8-sig")
        except UnicodeDecodeError:
            return held.decode("cp1252")
    except UnicodeDecodeError:
        raise _no_sheet(path, "its characters are in no encoding that is known here") from None


def _separator(text: str) -> str:
    """The separator under which most rows have the same number of cells, more than one."""

    def regular(separator: str) -> tuple[int, int]:
        widths = Counter(_widths(text[:_SAMPLE], separator))
        width, count = max(widths.items(), key=lambda each: (each[1], each[0]), default=(0, 0))
        return count, width

    return max(_SEPARATORS, key=regular)


def _widths(sample: str, separator: str) -> Iterator[int]:
    try:
        for cells in csv.reader(io.StringIO(sample, newline=""), delimiter=separator):
            if len(cells) > 1:
                yield len(cells)
    except csv.Error:
        return


def without_apostrophe(cell: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet program from taking it for a formula."""
    return cell[1:] if _ESCAPED.match(cell) else cell
