"""`matchmark sheet`: spreadsheets in and out."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.asking import ask_about_sheet
from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, kept_up_to_option, overwrite_option
from inventory.cli.sheet_words import progress_on_one_line, report_text, shown_remarks
from inventory.cli.streams import sentence, warn
from inventory.errors import Misused

if TYPE_CHECKING:
    from inventory.sheets.columns.saved_mappings import SavedMapping
    from inventory.sheets.report import Report

command = group("sheet", "Spreadsheets in and out.")
_FORMATS = ("dates", "decimal", "day_numbers", "currency")


@command.command("template")
@click.argument("file", type=FILE)
@click.option("--all", "every", is_flag=True, help="With the sheets that are rarely filled in: work, notes, cars, ...")
@overwrite_option
@pass_door_for_writing
def template(door: Door, file: Path, every: bool, overwrite: bool) -> Answer:
    """Write an empty workbook to fill in, with a page that explains each column."""
    from inventory.sheets.writers.template import write_template

    write_template(file, door.reference, every=every, overwrite=overwrite)
    return Answer({"file": str(file)}, f"Written: {file}")


@command.command("read")
@click.argument("file", type=FILE)
@click.option("--try", "trial", is_flag=True, help="Only show what would be added and changed; write nothing.")
@click.option("--rejects", type=FILE, help="Put rows that cannot be read into this workbook, and read the others.")
@click.option(
    "--map", "mapping", multiple=True, metavar="HEADER=COLUMN", help='For example "Their header=part number".'
)
@click.option("--hidden", is_flag=True, help="Read hidden sheets too.")
@click.option(
    "--dates",
    type=click.Choice(["day-first", "month-first"]),
    help="How to read 3/4/2019 if its column does not show it.",
)
@click.option(
    "--decimal",
    type=click.Choice(["comma", "point"]),
    help="How to read 1.234 or 1,234 if its column does not show it.",
)
@click.option(
    "--day-numbers",
    type=click.Choice(["1900", "1904"]),
    help="Start year for dates stored as numbers, e.g. 43558; a workbook has its own.",
)
@click.option(
    "--answer",
    "answers",
    multiple=True,
    metavar="QUESTION=ANSWER",
    help='An answer to a question of the trial, e.g. "relais=relay".',
)
@click.option("--strict", is_flag=True, help="Refuse a row if one of its cells cannot be read.")
@click.option("--currency", metavar="CODE", help="The currency of amounts without one, e.g. EUR.")
@click.option(
    "--keep-answers",
    "keep",
    is_flag=True,
    help="Save what headers stand for, and your other answers, for sheets with the same headers.",
)
@overwrite_option
@kept_up_to_option
@pass_door_for_writing
def read(
    door: Door,
    file: Path,
    trial: bool,
    rejects: Path | None,
    mapping: tuple[str, ...],
    answers: tuple[str, ...],
    strict: bool,
    on: str | None,
    hidden: bool,
    keep: bool,
    overwrite: bool,
    currency: str | None,
    **formats: Any,
) -> Answer:
    """Read a spreadsheet (xlsx, xlsm, xls, ods, csv, json), all of it or nothing.

    First --try: it lists what is open, each question once for all its rows, and what is taken without an answer. Answer
    with --answer, then read without --try; the answers are remembered for the next version of the sheet. A cell that
    cannot be read is kept as text. Only a row that does not say which part it is holds the file back: --rejects.
    """
    from inventory.sheets import CellFormat, SheetRefused, read_sheet
    from inventory.sheets.progress import ignore_progress

    counts_from = int(formats["day_numbers"]) if formats["day_numbers"] else None
    read = partial(
        read_sheet,
        door.record,
        file,
        door.by,
        rejects=rejects,
        overwrite=overwrite,
        mapping=dict(_split(each, "--map", "HEADER=COLUMN") for each in mapping),
        on=on,
        hidden=hidden,
        cell_format=CellFormat(formats["dates"], formats["decimal"], counts_from),
        currency=currency,
        strict=strict,
        keep_answers=keep,
        on_progress=progress_on_one_line(file.name) if door.shows_progress else ignore_progress,
    )
    said = dict(_split(each, "--answer", "QUESTION=ANSWER") for each in answers)
    try:
        if door.can_ask and not trial:
            said = _asked(read, said)
        report = read(trial=trial, said=said)
    except SheetRefused as refusal:
        says = door.sentence_of(refusal) + (f"\n  {refusal.hint}" if refusal.hint else "")
        text = report_text(refusal.report, trial) if refusal.report.rows_read else ""
        data = partial(_refused, door.error_of(refusal), refusal.report, trial)
        return Answer(data, text, refusal.exit_status, shown_remarks(refusal.report.remarks), refusal=says)
    text = report_text(report, trial)
    if report.refused and not trial:
        text += f"\nThe rows that cannot be read are in {rejects}: correct them there and read that file"
    data = partial(report.as_dict, with_rows=trial)
    return Answer(data, text, 1 if report.refused else 0, shown_remarks(report.remarks))


def _asked(read: Callable[..., Report], said: dict[str, str]) -> dict[str, str]:
    """The answers, completed by the person at the terminal: each open question once, until nothing new is asked."""
    from inventory.sheets import SheetRefused

    before: set[str] = set()
    typed: set[str] = set()
    while True:
        try:
            open_ones = read(trial=True, said=said).questions
        except SheetRefused as refusal:
            open_ones = refusal.report.questions
        except Misused as misused:
            if misused.code != "no-such-answer" or not typed:
                raise
            warn(f"{sentence(misused.message)} {sentence(misused.hint or '')}")
            said = {key: answer for key, answer in said.items() if key not in typed}
            before -= typed
            continue
        fresh = [each for each in open_ones if each.key not in before]
        if not fresh:
            return said
        before |= {each.key for each in fresh}
        answers = ask_about_sheet(fresh)
        typed = {each.key for each in fresh if each.key in answers and each.typed}
        said = {**said, **answers}


def _refused(error: dict[str, Any], report: Report, trial: bool) -> dict[str, Any]:
    return {"error": error, **report.as_dict(with_rows=trial)}


def _split(text: str, option: str, form: str) -> tuple[str, str]:
    header, equals, column = text.rpartition("=")
    if not equals or not header.strip() or not column.strip():
        raise Misused("not-a-pair", f'{option} takes {form}, not "{text}"')
    return header.strip(), column.strip()


@command.command("maps")
@pass_door
def maps(door: Door) -> Answer:
    """List the saved answers for sheets. To take one back: matchmark fact withdraw ID --reason WHY."""
    from inventory.sheets.columns.saved_mappings import saved_mappings

    with door.record.read() as session:
        kept = saved_mappings(session)
    lines = [line for each in kept for line in _kept(each)]
    return Answer(
        {"maps": [each.as_dict() for each in kept]}, "\n".join(lines) or "No answers are saved for any sheet."
    )


def _kept(each: SavedMapping) -> list[str]:
    from inventory.sheets.columns.header_match import KEPT

    taken = each.columns
    formats = {name: value for name, value in each.as_dict().items() if name in _FORMATS and value}
    columns = [f"  {header} -> {column}" for header, column in taken.items() if column != KEPT]
    others = [header for header, column in taken.items() if column == KEPT]
    return [
        f"{each.id}  {each.on}  {each.by}: a sheet of {len(each.headers)} columns",
        *columns,
        *([f"  kept under their own names: {', '.join(others)}"] if others else []),
        *(f"  {name.replace('_', ' ')}: {value}" for name, value in formats.items()),
        *(f"  {key}: {answer}" for key, answer in each.answers.said.items() if not key.startswith("header/")),
    ]


@command.command("write")
@click.argument("file", type=FILE)
@click.option("--sheet", metavar="NAME", help="Only this sheet, e.g. runs; a csv has one sheet, by default the parts.")
@overwrite_option
@pass_door_for_writing
def write(door: Door, file: Path, sheet: str | None, overwrite: bool) -> Answer:
    """Write everything as sheets (xlsx, ods, json), or one sheet (csv). Reading them back changes nothing."""
    from inventory.sheets.writers.sheets import write_sheets

    written = write_sheets(door.record, file, sheet=sheet, overwrite=overwrite)
    text = f"Written: {file} ({_listed(written.rows)})"
    if written.left_out and sheet is None:
        text += f"\nNot in it: {_listed(written.left_out)}. A csv holds one sheet: --sheet NAME, or write an xlsx"
    return Answer({"file": str(file), "rows": written.rows, "left_out": written.left_out}, text)


def _listed(counts: dict[str, int]) -> str:
    return ", ".join(f"{count} {name}" for name, count in counts.items())
