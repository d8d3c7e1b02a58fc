"""Spreadsheets for the views In and Out: folders; previewing, trying and reading a file; writing files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from inventory.errors import Refused
from inventory.reference.data import reference_of
from inventory.sheets.actions import take_in, try_sheets
from inventory.sheets.columns.catalogue import SHEETS
from inventory.sheets.columns.header_match import KEPT, Heading, doubtful_between
from inventory.sheets.columns.layout import Answers, SheetLayout
from inventory.sheets.plan.rows import PlanRow
from inventory.sheets.preview import Preview, column_named, preview
from inventory.sheets.progress import OnProgress
from inventory.sheets.report import Report
from inventory.sheets.writers.sheets import write_sheets
from inventory.sheets.writers.template import write_template
from inventory.store.record import Record
from inventory.store.systems import why_not

__all__ = [
    "KEPT",
    "Entry",
    "HeadLine",
    "Preview",
    "Report",
    "RowLine",
    "column_of",
    "detail_of",
    "entries_of",
    "head_lines",
    "needed",
    "previewed",
    "read_file",
    "rejects_for",
    "row_lines",
    "try_file",
    "wants_currency",
    "with_choice",
    "with_column",
    "write_file",
]

_SUFFIXES = {".xlsx", ".xlsm", ".xls", ".ods", ".csv", ".tsv", ".txt", ".json"}
_EXAMPLES = 3
#: What the user can choose for a whole file if its cells are ambiguous, by the code of the problem.
_CHOICES: dict[str, tuple[str, ...]] = {
    "day-or-month": ("day first", "month first"),
    "thousand-or-decimal": ("decimal comma", "decimal point"),
    "day-number": ("days counted from 1900", "days counted from 1904"),
}
_CURRENCY = "amount-without-currency"
_ORDER = {"refused": 0, "changed": 1, "added": 2, "unchanged": 3}


@dataclass(frozen=True)
class Entry:
    """A folder, or a file that may be a spreadsheet."""

    name: str
    path: Path
    folder: bool


@dataclass(frozen=True)
class HeadLine:
    """A header of the file: its column (None: kept as it is), the similarity (0 to 100), other columns, examples."""

    header: str
    column: str | None
    score: int
    may_be: tuple[str, ...]
    examples: str
    sheet: str


@dataclass(frozen=True)
class RowLine:
    """A row of the file and its verdict; without a row, a remark for the user."""

    verdict: str
    says: str
    row: PlanRow | None = None


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


def previewed(record: Record, path: Path, said: Answers) -> Preview:
    """Preview a file with the answers given so far."""
    return preview(record, path, said)


def with_column(said: Answers, header: str, column: str) -> Answers:
    """The answers, with a column (or "keep") for a header."""
    return replace(said, columns={**said.columns, header: column})


def column_of(text: str) -> str:
    """The column that the user named. Raises `Misused` with the nearest columns if there is none."""
    return column_named(text)


def head_lines(seen: Preview) -> tuple[HeadLine, ...]:
    """All headers of a file, doubtful ones first."""
    lines = [_head_line(sheet, place, each) for sheet in seen.sheets for place, each in enumerate(sheet.headings)]
    return tuple(sorted(lines, key=lambda line: not line.may_be))


def _head_line(sheet: SheetLayout, place: int, heading: Heading) -> HeadLine:
    cells = dict.fromkeys(row.cells[place] for row in sheet.rows[:200] if place < len(row.cells) and row.cells[place])
    may_be = doubtful_between(heading) if heading.doubt else ()
    return HeadLine(
        heading.header, heading.column, heading.score, may_be, "; ".join(list(cells)[:_EXAMPLES]), sheet.name
    )


def try_file(record: Record, seen: Preview, on_progress: OnProgress) -> Report:
    """What the file would change in the record. Writes nothing."""
    return try_sheets(record, seen, on_progress=on_progress)


def read_file(
    record: Record, seen: Preview, by: str, rejects: Path | None, keep: bool, on_progress: OnProgress
) -> Report:
    """Read the file into the record; put refused rows into the workbook `rejects`."""
    return take_in(record, seen, by, rejects=rejects, keep_answers=keep, on_progress=on_progress)


def rejects_for(path: Path) -> Path:
    """The path for the refused rows of a file: beside it, under a free name."""
    place, count = path.with_name(f"{path.stem} to correct.xlsx"), 2
    while place.exists():
        place, count = path.with_name(f"{path.stem} to correct {count}.xlsx"), count + 1
    return place


def row_lines(report: Report) -> tuple[RowLine, ...]:
    """Remarks first; then refused, changed, new and unchanged rows."""
    rows = sorted(report.rows, key=lambda row: _ORDER[row.verdict])
    return (*(RowLine("look", says) for says in report.to_look_at), *map(_row_line, rows))


def _row_line(row: PlanRow) -> RowLine:
    where = f"{row.sheet.name} {row.row.number}"
    if row.verdict == "refused":
        first = row.problems[0]
        value = f' "{first.value}"' if first.value else ""
        return RowLine("refused", f"{where}  {first.column}{value}: {first.problem}", row)
    return RowLine(row.verdict, f"{where}  {row.what}", row)


def detail_of(line: RowLine) -> tuple[str, ...]:
    """What is wrong in a row and what to do; or its changes, old and new."""
    if line.row is None:
        return (line.says,)
    if line.verdict == "refused":
        return tuple(
            f"{each.column} {each.value!r}: {each.problem}" + (f" ({each.hint})" if each.hint else "")
            for each in line.row.problems
        )
    return tuple(f"{each.column}: {each.old or '(empty)'} -> {each.new}" for each in line.row.changes)


def needed(report: Report) -> tuple[str, ...]:
    """What the user can choose for the file so that its rows can be read."""
    codes = {each.code for each in report.problems}
    return tuple(choice for code, choices in _CHOICES.items() if code in codes for choice in choices)


def wants_currency(report: Report) -> bool:
    """Whether some amounts have no currency."""
    return any(each.code == _CURRENCY for each in report.problems)


def with_choice(said: Answers, choice: str) -> Answers:
    """The answers, with the chosen format of days or figures."""
    formats: Mapping[str, dict[str, object]] = {
        "day first": {"dates": "day-first"},
        "month first": {"dates": "month-first"},
        "decimal comma": {"decimal": "comma"},
        "decimal point": {"decimal": "point"},
        "days counted from 1900": {"counts_from": 1900},
        "days counted from 1904": {"counts_from": 1904},
    }
    return replace(said, cell_format=replace(said.cell_format, **formats[choice]))  # type: ignore[arg-type]


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
