"""Sessions that write only through `store.journal.write`, and give entries their places at the commit.

What is listened to is listened to once, for the class: sessions come and go in several threads, and each making
its own would change what another is just going through.
"""

from __future__ import annotations

from sqlalchemy import event
from sqlalchemy.orm import ORMExecuteState, Session

from inventory.store.connection import commit_count as tally
from inventory.store.journal import log

__all__ = ["ACTS", "DOOR", "RecordSession"]

#: Where a session's `info` keeps the keys of the acts begun in it.
ACTS = "acts"

#: Set in a session's `info` while the journal writes.
DOOR = "journal_door_open"


class RecordSession(Session):
    """A session that refuses every write that does not come through the journal, and counts what it commits."""


@event.listens_for(RecordSession, "before_flush")
def _flush(opened: Session, *_: object) -> None:
    if (opened.new or opened.dirty or opened.deleted) and not opened.info.get(DOOR):
        raise RuntimeError("rows are written through store.journal.write only")


@event.listens_for(RecordSession, "do_orm_execute")
def _execute(state: ORMExecuteState) -> None:
    changes = state.is_insert or state.is_update or state.is_delete
    if changes and not state.session.info.get(DOOR):
        raise RuntimeError("rows are written through store.journal.write only")


@event.listens_for(RecordSession, "before_commit")
def _committing(opened: Session) -> None:
    log.give_places(opened)


@event.listens_for(RecordSession, "after_rollback")
def _rolled_back(opened: Session) -> None:
    opened.info.pop(log.PENDING, None)


@event.listens_for(RecordSession, "after_commit")
def _written(_: Session) -> None:
    tally.add()
