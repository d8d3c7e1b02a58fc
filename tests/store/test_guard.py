"""Rows are written through the journal only: whatever goes past it is refused, and nothing is changed."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session
from sqlalchemy.orm.exc import UnmappedInstanceError

from inventory.parts.tables import Note, Part
from inventory.store.record import Record
from inventory.verification import verify
from tests.build import make_part


def _change(session: Session) -> None:
    session.scalars(sa.select(Part)).one().maker = "Halvard"
    session.flush()


def _remove(session: Session) -> None:
    session.delete(session.scalars(sa.select(Part)).one())
    session.flush()


def _commit_a_change(session: Session) -> None:
    session.scalars(sa.select(Part)).one().maker = "Halvard"
    session.commit()


def _insert(session: Session) -> None:
    session.execute(sa.insert(Note), [{"thing_id": 1, "text": "past the journal"}])


def _update(session: Session) -> None:
    session.execute(sa.update(Part).values(maker="Halvard"))


def _delete(session: Session) -> None:
    session.execute(sa.delete(Part))


@pytest.mark.parametrize(
    "past_the_journal",
    [_change, _remove, _commit_a_change, _insert, _update, _delete],
    ids=lambda each: each.__name__,
)
def test_a_write_past_the_journal_is_refused(record: Record, past_the_journal: Callable[[Session], None]) -> None:
    make_part(record)
    before = verify(record)
    with pytest.raises(RuntimeError, match=r"store\.journal\.write only"), record.write() as session:
        past_the_journal(session)
    assert verify(record) == before
    assert before.ok


def test_a_session_takes_no_row_that_was_made(record: Record) -> None:
    made = Note(thing_id=1, text="past the journal")

    with record.write() as session, pytest.raises(UnmappedInstanceError):
        session.add(made)

    assert verify(record).ok


def test_a_session_that_reads_writes_nothing(record: Record) -> None:
    make_part(record)
    with pytest.raises(RuntimeError, match=r"store\.journal\.write only"), record.read() as session:
        _change(session)


def test_what_stops_in_the_middle_of_an_act_leaves_nothing(record: Record) -> None:
    make_part(record)
    before = verify(record)

    class StoppedError(Exception):
        pass

    from inventory.parts import actions
    from inventory.parts.markings import Markings

    def stop(session: Session) -> None:
        actions.add_part(session, "Ines", Markings(kind="relay"))
        raise StoppedError

    with pytest.raises(StoppedError), record.write() as session:
        stop(session)
    assert verify(record) == before
