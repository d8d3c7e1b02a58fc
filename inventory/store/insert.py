"""Putting rows into their table past SQLAlchemy's work on each of them, which costs more than the engine's own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection

from inventory.store.engine import is_sqlite
from inventory.store.tables import Base, columns_of

__all__ = ["insert"]


def insert(connection: Connection, model: type[Base], rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows that give every column of a table."""
    values = list(map(itemgetter(*columns_of(model)), rows))
    connection.exec_driver_sql(_statement(model, "?" if is_sqlite(connection) else "%s"), values)


@cache
def _statement(model: type[Base], mark: str) -> str:
    names = tuple(columns_of(model))
    return f"INSERT INTO {model.__tablename__} ({', '.join(names)}) VALUES ({', '.join([mark] * len(names))})"  # noqa: S608 - names of the schema
