"""Do the chains of some things fit, or of all? Asked before a paper about them leaves the house."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator
from functools import cache
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from inventory.store.journal.log import HEAD
from inventory.store.many import among
from inventory.store.tables import Base, JournalEntry, LogHead, LogPlace, Thing
from inventory.store.verify.chains import Replay
from inventory.store.verify.log import log_problems, read_log
from inventory.store.verify.problems import Finding, Problem, named, shown
from inventory.store.verify.replay import compared, replay_problems

__all__ = ["chains_fit"]

_LOG = LogPlace.__tablename__


def chains_fit(session: Session, things: Collection[int] | None = None) -> list[Problem]:
    """What does not fit in the chains of these things, of those that their facts name, and in the log; None: of all.

    Of some things the log is asked for its length and for their entries, not for the tree over all of it.
    """
    if things is None:
        return [*replay_problems(session)[1], *log_problems(session, read_log(session))]
    return _of_some(session, set(things))


def _of_some(session: Session, things: set[int]) -> list[Problem]:
    first = compared(session, _one_of(things))
    beyond = _named_in(first) - things
    further = compared(session, _one_of(beyond))
    log = [*_log_findings(session, things | beyond)]
    images = first.images() | further.images()
    return [*named(session, [*first.findings, *further.findings, *log], images), *_length_problems(session)]


def _one_of(things: Collection[int]) -> Callable[[ColumnElement[Any]], ColumnElement[bool]]:
    keys = list(things)
    return lambda column: among(column, keys)


def _named_in(found: Replay) -> set[int]:
    """The things that rows refer to."""
    refers = _refers()
    held = (implied.image.get(column) for (table, _), implied in found.rows.items() for column in refers[table])
    return {key for key in held if isinstance(key, int)}


@cache
def _refers() -> dict[str, tuple[str, ...]]:
    """By table, the columns that refer to things."""
    thing: Any = Thing.__table__
    of_things = {thing.name} | {
        table.name
        for table in Base.metadata.tables.values()
        if "id" in table.c and any(key.column.table is thing for key in table.c.id.foreign_keys)
    }
    return {
        table.name: tuple(
            key.parent.name
            for key in table.foreign_keys
            if key.column.table.name in of_things and key.parent.name not in ("id", "thing_id")
        )
        for table in Base.metadata.tables.values()
    }


def _log_findings(session: Session, things: Collection[int]) -> Iterator[Finding]:
    """Entries of things that have no place in the log, or more than one; places whose entry is gone."""
    entry, place = JournalEntry.__table__.c, LogPlace.__table__.c
    connection, keys = session.connection(), list(things)
    there, placed = (
        Counter(map(tuple, connection.execute(select(of.thing_id, of.sequence).where(among(of.thing_id, keys)))))
        for of in (entry, place)
    )
    for thing_id, sequence in sorted(there.keys() | placed.keys(), key=str):
        if there[thing_id, sequence] != placed[thing_id, sequence]:
            is_gone = not there[thing_id, sequence]
            says = "is gone; its place in the log is there" if is_gone else "does not stand in the log once"
            yield Finding(thing_id, _LOG, None, f": entry {shown(sequence)} of its journal {says}", sequence)


def _length_problems(session: Session) -> Iterator[Problem]:
    """Whether the log is as long as its head says, and has no gap."""
    place, head = LogPlace.__table__.c, LogHead.__table__.c
    connection = session.connection()
    many, last = connection.execute(select(func.count(place.place), func.max(place.place))).one()
    size = connection.scalar(select(head.size).where(head.id == HEAD))
    if not (many == size == (last or 0)):
        says = f"the log has {many} places up to {shown(last)}; by its head it had {shown(size)} entries"
        yield Problem("the log", None, _LOG, None, says)
