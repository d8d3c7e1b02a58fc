"""A sheet's trial for the view In: what is open, what is kept as text, what cannot go in; and reading it in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from inventory.sheets.actions import take_in, try_sheets
from inventory.sheets.columns.catalogue import CRITICAL, header_key
from inventory.sheets.columns.header_match import KEPT, Heading, doubtful_between
from inventory.sheets.columns.layout import Answers, SheetLayout
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.plan.problems import Problem
from inventory.sheets.plan.rows import PlanRow
from inventory.sheets.preview import Preview, column_named, preview
from inventory.sheets.progress import OnProgress
from inventory.sheets.report import Report
from inventory.store.record import Record
from tui.data.sheets import rejects_for
from tui.words import many, short_day

__all__ = [
    "KEPT",
    "HeadLine",
    "Told",
    "Trial",
    "answered_as",
    "column_of",
    "head_lines",
    "in_full",
    "kept_as_text",
    "layout_says",
    "read_in",
    "refused_groups",
    "said_for_people",
    "to_look_at",
    "touched",
    "tried",
    "with_column",
    "with_said",
]

Place = tuple[str, int]
_EXAMPLES = 3
_HEADER = "header/"
_HIDDEN, _READ = "hidden", "read"
_IS_HIDDEN = re.compile(r'The sheet (".+") is hidden and was not read')
_NAMED = 4


@dataclass(frozen=True)
class Trial:
    """A file as it would be read with the answers given so far. `rejects`: where rows go that cannot be read."""

    seen: Preview
    report: Report
    given: Answers
    rejects: Path

    @cached_property
    def rows(self) -> dict[Place, PlanRow]:
        """Each row of data by its sheet and number."""
        return {(row.sheet.name, row.row.number): row for row in self.report.rows}

    @cached_property
    def waiting(self) -> frozenset[Place]:
        """The refused rows that only wait for an answer."""
        asked = {place for each in self.report.questions if not each.taken for place in each.rows}
        return frozenset(place for place in asked if (row := self.rows.get(place)) and row.verdict == "refused")

    @property
    def to_answer_first(self) -> str:
        """The key of a question without whose answer nothing is read: a header that may tell parts apart; else ""."""
        waits = (each.key for each in self.report.questions if not each.taken and each.key.startswith(_HEADER))
        return next(waits, "")

    @cached_property
    def several(self) -> bool:
        """Whether rows are of several tabs, so that a number alone does not name one."""
        return len({sheet.name for sheet in self.seen.sheets}) > 1

    def row_named(self, row: PlanRow) -> str:
        """A row by its number, with its tab where there are several."""
        return f"{row.sheet.name + ', ' if self.several else ''}row {row.row.number}"

    @property
    def ready(self) -> int:
        """How many rows can go in."""
        return self.report.added + self.report.changed + self.report.unchanged

    @property
    def writes(self) -> bool:
        """Whether there is anything new in the file."""
        return bool(self.report.added or self.report.changed)


@dataclass(frozen=True)
class Told:
    """A line of the trial about some rows. `more`: what can be done, or the text in full."""

    says: str
    places: tuple[Place, ...] = ()
    more: tuple[str, ...] = ()


@dataclass(frozen=True)
class HeadLine:
    """A header of the file: its column (None: kept as it is), the similarity (0 to 100), other columns, examples."""

    header: str
    column: str | None
    score: int
    may_be: tuple[str, ...]
    examples: str
    sheet: str


def tried(record: Record, path: Path, given: Answers, on_progress: OnProgress) -> Trial:
    """Preview a file and try it with the answers given so far. Writes nothing."""
    headers = {key.removeprefix(_HEADER): column for key, column in given.said.items() if key.startswith(_HEADER)}
    asked = replace(given, columns={**given.columns, **headers})
    seen = preview(record, path, asked)
    if seen.answers.said.get(_HIDDEN) == _READ and not given.hidden:
        seen = preview(record, path, replace(asked, hidden=True))
    seen = replace(seen, questions=[*seen.questions, *_doubtful_headers(seen), *_hidden_tabs(seen)])
    return Trial(seen, try_sheets(record, seen, on_progress=on_progress), given, rejects_for(path))


def _hidden_tabs(seen: Preview) -> Iterator[SheetQuestion]:
    """Whether hidden tabs are read too, where there are some beside others."""
    names = ", ".join(found[1] for remark in seen.remarks if (found := _IS_HIDDEN.match(remark)))
    if names:
        choices = (Choice("left out", "left out"), Choice(_READ, "read too"))
        yield SheetQuestion(_HIDDEN, f"hidden tabs: {names}", choices, (), "left out")


def _doubtful_headers(seen: Preview) -> Iterator[SheetQuestion]:
    """A question for each doubtful header; nothing is taken for one that may tell parts apart."""
    for sheet in seen.sheets:
        for heading in sheet.headings:
            key = key_of("header", heading.header)
            if heading.doubt is None or any(each.key == key for each in seen.questions):
                continue
            columns = tuple(Choice(column, column) for column in doubtful_between(heading))
            rows = tuple((sheet.name, row.number) for row in sheet.rows)
            taken = "" if heading.doubt in CRITICAL else KEPT
            choices = (*columns, Choice(KEPT, "keep as it is"))
            yield SheetQuestion(key, f'the header "{heading.header}"', choices, rows, taken, "column")


def read_in(record: Record, trial: Trial, by: str, on_progress: OnProgress) -> Report:
    """Read a tried file into the record, and remember its layout and the answers.

    Rows that cannot be read go to the workbook `Trial.rejects`. The layout of a sheet with the usual headers only is
    not remembered: it needs no answer.
    """
    usual = all(header_key(each.header) == header_key(each.column or "") for each in _headings(trial.seen))
    keep = not usual or trial.given != Answers()
    return take_in(record, trial.seen, by, rejects=trial.rejects, keep_answers=keep, on_progress=on_progress)


def answered_as(trial: Trial, said: Mapping[str, str]) -> Trial:
    """The trial with answers that change nothing of it, since they were taken already."""
    seen = replace(trial.seen, answers=with_said(trial.seen.answers, said))
    left = [each for each in trial.report.questions if each.key not in said]
    return replace(trial, seen=seen, report=replace(trial.report, questions=left), given=with_said(trial.given, said))


def with_said(answers: Answers, said: Mapping[str, str]) -> Answers:
    """The answers, with some more by the key of their question."""
    return replace(answers, said={**answers.said, **said})


def with_column(given: Answers, header: str, column: str) -> Answers:
    """The answers, with a column (or "extra") for a header."""
    return replace(given, columns={**given.columns, header: column})


def column_of(words: str) -> str:
    """The column that a person means by a name; "extra" keeps the header as it is."""
    return column_named(words)


# What is shown.


def head_lines(seen: Preview) -> tuple[HeadLine, ...]:
    """The headers of each sheet, with what they stand for."""
    return tuple(
        _head_line(sheet, place, heading) for sheet in seen.sheets for place, heading in enumerate(sheet.headings)
    )


def _head_line(sheet: SheetLayout, place: int, heading: Heading) -> HeadLine:
    cells = dict.fromkeys(row.cells[place] for row in sheet.rows[:200] if place < len(row.cells) and row.cells[place])
    may_be = doubtful_between(heading) if heading.doubt else ()
    return HeadLine(
        heading.header, heading.column, heading.score, may_be, "; ".join(list(cells)[:_EXAMPLES]), sheet.name
    )


def _headings(seen: Preview) -> Iterable[Heading]:
    return (heading for sheet in seen.sheets for heading in sheet.headings)


def layout_says(seen: Preview) -> str:
    """Since when sheets with these headers are known, and which headers are new; "" if they are not known."""
    if not seen.saved:
        return ""
    known = seen.saved[0]
    headers = {key: each.header for each in _headings(seen) if (key := header_key(each.header))}
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
    texts = [f'"{text}" {_rows_named(trial, places)}' for text, places in rows.items()]
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
