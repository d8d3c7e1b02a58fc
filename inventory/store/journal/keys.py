"""Row keys, handed out before the rows are written so that the journal can name them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from sqlalchemy import func, select, text
from sqlalchemy.orm import Session

from inventory.store.connection.engine import is_sqlite
from inventory.store.facts import Act, fact_id
from inventory.store.tables import Base, FactColumns, Thing

__all__ = ["new_things", "reserve", "supersede", "supersede_all"]


def reserve(session: Session, model: type[Base], count: int) -> range | list[int]:
    """`count` fresh keys of a table. On SQLite the write lock is held; on PostgreSQL the sequence gives them."""
    if is_sqlite(session.get_bind()):
        key = model.__table__.c["id"]
        start = (session.scalar(select(func.max(key))) or 0) + 1 + session.info.get(("reserved", model), 0)
        session.info["reserved", model] = session.info.get(("reserved", model), 0) + count
        return range(start, start + count)
    named = "(SELECT CAST(pg_get_serial_sequence(:name, 'id') AS regclass))"  # looked up once, not for every key
    sequence = text(f"SELECT nextval({named}) FROM generate_series(1, :count)")  # noqa: S608 - text of ours
    return list(session.scalars(sequence, {"name": model.__tablename__, "count": count}))


def supersede(session: Session, act: Act, old: FactColumns, anew: FactColumns) -> None:
    """Replace a fact by one that is not written yet; the new one gets its key now, so that it can be named."""
    supersede_all(session, act, [(old, anew)])


def supersede_all(session: Session, act: Act, pairs: Iterable[tuple[FactColumns, FactColumns]]) -> None:
    """The same for many pairs of an old and a new fact, with one statement for each table."""
    by_model: dict[Any, list[tuple[FactColumns, FactColumns]]] = defaultdict(list)
    for old, anew in pairs:
        by_model[type(anew)].append((old, anew))
    for model, several in by_model.items():
        for (old, anew), key in zip(several, reserve(session, model, len(several)), strict=True):
            anew.id = key
            old.superseded_by = fact_id(model, key)
            old.superseded_on = act.today.isoformat()


def new_things(session: Session, kind: str, count: int = 1) -> list[Thing]:
    """Things not yet written, with their keys."""
    return [Thing(id=key, kind=kind) for key in reserve(session, Thing, count)]
