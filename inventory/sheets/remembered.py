"""Answers kept for sheets with certain headers, and found again when such a sheet is read.

Kept answers serve a sheet that has at least four fifths of the headers they were given for, and of whose own headers
they know at least four fifths: so next month's sheet with a column more is read as the last one was. Of several the
one that shares most serves; what is said now goes before what was kept.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.parts.history import names_of_people
from inventory.provenance.tables import SheetMapping
from inventory.sheets.columns import WRONG, header_key
from inventory.sheets.grid import Table
from inventory.sheets.headers import KEPT
from inventory.sheets.heads import LAST_HEAD
from inventory.sheets.layout import Answers, SheetIn
from inventory.sheets.ways import Way
from inventory.store import journal
from inventory.store.begin import RECORD_THING
from inventory.store.clock import today
from inventory.store.dates import when_on
from inventory.store.facts import Act, as_of, fact_id, make_fact, take_place
from inventory.store.keys import supersede

__all__ = ["Remembered", "remember", "remembered", "serving", "with_remembered"]

_SHARED = 0.8


@dataclass(frozen=True)
class Remembered:
    """Answers kept: the fact's id, when and by whom; the keys of the headers they are for, and the answers.

    `columns`: each header as written, and the column it was taken for.
    """

    id: str
    on: str
    by: str
    headers: frozenset[str]
    columns: dict[str, str]
    answers: Answers

    def as_dict(self) -> dict[str, Any]:
        """The object that stands in JSON."""
        way = self.answers.way
        return {
            "id": self.id,
            "on": self.on,
            "by": self.by,
            "columns": self.columns,
            "dates": way.dates,
            "decimal": way.decimal,
            "day_numbers": way.counts_from,
            "currency": self.answers.currency,
        }


def serving(tables: Sequence[Table], kept: Iterable[Remembered]) -> list[Remembered]:
    """Those that serve the sheets of a file, the one that shares most headers first, then the newest."""
    heads = [head for table in tables for head in _heads(table)]
    shares = [(max((_share(each.headers, head) for head in heads), default=0.0), each) for each in kept]
    return [each for share, each in sorted(shares, key=lambda pair: -pair[0]) if share >= _SHARED]


def _heads(table: Table) -> Iterable[tuple[set[str], int]]:
    """What may be heads: the keys of a line, or of two as they stand and joined; and how many columns they head."""
    lines = [cells for _, cells in table.rows[:LAST_HEAD]]
    for upper, lower in pairwise([*lines, []]):
        width = max(len(upper), len(lower))
        above, below = ([*line, *[""] * (width - len(line))] for line in (upper, lower))
        joined = [f"{one} {other}" for one, other in zip(above, below, strict=True)]
        alone = {header_key(cell) for cell in above} - {"", header_key(WRONG)}
        yield alone, len(alone)
        both = ({header_key(cell) for cell in (*above, *below, *joined)}) - {"", header_key(WRONG)}
        yield both, sum(1 for cell in joined if header_key(cell) not in ("", header_key(WRONG)))


def _share(headers: frozenset[str], head: tuple[set[str], int]) -> float:
    keys, width = head
    return len(headers & keys) / max(len(headers), width, 1)


def with_remembered(said: Answers, kept: Sequence[Remembered]) -> Answers:
    """What is said now, and where nothing is said what was kept; the first kept goes before the others."""
    columns: Mapping[str, str] = said.columns
    answers = said
    for each in kept:
        columns = {**each.answers.columns, **columns}
        way, other = answers.way, each.answers.way
        answers = replace(
            answers,
            columns=columns,
            way=Way(way.dates or other.dates, way.decimal or other.decimal, way.counts_from or other.counts_from),
            currency=answers.currency or each.answers.currency,
        )
    return answers


def remembered(session: Session) -> list[Remembered]:
    """All that is kept and stands, newest first."""
    query = as_of(select(SheetMapping).where(SheetMapping.thing_id == RECORD_THING), SheetMapping)
    rows = list(session.scalars(query))
    names = names_of_people(session, {row.by_id for row in rows})
    return [
        Remembered(
            fact_id(SheetMapping.__tablename__, row.id),
            row.so_from,
            names[row.by_id],
            frozenset(json.loads(row.headers)),
            columns := json.loads(row.answers),
            Answers(
                {header_key(header): column for header, column in columns.items()},
                way=Way(row.dates, row.decimal, int(row.day_numbers) if row.day_numbers else None),  # type: ignore[arg-type]
                currency=row.currency,
            ),
        )
        for row in sorted(rows, key=lambda row: row.id, reverse=True)
    ]


def remember(session: Session, act: Act, sheets: Sequence[SheetIn], said: Answers) -> int:
    """Keep how each of these sheets is read. What was kept for the same headers is superseded, unless it is the same.

    Gives how many were written.
    """
    query = as_of(select(SheetMapping).where(SheetMapping.thing_id == RECORD_THING), SheetMapping)
    standing = {row.headers: row for row in session.scalars(query)}
    rows: list[Any] = []
    count = 0
    for sheet in sheets:
        values = _values(sheet, said)
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
        journal.write(session, act, rows)
    return count


def _values(sheet: SheetIn, said: Answers) -> dict[str, Any]:
    """A sheet's headers and what each was taken for; one that stands twice, or is in doubt, is left open."""
    keys = [header_key(each.header) for each in sheet.headings]
    taken = {
        each.header: each.column or KEPT
        for key, each in zip(keys, sheet.headings, strict=True)
        if keys.count(key) == 1 and not each.doubt and key not in ("", header_key(WRONG))
    }
    numbers = str(said.way.counts_from) if said.way.counts_from else None
    return {
        "headers": json.dumps(sorted(set(keys) - {"", header_key(WRONG)}), ensure_ascii=False),
        "answers": json.dumps(taken, ensure_ascii=False, sort_keys=True),
        "dates": said.way.dates,
        "decimal": said.way.decimal,
        "day_numbers": numbers,
        "currency": said.currency,
    }
