"""Keeps a session from writing in any way but through `store.journal.write`."""

from __future__ import annotations

from sqlalchemy import event
from sqlalchemy.orm import ORMExecuteState, Session

from inventory.store import tally

__all__ = ["DOOR", "guard"]

#: Set in a session's `info` while the journal writes.
DOOR = "journal_door_open"


def guard(session: Session) -> None:
    """Refuse every write of this session that does not come through `write`; count what it commits."""

    @event.listens_for(session, "before_flush")
    def _flush(opened: Session, *_: object) -> None:
        if (opened.new or opened.dirty or opened.deleted) and not opened.info.get(DOOR):
            raise RuntimeError("rows are written through store.journal.write only")

    @event.listens_for(session, "do_orm_execute")
    def _execute(state: ORMExecuteState) -> None:
        changes = state.is_insert or state.is_update or state.is_delete
        if changes and not state.session.info.get(DOOR):
            raise RuntimeError("rows are written through store.journal.write only")

    @event.listens_for(session, "after_commit")
    def _written(_: Session) -> None:
        tally.add()
