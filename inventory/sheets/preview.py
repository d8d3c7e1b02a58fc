"""Previews a file before its rows are planned: its sheets, the columns of their headers, what is doubtful."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from inventory.errors import Misused, Refused, did_you_mean
from inventory.reference.data import reference_of
from inventory.sheets.columns.catalogue import CRITICAL, PARTS, SHEETS, header_key
from inventory.sheets.columns.header_match import KEPT, doubtful_between, doubts, numbered
from inventory.sheets.columns.layout import Answers, SheetLayout, lay_out
from inventory.sheets.columns.looks import read_looks
from inventory.sheets.columns.open_formats import with_formats_said, with_signs
from inventory.sheets.columns.own_numbers import in_order, own_numbers_found
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.saved_mappings import SavedMapping, mappings_for, saved_mappings, with_saved
from inventory.sheets.readers.files import read_tables
from inventory.sheets.report import SheetRefused, unplanned
from inventory.store.bulk import collector_resting
from inventory.store.record import Record
from inventory.store.words.names import nearest

__all__ = ["Preview", "column_named", "preview", "refuse_doubtful_headers"]


#: The sort of the questions about headers, and how many cells below one are shown.
_HEADER, _SHOWN = "header", 3


@dataclass(frozen=True)
class Preview:
    """A file as it will be read: its sheets, remarks for the user, and the saved answers that apply.

    `answers`: those of the user, completed from saved ones; `answered`: the user gave some now. `questions`: what the
    layout of the file leaves open; what its cells leave open is in the plan.
    """

    path: Path
    sheets: list[SheetLayout]
    remarks: list[str]
    answers: Answers
    saved: list[SavedMapping]
    answered: bool = False
    questions: list[SheetQuestion] = field(default_factory=list)


def preview(record: Record, path: Path, given: Answers) -> Preview:
    """Read a file and find its tables; where the user says nothing, saved answers for such headers apply.

    Headers in `given` are as written, columns as people call them. Raises `SheetRefused` if nothing can be read.
    """
    columns = {
        **_columns_said(given.said),
        **{header_key(header): column_named(column) for header, column in given.columns.items()},
    }
    try:
        with collector_resting():
            tables = read_tables(path)
            with record.read() as session:
                saved = mappings_for(tables, saved_mappings(session))
                kinds = {each.name for each in reference_of(session).kinds}
            answers = with_saved(replace(given, columns=columns), saved)
            answers = with_formats_said(answers)
            laid = lay_out(tables, answers, kinds)
            sheets, marked, noticed = read_looks(tables, laid.sheets, answers.said)
            sheets, undecided = with_signs(sheets, answers)
            settled = [own_numbers_found(sheet, answers.columns) for sheet in sheets]
            about = _about_headers([sheet for sheet, *_ in settled])
            remarks, questions = [*laid.remarks, *noticed], [*laid.questions, *about, *undecided, *marked]
    except Refused as refusal:
        raise SheetRefused(refusal, unplanned(())) from None
    names = [[heading.header for heading in sheet.headings] for sheet in sheets]
    headers = {header_key(header) for each in names for header in (*each, *numbered(each))}
    for header in given.columns:
        if sheets and header_key(header) not in headers:
            raise Misused("no-such-header", f'no column of {path} has the header "{header}"', where="--map")
    if not sheets:
        nothing = Refused(
            "no-known-columns",
            f"{path} has no known columns",
            hint='name them: --map "Their header=part number"; for the usual ones: matchmark sheet template t.xlsx',
        )
        raise SheetRefused(nothing, unplanned(()))
    sheets = [in_order(sheet) for sheet, _ in settled]
    remarks = [*remarks, *(says for _, says in settled if says)]
    answered = bool(columns) or given != Answers(hidden=given.hidden, strict=given.strict)
    every = [*remarks, *_noticed(sheets), *_applied(saved)]
    return Preview(path, sheets, every, answers, saved, answered, questions)


def _columns_said(said: Mapping[str, str]) -> dict[str, str]:
    """The columns of headers that were answered, by header key."""
    about = {key.partition("/")[2]: answer for key, answer in said.items() if key.startswith(f"{_HEADER}/")}
    return {header_key(header): column_named(answer) for header, answer in about.items()}


def _about_headers(sheets: Sequence[SheetLayout]) -> Iterator[SheetQuestion]:
    """A question about each doubtful header; nothing is taken for one that may be a column that identifies parts."""
    asked: dict[str, SheetQuestion] = {}
    for sheet in sheets:
        names = numbered([heading.header for heading in sheet.headings])
        for place, heading in enumerate(sheet.headings):
            if heading.doubt is None:
                continue
            filled = [row for row in sheet.rows if "".join(row.cells[place : place + 1]).strip()]
            key = key_of(_HEADER, names[place])
            rows = tuple((sheet.name, row.number) for row in filled)
            if before := asked.get(key):
                asked[key] = replace(before, rows=(*before.rows, *rows))
                continue
            asked[key] = SheetQuestion(
                key,
                f'the header "{names[place]}"',
                (*(Choice(each, each) for each in doubtful_between(heading)), Choice(KEPT, "keep as it is")),
                rows,
                "" if heading.doubt in CRITICAL else KEPT,
                "column",
                tuple(row.cells[place] for row in filled[:_SHOWN]),
            )
    yield from asked.values()


def column_named(name: str) -> str:
    """The column that a user means by a name. Raises `Misused` with the nearest columns if there is none."""
    columns = {header_key(column): column for sheet in SHEETS for column in sheet.columns}
    found = columns.get(header_key(name), KEPT if header_key(name) == KEPT else None)
    if found is None:
        near = nearest(name, list(columns.values()))
        raise Misused("unknown-column", f'unknown column "{name}"', where="--map", hint=did_you_mean(near))
    return found


def refuse_doubtful_headers(sheets: Sequence[SheetLayout], questions: Sequence[SheetQuestion] = ()) -> None:
    """Raise `SheetRefused` if a header might be a column that identifies parts; its report has the questions."""
    doubtful = [
        (name, heading)
        for sheet in sheets
        for name, heading in zip(numbered([each.header for each in sheet.headings]), sheet.headings, strict=True)
        if heading in doubts([heading])[0]
    ]
    if doubtful:
        name, first = doubtful[0]
        headers = ", ".join(dict.fromkeys(f'"{each}"' for each, _ in doubtful))
        refusal = Refused(
            "doubtful-header",
            f"{headers} may be a column that identifies parts",
            where=name,
            hint=f'say which: --map "{name}={first.doubt}", or keep it as it is: --map "{name}={KEPT}"'
            "; you are asked only once for sheets with these headers",
        )
        raise SheetRefused(refusal, unplanned(sheets, questions))


def _applied(saved: Sequence[SavedMapping]) -> Iterator[str]:
    for each in saved:
        yield f"Read with the answers that {each.by} saved on {each.on} for sheets with these headers ({each.id})"


def _noticed(sheets: Sequence[SheetLayout]) -> Iterator[str]:
    """What was not taken for a known column, though it might be one or has something in it."""
    for sheet in sheets:
        for heading in doubts(sheet.headings)[1]:
            kept = "kept under its own name" if sheet.kind is PARTS else "not read"
            yield f'{sheet.name}: "{heading.header}" might be {heading.doubt} ({heading.score} of 100) and was {kept}'
        if sheet.kind is not PARTS:
            others = [each.header for each in sheet.headings if each.column is None and not each.doubt]
            filled = {name for row in sheet.rows for name in sheet.own_values(row.cells)}
            lost = [f'"{name}"' for name in others if name in filled]
            if lost:
                yield f"{sheet.name}: no place for {', '.join(lost)}, which was not read"
