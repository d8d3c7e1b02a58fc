"""How many statements a piece of work sends: what must not grow with the number of rows.

    with counted(record) as sent:
        parts.note(...)
    assert len(sent) < 20

A statement that is run for many rows at once counts as one, as it is one to the engine. Rows that go to PostgreSQL by
COPY are sent past SQLAlchemy and are not counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import event

from inventory.store.record import Record

__all__ = ["counted"]


@contextmanager
def counted(record: Record) -> Iterator[list[str]]:
    """The statements that any session of a record sends within, as they are sent."""
    sent: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_: Any) -> None:
        sent.append(statement)

    event.listen(record.engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(record.engine, "before_cursor_execute", note)
