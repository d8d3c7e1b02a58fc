"""Answers saved for sheets with certain headers, and found again when such a sheet is read.

Saved answers apply to a sheet that has at least four fifths of the headers they were given for, and of whose own
headers they cover at least four fifths: so next month's sheet with one more column is read like the last one. If
several apply, the one that shares most headers goes first; what the user says now goes before all of them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.write import write
from inventory.people.queries import names_of_people
from inventory.record.tables import SheetMapping
from inventory.sheets.columns.catalogue import OURS, header_key
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.header_match import KEPT, numbered
from inventory.sheets.columns.header_rows import LAST_HEADER_ROW
from inventory.sheets.columns.layout import Answers, SheetLayout
from inventory.sheets.readers.tables import Table
from inventory.store.begin import RECORD_THING
from inventory.store.days.clock import today
from inventory.store.days.dates import when_on
from inventory.store.facts import Act, as_of, fact_id, make_fact, take_place
from inventory.store.journal.keys import supersede

__all__ = ["SavedMapping", "mappings_for", "save_mappings", "saved_mappings", "with_saved"]

_SHARED = 0.8


@dataclass(frozen=True)
class SavedMapping:
    """Saved answers: the id of the fact, when and by whom, the keys of the headers they are for, and the answers.

    `columns`: each header as written, and the column it was taken for.
    """

    id: str
    on: str
    by: str
    headers: frozenset[str]
    columns: dict[str, str]
    answers: Answers

    def as_dict(self) -> dict[str, Any]:
        """The object in the JSON of `sheet maps`."""
        cell_format = self.answers.cell_format
        return {
            "id": self.id,
            "on": self.on,
            "by": self.by,
            "columns": self.columns,
            "dates": cell_format.dates,
            "decimal": cell_format.decimal,
            "day_numbers": cell_format.counts_from,
            "currency": self.answers.currency,
            "answers": dict(self.answers.said),
        }


def mappings_for(tables: Sequence[Table], saved: Iterable[SavedMapping]) -> list[SavedMapping]:
    """The saved answers that apply to a file: the one that shares most headers first, then the newest."""
    headers = [each for table in tables for each in _possible_headers(table)]
    shares = [(max((_share(each.headers, header) for header in headers), default=0.0), each) for each in saved]
    return [each for share, each in sorted(shares, key=lambda pair: -pair[0]) if share >= _SHARED]


def _possible_headers(table: Table) -> Iterator[tuple[set[str], int]]:
    """The header keys of each row, and of each two rows as they are and joined; and how many columns they cover.

    Of tables beside each other those of each: the runs of cells between empty ones.
    """
    lines = [row.cells for row in table.rows[:LAST_HEADER_ROW]]
    for upper, lower in pairwise([*lines, []]):
        width = max(len(upper), len(lower))
        above, below = ([*line, *[""] * (width - len(line))] for line in (upper, lower))
        joined = [f"{one} {other}" for one, other in zip(above, below, strict=True)]
        alone = {header_key(cell) for cell in above} - OURS
        yield alone, len(alone)
        for filled, run in groupby(above, bool):
            beside = {header_key(cell) for cell in run} - OURS if filled else alone
            if len(beside) < len(alone):
                yield beside, len(beside)
        both = {header_key(cell) for cell in (*above, *below, *joined)} - OURS
        yield both, sum(1 for cell in joined if header_key(cell) not in OURS)


def _share(headers: frozenset[str], header: tuple[set[str], int]) -> float:
    keys, width = header
    return len(headers & keys) / max(len(headers), width, 1)


def with_saved(given: Answers, saved: Sequence[SavedMapping]) -> Answers:
    """The answers given now, completed from saved ones; the first of those goes before the others."""
    columns: Mapping[str, str] = given.columns
    answers = given
    for each in saved:
        columns = {**each.answers.columns, **columns}
        own, other = answers.cell_format, each.answers.cell_format
        completed = CellFormat(
            own.dates or other.dates, own.decimal or other.decimal, own.counts_from or other.counts_from
        )
        currency = answers.currency or each.answers.currency
        kept = each.answers.said  # as it is spelled there, where the same is said again
        anew = {key: said for key, said in answers.said.items() if said.casefold() != kept.get(key, "").casefold()}
        said = {**kept, **anew}
        answers = replace(answers, columns=columns, cell_format=completed, currency=currency, said=said)
    return answers


def saved_mappings(session: Session) -> list[SavedMapping]:
    """All saved answers that count, newest first."""
    rows = list(session.scalars(as_of(_of_the_record(), SheetMapping)))
    names = names_of_people(session, {row.by_id for row in rows})
    return [
        SavedMapping(
            fact_id(SheetMapping.__tablename__, row.id),
            row.so_from,
            names[row.by_id],
            frozenset(json.loads(row.headers)),
            columns := json.loads(row.answers),
            Answers(
                {header_key(header): column for header, column in columns.items()},
                cell_format=CellFormat(
                    row.dates,
                    row.decimal,
                    int(row.day_numbers) if row.day_numbers else None,
                ),
                currency=row.currency,
                said=json.loads(row.mends) if row.mends else {},
            ),
        )
        for row in sorted(rows, key=lambda row: row.id, reverse=True)
    ]


def save_mappings(session: Session, act: Act, sheets: Sequence[SheetLayout], answers: Answers) -> int:
    """Save how each of these sheets is read, and return how many mappings were written.

    A mapping for the same headers is superseded, unless it is equal.
    """
    standing = {row.headers: row for row in session.scalars(as_of(_of_the_record(), SheetMapping))}
    rows: list[Any] = []
    count = 0
    for values in {each["headers"]: each for each in (_values(sheet, answers) for sheet in sheets)}.values():
        old = standing.get(values["headers"])
        if old is not None and all(getattr(old, name) == value for name, value in values.items()):
            continue
        fact = make_fact(SheetMapping, act, RECORD_THING, when_on(None, today()), how_known="said", **values)
        if old is not None:
            supersede(session, act, old, fact)
            take_place(fact, old)
            rows.append(old)
        rows.append(fact)
        count += 1
    if rows:
        write(session, act, rows)
    return count


def _of_the_record() -> Any:
    return select(SheetMapping).where(SheetMapping.thing_id == RECORD_THING)


def _values(sheet: SheetLayout, answers: Answers) -> dict[str, Any]:
    """A sheet's headers and the column of each, the second of one name as "Number (2)"; doubtful ones are left out."""
    # A column that only an answer added is not in the file; one that an answer divided has no meaning of its own.
    headings = [each for each in sheet.headings if not each.given or each.header != each.column]
    keys = [header_key(each.header) for each in headings]
    names = numbered([each.header for each in headings])
    columns = {
        name: each.column or KEPT
        for key, name, each in zip(keys, names, headings, strict=True)
        if not (each.doubt or each.given) and key not in OURS
    }
    written = answers.cell_format
    return {
        "headers": json.dumps(sorted(set(keys) - OURS), ensure_ascii=False),
        "answers": json.dumps(columns, ensure_ascii=False, sort_keys=True),
        "dates": written.dates,
        "decimal": written.decimal,
        "day_numbers": str(written.counts_from) if written.counts_from else None,
        "currency": answers.currency,
        "mends": json.dumps(dict(answers.said), ensure_ascii=False, sort_keys=True) if answers.said else None,
    }
