"""Is every row as the journal says? Compared both ways, some things at a time.

Knows tables, keys and columns only; what rows mean is checked by their subjects. A word or number put in
from outside may be of any type, so values are compared with their types.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from itertools import pairwise
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table, and_, select
from sqlalchemy.orm import Session

from inventory.store.tables import (
    Base,
    DocumentContent,
    JournalEntry,
    LogHead,
    LogPlace,
    Personal,
    SearchEntry,
    Thing,
)
from inventory.store.verify.chains import Replay, Said, replay
from inventory.store.verify.problems import Finding, Problem, named, shown, when_written
from inventory.store.verify.schema import owner, spaced

__all__ = ["compared", "replay_problems"]

#: How many things are held in memory at once.
BATCH = 4000
_APART = {model.__tablename__ for model in (JournalEntry, LogPlace, LogHead, Personal, SearchEntry, DocumentContent)}


def replay_problems(session: Session, batch: int = BATCH) -> tuple[int, list[Problem]]:
    """Replay every chain and compare what it implies with the rows that are there, both ways.

    Gives the number of entries read, and the problems.
    """
    entries, problems = 0, []
    for low, high in _batches(session.connection(), batch):
        found = compared(session, partial(_between, low=low, high=high))
        entries += found.entries
        problems += named(session, found.findings, found.images())
    return entries, problems


def compared(session: Session, within: Callable[[ColumnElement[Any]], ColumnElement[bool]]) -> Replay:
    """Replay the chains of some things and compare what they imply with the rows of these things, both ways.

    `within`: whether a column has one of the things.
    """
    tables = {name: table for name, table in Base.metadata.tables.items() if name not in _APART}
    connection = session.connection()
    found = replay(connection, within(JournalEntry.__table__.c.thing_id), tables)
    unseen = set(found.rows)
    for name, table in tables.items():
        columns = table.c.keys()
        for row in connection.execute(select(table).where(within(owner(table)))).all():
            unseen.discard((name, row.id))
            _compare(found, name, columns, row)
    for name, key in sorted(unseen, key=str):
        _missing(connection, found, tables[name], key)
    return found


def _batches(connection: Connection, size: int) -> Iterator[tuple[Any, Any]]:
    """Bounds of things, `size` at a time; the first and last are open, so that no row falls outside."""
    keys = list(connection.scalars(select(Thing.id).order_by(Thing.id)))
    bounds = [None, *keys[size::size], None]
    yield from pairwise(bounds)


def _between(column: ColumnElement[Any], low: Any, high: Any) -> ColumnElement[bool]:
    limits = [] if low is None else [column >= low]
    return and_(True, *limits, *([] if high is None else [column < high]))


def _compare(found: Replay, table: str, columns: list[str], row: Any) -> None:
    """One row that is there against the journal. A column that an entry does not say is empty."""
    implied = found.rows.get((table, row.id))
    if implied is None:
        says = f": {spaced(table)} {shown(row.id)} stands in no entry of its journal"
        found.findings.append(Finding(getattr(row, "thing_id", row.id), table, None, says))
        return
    said = tuple(map(implied.image.get, columns))
    if tuple(row) == said and list(map(type, row)) == list(map(type, said)):
        return
    for name, was, now in zip(columns, said, row, strict=True):
        if type(was) is not type(now) or was != now:
            entry = implied.said(name)
            says = f"{_in(table, entry)}: {spaced(name)} was {shown(was)} when it was written and is {shown(now)} now"
            found.findings.append(Finding(implied.thing_id, table, name, says, entry.entry))


def _missing(connection: Connection, found: Replay, table: Table, key: Any) -> None:
    """A row the journal implies and that is not among its thing's rows."""
    implied = found.rows[table.name, key]
    moved = None
    if "thing_id" in table.c and isinstance(key, int):
        moved = connection.scalar(select(table.c.thing_id).where(table.c.id == key))
    said = _in(table.name, implied.made)
    if moved is None:
        finding = Finding(implied.thing_id, table.name, None, f"{said}: the row is gone", implied.made.entry)
    else:
        says = f"{said}: it has been put to another thing ({shown(moved)})"
        finding = Finding(implied.thing_id, table.name, "thing_id", says, implied.made.entry)
    found.findings.append(finding)


def _in(table: str, said: Said) -> str:
    return f", {when_written(said.at)}, {spaced(table)}"
