"""Looking at a file before its rows are planned: its sheets, what their headers stand for, what is in doubt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Misused, Refused
from inventory.sheets.columns import PARTS, SHEETS, header_key
from inventory.sheets.files import read_tables
from inventory.sheets.headers import KEPT, doubts
from inventory.sheets.layout import Answers, SheetIn, lay_out
from inventory.sheets.remembered import Remembered, remembered, serving, with_remembered
from inventory.sheets.report import SheetRefused, unread
from inventory.store.names import nearest
from inventory.store.record import Record

__all__ = ["Look", "column_meant", "look", "refuse_doubts"]


@dataclass(frozen=True)
class Look:
    """A file as it will be read: its sheets laid out, what was noticed, and the answers that were kept and served.

    `said`: the answers of the person, those kept included; `answered`: some are of now.
    """

    path: Path
    sheets: list[SheetIn]
    remarks: list[str]
    said: Answers
    kept: list[Remembered]
    answered: bool = False


def look(record: Record, path: Path, said: Answers) -> Look:
    """Read a file and lay it out; what was kept for sheets headed so counts where nothing is said.

    Headers in `said` are as written, their columns as people call them. Raises `SheetRefused` where the file holds
    nothing that can be read.
    """
    keys = {header_key(header): column_meant(column) for header, column in said.columns.items()}
    try:
        tables = read_tables(path)
        with record.read() as session:
            every = remembered(session)
        kept = serving(tables, every)
        answers = with_remembered(Answers(keys, hidden=said.hidden, way=said.way, currency=said.currency), kept)
        sheets, remarks = lay_out(tables, answers)
    except Refused as refusal:
        raise SheetRefused(refusal, unread(())) from None
    headers = {header_key(heading.header) for sheet in sheets for heading in sheet.headings}
    for header in said.columns:
        if sheets and header_key(header) not in headers:
            raise Misused("no-such-header", f'no column of {path} is headed "{header}"', where="--map")
    if not sheets:
        nothing = Refused(
            "no-known-columns",
            f"{path} has no columns that are known here. Nothing was changed",
            hint='name them: --map "Their header=part number"; for the usual ones: matchmark sheet template t.xlsx',
        )
        raise SheetRefused(nothing, unread(()))
    return Look(
        path,
        sheets,
        [*remarks, *_noticed(sheets), *_served(kept)],
        answers,
        kept,
        bool(keys) or said != Answers(hidden=said.hidden),
    )


def column_meant(name: str) -> str:
    """The column a person means by a name."""
    columns = {header_key(column): column for sheet in SHEETS for column in sheet.columns}
    found = columns.get(header_key(name), KEPT if header_key(name) == KEPT else None)
    if found is None:
        near = nearest(name, list(columns.values()))
        raise Misused(
            "unknown-column", f'no column "{name}"', where="--map", hint=f"near: {', '.join(near)}" if near else None
        )
    return found


def refuse_doubts(sheets: Sequence[SheetIn]) -> None:
    """Refuse a file of which a header could be a column by which parts are told apart."""
    doubted = [(sheet, heading) for sheet in sheets for heading in doubts(sheet.headings)[0]]
    if doubted:
        first = doubted[0][1]
        named = ", ".join(f'"{heading.header}"' for _, heading in doubted)
        refusal = Refused(
            "doubtful-header",
            f"{named} could be a column by which parts are told apart, or something else. Nothing was changed",
            where=first.header,
            hint=f'say which: --map "{first.header}={first.doubt}", or keep it as it is: --map "{first.header}={KEPT}"'
            "; with --keep-answers that is asked only once for sheets headed so",
        )
        raise SheetRefused(refusal, unread(sheets))


def _served(kept: Sequence[Remembered]) -> Iterator[str]:
    for each in kept:
        yield f"Read with the answers that {each.by} kept on {each.on} for sheets headed so ({each.id})"


def _noticed(sheets: Sequence[SheetIn]) -> Iterator[str]:
    for sheet in sheets:
        for heading in doubts(sheet.headings)[1]:
            kept = "kept under its own name" if sheet.kind is PARTS else "not read"
            yield f'{sheet.name}: "{heading.header}" might be {heading.doubt} ({heading.score} of 100) and was {kept}'
        if sheet.kind is not PARTS:
            others = [f'"{each.header}"' for each in sheet.headings if each.column is None and not each.doubt]
            filled = {name for row in sheet.rows for name in row.extra}
            lost = [name for name in others if name.strip('"') in filled]
            if lost:
                yield f"{sheet.name}: no place for {', '.join(lost)}, which was not read"
