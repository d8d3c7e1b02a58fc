"""Row keys, handed out before the rows are written so that the journal can name them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import func, select, text
from sqlalchemy.orm import Session

from inventory.store.engine import is_sqlite
from inventory.store.facts import Act, fact_id
from inventory.store.tables import Base, FactColumns, Thing

__all__ = ["new_things", "reserve", "supersede"]


def reserve(session: Session, model: type[Base], count: int) -> range | list[int]:
    """`count` fresh keys of a table. On SQLite the write lock is held; on PostgreSQL the sequence gives them."""
    if is_sqlite(session.get_bind()):
        key = model.__table__.c["id"]
        start = (session.scalar(select(func.max(key))) or 0) + 1 + session.info.get(("reserved", model), 0)
        session.info["reserved", model] = session.info.get(("reserved", model), 0) + count
        return range(start, start + count)
    sequence = text("SELECT nextval(pg_get_serial_sequence(:name, 'id')) FROM generate_series(1, :count)")
    return list(session.scalars(sequence, {"name": model.__tablename__, "count": count}))


def supersede(session: Session, act: Act, old: FactColumns, anew: FactColumns) -> None:
    """Let a fact that is not written yet take the place of one that stands: it gets its key now, to be named by."""
    model: Any = type(anew)
    (anew.id,) = reserve(session, model, 1)
    old.superseded_by = fact_id(model, anew.id)
    old.superseded_on = act.today.isoformat()


def new_things(session: Session, kind: str, count: int = 1) -> list[Thing]:
    """Things not yet written, with their keys."""
    return [Thing(id=key, kind=kind) for key in reserve(session, Thing, count)]
