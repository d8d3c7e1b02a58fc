"""Is every row as the journal says, and the journal itself whole? Compared both ways, some things at a time.

Knows tables, keys and columns only; what rows mean is checked by their subjects. A word or number put in
from outside may be of any type, so values are compared with their types.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, Table, and_, select, text
from sqlalchemy.orm import Session

from inventory.store.chains import Replay, Totals, replay
from inventory.store.journal import SLOTS, canonical
from inventory.store.problems import Finding, Problem, named, shown, when_written
from inventory.store.tables import (
    Base,
    Checkpoint,
    DocumentContent,
    JournalEntry,
    Personal,
    RecordInfo,
    SearchEntry,
    Thing,
)
from inventory.store.version import HEAD

__all__ = ["broken_references", "checkpoint_problems", "fingerprint", "replay_problems", "revision_problems"]

#: How many things are held in memory at once.
BATCH = 1000
_APART = {model.__tablename__ for model in (JournalEntry, Checkpoint, Personal, SearchEntry, DocumentContent)}


def replay_problems(session: Session, totals: Totals, batch: int = BATCH) -> Iterator[Problem]:
    """Replay every chain and compare what it implies with the rows that are there, both ways."""
    tables = {name: table for name, table in Base.metadata.tables.items() if name not in _APART}
    connection = session.connection()
    for low, high in _batches(connection, batch):
        found = replay(connection, _between(JournalEntry.__table__.c.thing_id, low, high), tables, totals)
        unseen = set(found.rows)
        for name, table in tables.items():
            for row in connection.execute(select(table).where(_between(_owner(table), low, high))).mappings():
                unseen.discard((name, row["id"]))
                _compare(found, table, dict(row))
        for name, key in sorted(unseen, key=str):
            _missing(connection, found, tables[name], key)
        yield from named(session, found.findings, found.images())


def checkpoint_problems(session: Session, totals: Totals) -> list[Problem]:
    """Do the checkpoint's numbers and sums fit the entries that are there?"""
    table = Checkpoint.__tablename__
    rows = {slot: (count, total) for slot, count, total in session.execute(select(*Checkpoint.__table__.c))}
    problems = [
        Problem(f"checkpoint {slot}", None, table, None, f"checkpoint {slot} is missing")
        for slot in range(SLOTS)
        if slot not in rows
    ]
    for slot, (count, total) in sorted(rows.items(), key=lambda row: str(row[0])):
        where = f"checkpoint {shown(slot)}"
        if slot not in range(SLOTS):
            problems.append(Problem(where, None, table, "slot", f"{where} is none of the program's"))
            continue
        if count != totals.entries[slot]:
            says = f"{where} counts {shown(count)} entries, the journal holds {totals.entries[slot]}"
            problems.append(Problem(where, None, table, "entries", says))
        if total != f"{totals.sums[slot]:064x}":
            says = f"{where}: its sum is not that of the journal's entries; some were removed, added or changed"
            problems.append(Problem(where, None, table, "sum", says))
    return problems


def fingerprint(session: Session, totals: Totals) -> str:
    """SHA-256 over which record this is and every checkpoint: what to keep elsewhere."""
    identity = session.scalar(select(RecordInfo.identity).order_by(RecordInfo.id).limit(1))
    sums = [[count, f"{total:064x}"] for count, total in zip(totals.entries, totals.sums, strict=True)]
    return hashlib.sha256(canonical([str(identity), sums]).encode("utf-8", "surrogatepass")).hexdigest()


def revision_problems(session: Session) -> list[Problem]:
    """Is the schema marked with the revision this program writes, once?"""
    held = [row[0] for row in session.execute(text("SELECT version_num FROM alembic_version"))]
    if held == [HEAD]:
        return []
    says = f"the record is marked with schema {', '.join(map(shown, held)) or 'none'}, not with {HEAD}"
    return [Problem("the record", None, "alembic_version", "version_num", says)]


def broken_references(session: Session) -> list[Problem]:
    """Rows that point at a row that is not there."""
    keys = [
        (table.name, key.parent.name, key.column)
        for table in Base.metadata.sorted_tables
        for key in sorted(table.foreign_keys, key=lambda each: each.parent.name)
    ]
    queries = [
        f"SELECT {number} AS which, {_owner(Base.metadata.tables[table]).name}, {column} FROM {table} AS child "  # noqa: S608 - names of the schema
        f"WHERE {column} IS NOT NULL AND NOT EXISTS "
        f"(SELECT 1 FROM {target.table.name} AS parent WHERE parent.{target.name} = child.{column})"
        for number, (table, column, target) in enumerate(keys)
    ]
    findings = []
    for which, thing_id, value in session.execute(text(" UNION ALL ".join(queries) + " ORDER BY 1, 2")):
        table, column, target = keys[which]
        says = f": {_spaced(table)} points at {_spaced(target.table.name)} {shown(value)}, which is not there"
        findings.append(Finding(thing_id, table, column, says))
    return named(session, findings)


def _batches(connection: Connection, size: int) -> Iterator[tuple[Any, Any]]:
    """Bounds of things, `size` at a time; the first and last are open, so that no row falls outside."""
    keys = list(connection.scalars(select(Thing.id).order_by(Thing.id)))
    bounds = [None, *keys[size::size], None]
    yield from pairwise(bounds)


def _between(column: ColumnElement[Any], low: Any, high: Any) -> ColumnElement[bool]:
    limits = [] if low is None else [column >= low]
    return and_(True, *limits, *([] if high is None else [column < high]))


def _owner(table: Table) -> Column[Any]:
    """The column that holds the thing a row belongs to."""
    return next(table.c[name] for name in ("thing_id", "part_id", "id", "digest") if name in table.c)


def _compare(found: Replay, table: Table, row: dict[str, Any]) -> None:
    """One row that is there against the journal."""
    implied = found.rows.get((table.name, row["id"]))
    thing_id = row.get("thing_id", row["id"])
    if implied is None:
        says = f": {_spaced(table.name)} {shown(row['id'])} stands in no entry of its journal"
        found.findings.append(Finding(thing_id, table.name, None, says))
        return
    for name in table.c.keys():  # noqa: SIM118 - a collection of columns, not a mapping
        was, now = implied.image.get(name), row[name]
        if type(was) is not type(now) or was != now:
            says = (
                f", {when_written(implied.at)}, {_spaced(table.name)}: {_spaced(name)} was {shown(was)} "
                f"when it was written and is {shown(now)} now"
            )
            found.findings.append(Finding(implied.thing_id, table.name, name, says, implied.entry))


def _missing(connection: Connection, found: Replay, table: Table, key: Any) -> None:
    """A row the journal implies and that is not among its thing's rows."""
    implied = found.rows[table.name, key]
    moved = None
    if "thing_id" in table.c and isinstance(key, int):
        moved = connection.scalar(select(table.c.thing_id).where(table.c.id == key))
    said = f", {when_written(implied.at)}, {_spaced(table.name)}"
    if moved is None:
        finding = Finding(implied.thing_id, table.name, None, f"{said}: the row is gone", implied.entry)
    else:
        says = f"{said}: it has been put to another thing ({shown(moved)})"
        finding = Finding(implied.thing_id, table.name, "thing_id", says, implied.entry)
    found.findings.append(finding)


def _spaced(name: str) -> str:
    return name.removesuffix("_id").replace("_", " ")
