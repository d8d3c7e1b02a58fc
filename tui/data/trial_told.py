"""What a sheet's trial tells beside its questions: cells kept as text, rows that cannot go in, remarks, headers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.sheets.columns.catalogue import OURS, header_key
from inventory.sheets.columns.header_match import doubtful_between, numbered
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.questions import SheetQuestion
from inventory.sheets.plan.problems import Problem
from inventory.sheets.plan.rows import PlanRow
from inventory.sheets.preview import Preview
from inventory.sheets.report import Report
from tui.data.trial import Place, Trial, headings_of
from tui.words import many, short_day

__all__ = [
    "HeadLine",
    "Told",
    "head_lines",
    "in_full",
    "kept_as_text",
    "layout_says",
    "refused_groups",
    "said_for_people",
    "to_look_at",
    "touched",
]

_EXAMPLES = 3
_NAMED = 4


@dataclass(frozen=True)
class Told:
    """A line of the trial about some rows. `more`: what can be done, or the text in full."""

    says: str
    places: tuple[Place, ...] = ()
    more: tuple[str, ...] = ()


@dataclass(frozen=True)
class HeadLine:
    """A header of the file, the second of one name as "Number (2)", and what it stands for.

    `column` (None: kept as it is) and its similarity (0 to 100), other columns, examples of cells.
    """

    header: str
    column: str | None
    score: int
    may_be: tuple[str, ...]
    examples: str
    sheet: str


def head_lines(seen: Preview) -> tuple[HeadLine, ...]:
    """The headers of each sheet, with what they stand for."""
    return tuple(
        _head_line(sheet, place, name)
        for sheet in seen.sheets
        for place, name in enumerate(numbered([heading.header for heading in sheet.headings]))
        if sheet.headings[place].header
    )


def _head_line(sheet: SheetLayout, place: int, name: str) -> HeadLine:
    heading = sheet.headings[place]
    cells = dict.fromkeys(row.cells[place] for row in sheet.rows[:200] if place < len(row.cells) and row.cells[place])
    may_be = doubtful_between(heading) if heading.doubt else ()
    return HeadLine(name, heading.column, heading.score, may_be, "; ".join(list(cells)[:_EXAMPLES]), sheet.name)


def layout_says(seen: Preview) -> str:
    """Since when sheets with these headers are known, and which headers are new; "" if they are not known."""
    if not seen.saved:
        return ""
    known = seen.saved[0]
    headers = {key: each.header for each in headings_of(seen) if (key := header_key(each.header)) not in OURS}
    new = [header for key, header in headers.items() if key not in known.headers]
    as_then = f"{len(headers) - len(new)} of {len(headers)} headers as then"
    says = f"Layout known since {short_day(known.on)}: {as_then if new else 'all headers as then'}"
    names = ", ".join(f'"{each}"' for each in new)
    return f"{says}; new: {names}" if new else says


def kept_as_text(trial: Trial) -> tuple[Told, ...]:
    """The cells that cannot be read and go in as text, by their column, most cells first."""
    columns: dict[str, list[Problem]] = {}
    for each in trial.report.unread:
        columns.setdefault(each.column, []).append(each)
    return tuple(_kept(trial, cells) for cells in sorted(columns.values(), key=len, reverse=True))


def _kept(trial: Trial, cells: Sequence[Problem]) -> Told:
    rows: dict[str, list[Place]] = {}
    for each in cells:
        rows.setdefault(each.value, []).append((each.sheet, each.row))
    quoted = {text: f'"{text}"' if text else "empty" for text in rows}
    texts = [f"{quoted[text]} {_rows_named(trial, places)}" for text, places in rows.items()]
    says = f"{cells[0].column}  {many(len(cells), 'cell')}  {', '.join(texts)}"
    return Told(says, tuple((each.sheet, each.row) for each in cells), (cells[0].problem,))


def refused_groups(trial: Trial) -> tuple[Told, ...]:
    """What keeps rows out although no answer is awaited, by problem, with the rows."""
    groups: dict[tuple[str, str, str], list[Place]] = {}
    hints: dict[tuple[str, str, str], str] = {}
    for row in trial.report.rows:
        place = row.sheet.name, row.row.number
        if row.verdict != "refused" or place in trial.waiting or not row.problems:
            continue
        first = row.problems[0]
        group = first.column, first.value, first.problem
        groups.setdefault(group, []).append(place)
        hints.setdefault(group, said_for_people(first.hint or ""))
    found = []
    for (column, value, problem), places in sorted(groups.items(), key=lambda pair: -len(pair[1])):
        cell = " ".join(part for part in (column, f'"{value}"' if value else "") if part)
        says = f"{cell}: {problem}" if cell else problem
        hint = hints[column, value, problem]
        found.append(Told(f"{_rows_named(trial, places)}  {says}", tuple(places), (says, *([hint] if hint else []))))
    return tuple(found)


def _rows_named(trial: Trial, places: Sequence[Place]) -> str:
    """Some rows by their numbers: "rows 88, 141, 207"."""
    numbers = ", ".join(f"{tab} {number}" if trial.several else str(number) for tab, number in places[:_NAMED])
    more = f" and {len(places) - _NAMED} more" if len(places) > _NAMED else ""
    return f"{'row' if len(places) == 1 else 'rows'} {numbers}{more}"


def to_look_at(report: Report) -> tuple[Told, ...]:
    """What somebody should look at again, and what was noticed in the file."""
    looked = [Told(each.says, ((each.sheet, each.row),), (each.says,)) for each in report.duplicates]
    near = [Told(each.says, tuple(each.rows), (each.says,)) for each in report.near_names]
    remarks = [Told(says, (), (says,)) for each in report.remarks if (says := said_for_people(each))]
    return (*looked, *near, *remarks)


def said_for_people(text: str) -> str:
    """A remark or hint without the part that names an option or a command: here every hint is a choice."""
    kept = []
    for piece in re.split(r"(?<=[:;(]) ", text):
        if "--" in piece or "matchmark " in piece:
            break
        kept.append(piece)
    return " ".join(kept).rstrip(":;,( ")


def touched(trial: Trial, line: object, limit: int, *, full: bool = False) -> tuple[str, ...]:
    """The rows that a question or a line is about, at most `limit`, a line each; `full`: with all their cells."""
    if isinstance(line, SheetQuestion) and line.shown and not full:
        return line.shown[:limit]
    places = line.rows if isinstance(line, SheetQuestion) else line.places if isinstance(line, Told) else ()
    first = line.says if isinstance(line, SheetQuestion | Told) else ""
    found = (trial.rows.get(place) for place in places[:limit])
    return tuple(f"{trial.row_named(row)}  {in_full(row, first)}" for row in found if row is not None)


def in_full(row: PlanRow, first: str = "") -> str:
    """All cells of a row with their headers; those that the text `first` names go first."""
    cells = zip(row.sheet.headings, row.row.cells, strict=False)
    filled = [(heading.header, cell) for heading, cell in cells if cell and not cell.isspace()]
    filled.sort(key=lambda pair: not any(f'"{each}"' in first for each in pair))
    return ", ".join(f"{header}: {cell}" for header, cell in filled)
