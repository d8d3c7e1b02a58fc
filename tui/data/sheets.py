"""What the views In and Out ask of spreadsheets: folders, a file looked at, tried and read in, files written."""

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

__all__ = [
    "KEPT",
    "Entry",
    "HeadLine",
    "Preview",
    "Report",
    "RowLine",
    "chosen_for_file",
    "detail_of",
    "entries_of",
    "head_lines",
    "looked",
    "named",
    "needed",
    "rejects_for",
    "row_lines",
    "said_of",
    "taken",
    "tried",
    "wants_currency",
    "written",
]

_SUFFIXES = {".xlsx", ".xlsm", ".xls", ".ods", ".csv", ".tsv", ".txt", ".json"}
_EXAMPLES = 3
#: What can be chosen for a file where a cell alone does not say, by the code of the problem.
_CHOICES: dict[str, tuple[str, ...]] = {
    "day-or-month": ("day first", "month first"),
    "thousand-or-decimal": ("decimal comma", "decimal point"),
    "day-number": ("days counted from 1900", "days counted from 1904"),
}
_CURRENCY = "amount-without-currency"
_ORDER = {"refused": 0, "changed": 1, "added": 2, "unchanged": 3}


@dataclass(frozen=True)
class Entry:
    """A folder or a file that may be a sheet."""

    name: str
    path: Path
    folder: bool


@dataclass(frozen=True)
class HeadLine:
    """A header of the file: the column it was taken for (None: kept), how near, what else it could be, examples."""

    header: str
    column: str | None
    score: int
    may_be: tuple[str, ...]
    examples: str
    sheet: str


@dataclass(frozen=True)
class RowLine:
    """A row of the file and what becomes of it; without a row, something that wants a look."""

    verdict: str
    says: str
    row: PlanRow | None = None


def entries_of(folder: Path) -> tuple[Entry, ...]:
    """What lies in a folder: the way up, folders, then files that may be sheets; hidden ones are left out."""
    try:
        inside = sorted(folder.iterdir(), key=lambda path: path.name.casefold())
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise Refused("folder-not-readable", f"{folder} cannot be opened: {why}") from None
    seen = [path for path in inside if not path.name.startswith(".")]
    files = [Entry(path.name, path, False) for path in seen if path.suffix.casefold() in _SUFFIXES and path.is_file()]
    folders = [Entry(f"{path.name}/", path, True) for path in seen if path.is_dir()]
    up = [Entry("../", folder.parent, True)] if folder.parent != folder else []
    return (*files, *up, *folders)


def looked(record: Record, path: Path, said: Answers) -> Preview:
    """A file laid out under the answers given so far."""
    return preview(record, path, said)


def said_of(said: Answers, header: str, column: str) -> Answers:
    """The answers, with a header given to a column (or kept as it is)."""
    return replace(said, columns={**said.columns, header: column})


def named(text: str) -> str:
    """The column that typed words name; refused, with the near ones, where there is none."""
    return column_named(text)


def head_lines(seen: Preview) -> tuple[HeadLine, ...]:
    """Every header of a file: those in doubt first."""
    lines = [_head_line(sheet, place, each) for sheet in seen.sheets for place, each in enumerate(sheet.headings)]
    return tuple(sorted(lines, key=lambda line: not line.may_be))


def _head_line(sheet: SheetLayout, place: int, heading: Heading) -> HeadLine:
    cells = dict.fromkeys(row.cells[place] for row in sheet.rows[:200] if place < len(row.cells) and row.cells[place])
    may_be = doubtful_between(heading) if heading.doubt else ()
    return HeadLine(
        heading.header, heading.column, heading.score, may_be, "; ".join(list(cells)[:_EXAMPLES]), sheet.name
    )


def tried(record: Record, seen: Preview, on_progress: OnProgress) -> Report:
    """What the file would do to the record."""
    return try_sheets(record, seen, on_progress=on_progress)


def taken(record: Record, seen: Preview, by: str, rejects: Path | None, keep: bool, on_progress: OnProgress) -> Report:
    """The file read in, refused rows into a workbook of their own."""
    return take_in(record, seen, by, rejects=rejects, keep_answers=keep, on_progress=on_progress)


def rejects_for(path: Path) -> Path:
    """Where the refused rows of a file go: beside it, under a name that is free."""
    place, count = path.with_name(f"{path.stem} to mend.xlsx"), 2
    while place.exists():
        place, count = path.with_name(f"{path.stem} to mend {count}.xlsx"), count + 1
    return place


def row_lines(report: Report) -> tuple[RowLine, ...]:
    """What wants a look; then rows that cannot be taken, that change something, that are new; last the others."""
    rows = sorted(report.rows, key=lambda row: _ORDER[row.verdict])
    return (*(RowLine("look", each.says) for each in report.duplicates), *map(_row_line, rows))


def _row_line(row: PlanRow) -> RowLine:
    where = f"{row.sheet.name} {row.row.number}"
    if row.verdict == "refused":
        first = row.problems[0]
        value = f' "{first.value}"' if first.value else ""
        return RowLine("refused", f"{where}  {first.column}{value}: {first.problem}", row)
    return RowLine(row.verdict, f"{where}  {row.what}", row)


def detail_of(line: RowLine) -> tuple[str, ...]:
    """What is wrong in a row and what to do; or what changes in it, old and new."""
    if line.row is None:
        return (line.says,)
    if line.verdict == "refused":
        return tuple(
            f"{each.column} {each.value!r}: {each.problem}" + (f" ({each.hint})" if each.hint else "")
            for each in line.row.problems
        )
    return tuple(f"{each.column}: {each.old or '(empty)'} -> {each.new}" for each in line.row.changes)


def needed(report: Report) -> tuple[str, ...]:
    """What can be chosen for the file so that rows are no longer refused."""
    codes = {each.code for each in report.problems}
    return tuple(choice for code, choices in _CHOICES.items() if code in codes for choice in choices)


def wants_currency(report: Report) -> bool:
    """Whether amounts name no currency."""
    return any(each.code == _CURRENCY for each in report.problems)


def chosen_for_file(said: Answers, choice: str) -> Answers:
    """The answers, with how days or figures are written in the file."""
    formats: Mapping[str, dict[str, object]] = {
        "day first": {"dates": "day-first"},
        "month first": {"dates": "month-first"},
        "decimal comma": {"decimal": "comma"},
        "decimal point": {"decimal": "point"},
        "days counted from 1900": {"counts_from": 1900},
        "days counted from 1904": {"counts_from": 1904},
    }
    return replace(said, cell_format=replace(said.cell_format, **formats[choice]))  # type: ignore[arg-type]


def written(record: Record, what: str, path: Path, over: bool) -> str:
    """Write a file, and say what is in it."""
    if what == "template":
        with record.read() as session:
            reference = reference_of(session)
        write_template(path, reference, over=over)
        return f"Written: {path}, an empty workbook to fill in."
    sheet = what if what in {each.name for each in SHEETS} else None
    done = write_sheets(record, path, sheet=sheet, over=over)
    rows = ", ".join(f"{count:,} {name}" for name, count in done.rows.items() if count) or "no rows"
    left = ", ".join(f"{count:,} {name}" for name, count in done.left_out.items()) if sheet is None else ""
    return f"Written: {path} ({rows})." + (f" Not in it: {left}." if left else "")
