"""A sheet's trial for the view In: what is open, what is kept as text, what cannot go in; and reading it in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from inventory.sheets.actions import take_in, try_sheets
from inventory.sheets.columns.catalogue import header_key
from inventory.sheets.columns.header_match import KEPT, Heading
from inventory.sheets.columns.layout import Answers
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.whole_tables import HIDDEN, READ
from inventory.sheets.plan.rows import PlanRow
from inventory.sheets.plan.typed_answers import refuse_unreadable
from inventory.sheets.preview import Preview, column_named, preview
from inventory.sheets.progress import OnProgress
from inventory.sheets.report import Report
from inventory.store.record import Record
from tui.data.sheets import rejects_for
from tui.drafts import Draft

__all__ = [
    "DRAFTS",
    "HIDDEN_TOO",
    "KEPT",
    "Place",
    "Step",
    "Trial",
    "answered_as",
    "as_column",
    "check_answer",
    "column_of",
    "draft_key",
    "draft_of",
    "headings_of",
    "read_in",
    "remembered",
    "steps_of",
    "tried",
]

Place = tuple[str, int]
#: An answer: the key of the question, and the answer.
Step = tuple[str, str]
#: The answer that hidden tabs are read too.
HIDDEN_TOO: Step = HIDDEN, READ
#: With this the keys of drafts about sheets begin.
DRAFTS = "sheet:"
_HEADER = "header/"


@dataclass(frozen=True)
class Trial:
    """A file as it would be read with the answers given so far (`steps`).

    `rejects`: where rows go that cannot be read.
    """

    seen: Preview
    report: Report
    steps: tuple[Step, ...]
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


def draft_key(path: Path) -> str:
    """The key of the draft with the answers about a file."""
    return f"{DRAFTS}{path.resolve()}"


def draft_of(trial: Trial) -> Draft:
    """The answers so far, as a draft."""
    answers = {str(place): list(step) for place, step in enumerate(trial.steps)}
    asked = next((each.says for each in trial.report.questions), "read it in")
    return Draft(draft_key(trial.seen.path), trial.seen.path.name, asked, answers)


def steps_of(draft: Draft | None) -> tuple[Step, ...]:
    """The answers that a draft holds."""
    held = draft.answers if draft is not None else {}
    return tuple((step[0], step[1]) for _, step in sorted(held.items(), key=lambda item: int(item[0])))


def tried(record: Record, path: Path, steps: tuple[Step, ...], on_progress: OnProgress) -> Trial:
    """Preview a file and try it with the answers given so far. Writes nothing."""
    seen = preview(record, path, Answers(said=dict(steps)))
    return Trial(seen, try_sheets(record, seen, on_progress=on_progress), steps, rejects_for(path))


def read_in(record: Record, trial: Trial, by: str, on_progress: OnProgress) -> Report:
    """Read a tried file into the record, and remember its layout and the answers.

    Rows that cannot be read go to the workbook `Trial.rejects`. The layout of a sheet with the usual headers only is
    not remembered: it needs no answer.
    """
    usual = all(header_key(each.header) == header_key(each.column or "") for each in headings_of(trial.seen))
    keep = not usual or bool(trial.steps)
    return take_in(record, trial.seen, by, rejects=trial.rejects, keep_answers=keep, on_progress=on_progress)


def check_answer(record: Record, question: SheetQuestion, answer: str) -> None:
    """Raise `Refused` for an answer that cannot be read in the column it is for."""
    with record.read() as session:
        refuse_unreadable(session, [question], {question.key: answer})


def answered_as(trial: Trial, said: Mapping[str, str]) -> Trial:
    """The trial with answers that change nothing of it, since they were taken already."""
    answers = replace(trial.seen.answers, said={**trial.seen.answers.said, **said})
    left = [each for each in trial.report.questions if each.key not in said]
    steps = (*trial.steps, *said.items())
    seen = replace(trial.seen, answers=answers)
    return replace(trial, seen=seen, report=replace(trial.report, questions=left), steps=steps)


def as_column(header: str, column: str) -> Step:
    """The answer that a header, the second of one name as "Number (2)", stands for a column."""
    return key_of("header", header), column


def column_of(words: str) -> str:
    """The column that a person means by a name; "extra" keeps the header as it is."""
    return column_named(words)


def remembered(trial: Trial) -> Iterator[tuple[SheetQuestion, str]]:
    """The answers of earlier reads that count for this file, each as a question that may be answered anew."""
    now = {key for key, _ in trial.steps}
    for key, answer in trial.seen.answers.said.items():
        if key not in now:
            says, typed = _about(key)
            yield SheetQuestion(key, says, (Choice(answer, answer),), typed=typed), answer


def _about(key: str) -> tuple[str, str]:
    """What a question was about, by its key, and what may be typed."""
    match key.split("/"):
        case ["word", column, text]:
            return f'"{text}" in {column}', column
        case ["header", header]:
            return f'the header "{header}"', "column"
        case parts:
            return ", ".join(parts), "text"


def headings_of(seen: Preview) -> Iterable[Heading]:
    """The headings of all sheets."""
    return (heading for sheet in seen.sheets for heading in sheet.headings)
