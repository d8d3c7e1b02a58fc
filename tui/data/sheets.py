"""Files for the views In and Out: folders, the workbook of rows to correct, writing a file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Refused
from inventory.reference.data import reference_of
from inventory.sheets.columns.catalogue import SHEETS
from inventory.sheets.writers.sheets import write_sheets
from inventory.sheets.writers.template import write_template
from inventory.store.record import Record
from inventory.store.systems import why_not

__all__ = ["Entry", "entries_of", "rejects_for", "write_file"]

_SUFFIXES = {".xlsx", ".xlsm", ".xls", ".ods", ".csv", ".tsv", ".txt", ".json"}


@dataclass(frozen=True)
class Entry:
    """A folder, or a file that may be a spreadsheet."""

    name: str
    path: Path
    folder: bool


def entries_of(folder: Path) -> tuple[Entry, ...]:
    """The contents of a folder: files that may be spreadsheets, the parent, folders; hidden ones are left out."""
    try:
        inside = sorted(folder.iterdir(), key=lambda path: path.name.casefold())
    except OSError as problem:
        raise Refused("folder-not-readable", f"{folder} cannot be opened: {why_not(problem)}") from None
    seen = [path for path in inside if not path.name.startswith(".")]
    files = [Entry(path.name, path, False) for path in seen if path.suffix.casefold() in _SUFFIXES and path.is_file()]
    folders = [Entry(f"{path.name}/", path, True) for path in seen if path.is_dir()]
    up = [Entry("../", folder.parent, True)] if folder.parent != folder else []
    return (*files, *up, *folders)


def rejects_for(path: Path) -> Path:
    """The path for the refused rows of a file: beside it, under a free name."""
    place, count = path.with_name(f"{path.stem} to correct.xlsx"), 2
    while place.exists():
        place, count = path.with_name(f"{path.stem} to correct {count}.xlsx"), count + 1
    return place


def write_file(record: Record, what: str, path: Path, overwrite: bool) -> str:
    """Write a file; return a sentence that says what is in it."""
    if what == "template":
        with record.read() as session:
            reference = reference_of(session)
        write_template(path, reference, overwrite=overwrite)
        return f"Written: {path}, an empty workbook to fill in."
    sheet = what if what in {each.name for each in SHEETS} else None
    done = write_sheets(record, path, sheet=sheet, overwrite=overwrite)
    rows = ", ".join(f"{count:,} {name}" for name, count in done.rows.items() if count) or "no rows"
    left = ", ".join(f"{count:,} {name}" for name, count in done.left_out.items()) if sheet is None else ""
    return f"Written: {path} ({rows})." + (f" Not in it: {left}." if left else "")
