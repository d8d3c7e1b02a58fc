"""The lines of a sheet's trial, and the question on the line. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from textual.content import Content

from inventory.sheets.columns.questions import SheetQuestion, named_by_digits
from inventory.sheets.plan.rows import PlanRow
from inventory.sheets.report import Report
from tui.data.sheets import Entry
from tui.data.trial import Trial, remembered
from tui.data.trial_told import (
    HeadLine,
    Told,
    head_lines,
    in_full,
    kept_as_text,
    refused_groups,
    to_look_at,
    touched,
)
from tui.questions import Question
from tui.safe import crop, hanging, shown
from tui.words import many

__all__ = [
    "Answered",
    "Go",
    "answer_says",
    "counts_of",
    "detail_of",
    "drawn",
    "headers_of",
    "heading",
    "lines_of",
    "prompt",
    "question_of",
]

OPEN = "OPEN, most rows first"
_ROWS, _TAKEN = 6, 22
#: What is left of the foot for typing, where words may be typed and where a number is enough.
_ROOM_FOR_WORDS, _ROOM_FOR_NUMBER = 18, 8
_LEAST_ASK = 14
_ROWS_SHOWN = 3
#: What may be typed, where the name of the column does not say it.
_OWN_WORDS = {"text": "words", "value currency": "the currency", "whose": "whose it is"}


@dataclass(frozen=True)
class Answered:
    """A question answered at this trial, and the answer."""

    question: SheetQuestion
    answer: str


@dataclass(frozen=True)
class RowLine:
    """A row that is new or changes something."""

    trial: Trial
    row: PlanRow


@dataclass(frozen=True)
class Go:
    """The line after the last question: read it in."""

    says: str


def counts_of(report: Report) -> tuple[tuple[int, str], ...]:
    """How many rows are new, changed, and as on record."""
    return (report.added, "new"), (report.changed, "changed"), (report.unchanged, "as on record")


def heading(trial: Trial) -> str:
    """The first line of the trial: nothing is written, and how many rows are ready, wait, or cannot go in."""
    report, waiting = trial.report, len(trial.waiting)
    counts = [f"{count:,} {word}" for count, word in counts_of(report) if count]
    ready = f"{many(trial.ready, 'row')} ready" + (f" ({', '.join(counts)})" if counts else "")
    wait = f"{waiting:,} wait{'s' if waiting == 1 else ''} for an answer" if waiting else ""
    out = report.refused - waiting
    cannot = f"{out:,} cannot go in" if out else ""
    nothing = "" if trial.writes or report.refused else " There is nothing new in it."
    return f"Trial, nothing written. {', '.join(part for part in (ready, wait, cannot) if part)}.{nothing}"


def lines_of(trial: Trial, answered: Iterable[Answered]) -> list[object]:
    """All lines of the trial below its heading; texts are titles of sections."""
    report = trial.report
    sections: tuple[tuple[str, Iterable[object]], ...] = (
        (OPEN, report.questions),
        ("", (_go(trial),)),
        ("ANSWERED", answered),
        ("KEPT AS TEXT, nothing dropped", kept_as_text(trial)),
        ("CANNOT GO IN", refused_groups(trial)),
        ("NOTICED", to_look_at(report)),
        ("REMEMBERED, to answer anew type another answer", (Answered(*each) for each in remembered(trial))),
        ("CHANGES ON RECORD", (RowLine(trial, row) for row in report.rows if row.verdict == "changed")),
        ("NEW", (RowLine(trial, row) for row in report.rows if row.verdict == "added")),
    )
    lines: list[object] = []
    for title, items in sections:
        section = list(items)
        lines += [title, *section] if section and title else section
    return lines


def _go(trial: Trial) -> Go:
    left, open_now = trial.report.refused, trial.report.questions
    says = "read it in now, as taken" if open_now else "read it in"
    if left:
        says += f": {many(trial.ready, 'row')}; {many(left, 'row')} to {trial.rejects.name}"
    return Go(says)


def drawn(row: object, width: int) -> Content:
    """One line: a file, a question, what is told of some rows, a row, a header, or the title of a section."""
    match row:
        case SheetQuestion():
            return shown(_in_columns(row.says, f"{len(row.rows):,}" if row.rows else "", _taken(row), width))
        case Answered():
            return shown(
                _in_columns(row.question.says, f"{len(row.question.rows) or ''}", row.answer, width), "$text-muted"
            )
        case Entry():
            return shown(crop(row.name, width))
        case Content():
            return row
        case Go() | Told():
            return shown(crop(row.says, width))
        case RowLine():
            return shown(crop(f"{row.trial.row_named(row.row)}  {_row_says(row.row)}", width))
        case HeadLine():
            half = min(max(width // 2 - 8, 16), 44)
            taken = "?  " + " or ".join(row.may_be) if row.may_be else row.column or "kept as it is"
            near = f"{row.score:>3}" if row.column or row.may_be else "   "
            return shown(crop(f"{crop(row.header, half)} {near}  {taken}", width))
        case str() if row == OPEN:
            return shown(_in_columns(row, "rows", "as taken", width), "bold")
        case _:
            return shown(row, "bold")


def _in_columns(says: str, rows: str, taken: str, width: int) -> str:
    taken_room = min(_TAKEN, max(width // 4, 10))
    room = width - _ROWS - taken_room - 3
    return f"{crop(says, room)} {rows:>{_ROWS}}  {crop(taken, taken_room)}"


def _row_says(row: PlanRow) -> str:
    changes = "; ".join(f"{each.column} {each.old or '(empty)'} -> {each.new}" for each in row.changes)
    return f"{row.what or in_full(row)}{f': {changes}' if changes and row.verdict == 'changed' else ''}"


def _taken(question: SheetQuestion) -> str:
    return answer_says(question, question.taken) if question.taken else "?"


def question_of(line: object) -> SheetQuestion | None:
    """The question that a line asks, or was answered to; else None."""
    if isinstance(line, Answered):
        return line.question
    return line if isinstance(line, SheetQuestion) else None


def answer_says(question: SheetQuestion, answer: str) -> str:
    """An answer as a person reads it."""
    return next((each.says for each in question.choices if each.key == answer), answer)


def _numbered(question: SheetQuestion) -> list[str]:
    """The choices with their numbers, and what may be typed instead."""
    by_digits = named_by_digits(question)
    choices = [each.says if by_digits else f"{place} {each.says}" for place, each in enumerate(question.choices, 1)]
    own = question.typed and not by_digits and f"or type {_OWN_WORDS.get(question.typed, f'the {question.typed}')}"
    return [*choices, own] if own else choices


def prompt(question: SheetQuestion, width: int) -> tuple[Question, bool]:
    """The question for the foot at a width, and whether its choices stand there in full.

    Where they do not fit they stand in the body.
    """
    choices = "  ".join(_numbered(question))
    enter = "as taken" if question.taken else ""
    room = width - (_ROOM_FOR_WORDS if question.typed else _ROOM_FOR_NUMBER)
    for says_enter in (enter, ""):
        left = room - len(Question(choices, (), says_enter).words) - 5
        if left >= min(len(question.says), _LEAST_ASK):
            ask = f"{crop(question.says, min(left, len(question.says)))}:  {choices}"
            return Question(ask, (), says_enter, short=True), True
    count = 0 if named_by_digits(question) else len(question.choices)
    ask = f"1 to {count}, as above:" if count > 1 else "As above:"
    return Question(ask, (), enter, short=True), False


def _flowed(pieces: Sequence[str], width: int) -> list[Content]:
    """Pieces in lines of this width, none of them broken unless it is longer."""
    lines: list[str] = []
    for piece in pieces:
        if lines and len(lines[-1]) + len(piece) + 2 <= width:
            lines[-1] += f"  {piece}"
        else:
            lines.append(piece)
    return [part for line in lines for part in shown(line).wrap(width)]


def headers_of(trial: Trial) -> list[object]:
    """The headers with what they stand for, and the first rows of each table as they will be read."""
    lines: list[object] = [*head_lines(trial.seen)]
    for sheet in trial.seen.sheets:
        lines += [f"First rows of {sheet.name}, as they will be read"]
        for row in sheet.rows[:_ROWS_SHOWN]:
            cells = sheet.values(row.cells) | sheet.own_values(row.cells)
            lines.append(f"  {row.number}: {', '.join(f'{name} {text}' for name, text in cells.items())}")
    return lines


def detail_of(trial: Trial, line: object, limit: int, width: int, screen: int, *, full: bool) -> list[Content]:
    """What belongs to the chosen line: choices for which the foot of a `screen` has no room; then the rows it touches.

    `full`: the rows with all their cells, wrapped at `width`.
    """
    lines: list[Content] = []
    question = question_of(line)
    if question is not None:
        if not prompt(question, screen)[1]:
            lines += shown(question.says, "bold").wrap(width)
            lines += _flowed(_numbered(question), width)
        places = question.rows
    elif isinstance(line, Told):
        lines += [part for each in line.more for part in shown(each).wrap(width)]
        places = line.places
    elif isinstance(line, RowLine):
        lines += [
            part
            for each in line.row.changes
            for part in shown(f"{each.column}: {each.old or '(empty)'} -> {each.new}").wrap(width)
        ]
        places = ()
    else:
        return lines
    rows = touched(trial, question or line, limit, full=full)
    if rows:
        first = f"first {len(rows)} of {len(places):,}" if len(places) > len(rows) else ""
        lines.append(shown(f"WHAT IT TOUCHES  {first}".rstrip(), "bold"))
    for row in rows:
        lines += hanging("  ", row, width) if full else [shown(crop(f"  {row}", width))]
    return lines
