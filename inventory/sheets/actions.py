"""Reads a file into the record: makes a plan, then carries it out in one transaction, all of it or nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from sqlalchemy import select

from inventory.errors import Misused, Refused
from inventory.money import checked_currency
from inventory.people.actions import begin_act
from inventory.sheets.columns.cell_format import UNKNOWN, CellFormat
from inventory.sheets.columns.header_match import doubts
from inventory.sheets.columns.layout import Answers
from inventory.sheets.columns.own_sheets import RECORD
from inventory.sheets.columns.questions import SheetQuestion, answers_meant, still_open
from inventory.sheets.columns.saved_mappings import save_mappings
from inventory.sheets.plan.carry_out import carry_out
from inventory.sheets.plan.readings import write_readings
from inventory.sheets.plan.rows import Plan
from inventory.sheets.plan.stages import holds_all
from inventory.sheets.plan.told import kept_up_to
from inventory.sheets.plan.typed_answers import refuse_unreadable
from inventory.sheets.planning import plan_at_once, plan_staged, things_of
from inventory.sheets.preview import Preview, preview, refuse_doubtful_headers
from inventory.sheets.progress import READING, OnProgress, ignore_progress
from inventory.sheets.report import Report, SheetRefused, report_of
from inventory.sheets.writers.rejects import write_rejects
from inventory.store.begin import RECORD_THING
from inventory.store.bulk import collector_resting
from inventory.store.days.clock import today
from inventory.store.files import refuse_taken
from inventory.store.record import Record
from inventory.store.tables import Thing

__all__ = ["questions_of", "read_sheet", "take_in", "try_sheets"]


def read_sheet(
    record: Record,
    path: Path,
    by: str,
    *,
    trial: bool = False,
    rejects: Path | None = None,
    mapping: Mapping[str, str] | None = None,
    on: str | None = None,
    hidden: bool = False,
    cell_format: CellFormat = UNKNOWN,
    currency: str | None = None,
    said: Mapping[str, str] | None = None,
    strict: bool = False,
    keep_answers: bool = False,
    overwrite: bool = False,
    on_progress: OnProgress = ignore_progress,
) -> Report:
    """Read a file into the record, all of it or nothing; with `trial` nothing is written.

    `rejects` names a workbook for rows that cannot be read, and lets the others in; it replaces a file only with
    `overwrite`. `mapping`: headers to columns. `on`: the day up to which the sheet was kept (not known). `hidden`: read
    hidden sheets too. `cell_format`: how days and figures are written. `currency`: that of amounts without one. `said`:
    answers by the key of the question. `strict`: a cell that cannot be read refuses its row. `keep_answers`: save these
    answers for sheets with the same headers. Raises `SheetRefused` if the file is refused; its report says why.
    """
    kept_up_to(on, today())
    if rejects is not None:
        _check_rejects(rejects, path, overwrite)
    on_progress(READING, 0, None)
    given = Answers(mapping or {}, hidden, cell_format, currency and checked_currency(currency), {}, strict)
    if said:
        asked = questions_of(record, path, given, on=on)
        given = replace(given, said=answers_meant(said, asked))
        with record.read() as session:
            refuse_unreadable(session, asked, given.said)
    seen = preview(record, path, given)
    if any(doubts(sheet.headings)[0] for sheet in seen.sheets):
        refuse_doubtful_headers(seen.sheets, questions_of(record, path, given, on=on))
    if trial:
        report = try_sheets(record, seen, on=on, hold=rejects is None, on_progress=on_progress)
        if report.refused and rejects is None:
            raise SheetRefused(_rows_refused(report.refused, path), report)
        return report
    return take_in(
        record,
        seen,
        by,
        rejects=rejects,
        on=on,
        keep_answers=keep_answers,
        overwrite=overwrite,
        on_progress=on_progress,
    )


def questions_of(record: Record, path: Path, given: Answers, *, on: str | None = None) -> list[SheetQuestion]:
    """What a file leaves open, most rows first; a doubtful header is taken for the likeliest, to see the rest."""
    seen = preview(record, path, given)
    doubtful = {heading.header: heading.doubt for sheet in seen.sheets for heading in doubts(sheet.headings)[0]}
    if not doubtful:
        return try_sheets(record, seen, on=on).questions
    columns = {header: column for header, column in doubtful.items() if column is not None}
    likely = preview(record, path, replace(given, columns={**columns, **given.columns}))
    rest = try_sheets(record, likely, on=on).questions
    known = {each.key for each in rest}
    return still_open([*(each for each in seen.questions if each.key not in known), *rest], seen.answers.said)


def try_sheets(
    record: Record,
    seen: Preview,
    *,
    on: str | None = None,
    hold: bool = False,
    on_progress: OnProgress = ignore_progress,
) -> Report:
    """What the rows of a file would change. Nothing is written; refused rows are in the report and raise nothing.

    With `hold` one refused row holds back the others, as in a read without a workbook for it.
    """
    if holds_all(seen.sheets):
        plan = _tried_in_stages(record, seen, on, on_progress)
        return report_of(plan, held=hold and bool(plan.refused))
    with collector_resting(), record.read() as session:
        plan = plan_at_once(session, seen, on=on, on_progress=on_progress)
    return report_of(plan, held=hold and bool(plan.refused))


def take_in(
    record: Record,
    seen: Preview,
    by: str,
    *,
    rejects: Path | None = None,
    on: str | None = None,
    keep_answers: bool = False,
    overwrite: bool = False,
    on_progress: OnProgress = ignore_progress,
) -> Report:
    """Plan the rows of a file again while nobody else writes, and carry the plan out, all of it or nothing.

    The workbook of refused rows is written first: the other rows are read only if it could be written. So after a crash
    in between it may exist although nothing was read; reading the file again with `overwrite` writes it again.
    """
    written: list[Path] = []
    with collector_resting(), _mention_rejects(written), record.write() as session:
        staged = holds_all(seen.sheets)
        if staged:
            act = begin_act(session, "sheet read", by, *session.scalars(select(Thing.id)))
            plan = plan_staged(session, act, seen, on, on_progress)
        else:
            plan = plan_at_once(session, seen, on=on, hold=True, on_progress=on_progress)
        refused = plan.refused
        if refused and rejects is None:
            raise SheetRefused(_rows_refused(len(refused), seen.path), report_of(plan, held=True))
        if refused and rejects is not None:
            of_record = [sheet for sheet in plan.sheets if plan.elsewhere and sheet.kind is RECORD]
            write_rejects(rejects, refused, of_record=of_record, overwrite=overwrite)
            written.append(rejects)
        if not staged:
            act = begin_act(session, "sheet read", by, RECORD_THING, *things_of(session, plan))
            kept = plan.day or kept_up_to(None, act.today)
            made = carry_out(session, act, kept, plan, on_progress)
            name = rejects.name if refused and rejects is not None else None
            write_readings(session, act, plan, made, name)
        said = keep_answers or seen.answered
        if (said or seen.saved) and save_mappings(session, act, seen.sheets, seen.answers) and said:
            plan.remarks.append("The answers were saved for sheets with these headers: matchmark sheet maps")
    return report_of(plan)


class _Tried(Exception):
    """A trial is over: what was written for it is undone."""


def _tried_in_stages(record: Record, seen: Preview, on: str | None, on_progress: OnProgress) -> Plan:
    """The plan of a file that is read in stages: each is written to plan the next, and in the end all is undone."""
    found: list[Plan] = []
    try:
        with collector_resting(), record.write() as session:
            act = begin_act(session, "sheet read", "trial", *session.scalars(select(Thing.id)))
            found.append(plan_staged(session, act, seen, on, on_progress))
            raise _Tried
    except _Tried:
        return found[0]


@contextmanager
def _mention_rejects(written: Sequence[Path]) -> Iterator[None]:
    """If the workbook of refused rows is written before a refusal, the refusal says so."""
    try:
        yield
    except Refused as refusal:
        if not written:
            raise
        says = f"{refusal.message}. Nothing was read in; the refused rows are in {written[0]}"
        raise Refused(refusal.code, says, where=refusal.where, hint=refusal.hint, unchanged=False) from None


def _check_rejects(rejects: Path, path: Path, overwrite: bool) -> None:
    if rejects.suffix.casefold() != ".xlsx":
        raise Misused("rejects-not-xlsx", f"{rejects}: the refused rows need a workbook", hint="name it .xlsx")
    refuse_taken(rejects, overwrite=overwrite, reading=[path])


def _rows_refused(count: int, path: Path) -> Refused:
    rows = "1 row" if count == 1 else f"{count} rows"
    return Refused(
        "rows-refused",
        f"{rows} of {path.name} cannot be read, so the whole file was refused",
        where=str(path),
        hint="correct and read the file again, or read only the other rows: --rejects bad.xlsx",
    )
