"""Queries in SQL text: on a session, or on one file without SQLAlchemy, whose import takes some 220 ms."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from inventory.store.connection.guarded import guard
from inventory.store.connection.reading import may_write, open_to_read, open_to_work

if TYPE_CHECKING:
    from sqlalchemy import Connection
    from sqlalchemy.orm import Session

__all__ = ["Source", "among", "engine_of", "fetch_all", "look_at_file"]

#: What can be asked. The SQL names its parameters `:name` and is written once for all of them.
Source: TypeAlias = "sqlite3.Connection | Connection | Session"


def fetch_all(source: Source, sql: str, parameters: Mapping[str, object] | None = None) -> list[tuple[Any, ...]]:
    """All rows that an SQL text selects."""
    if isinstance(source, sqlite3.Connection):
        return source.execute(sql, parameters or {}).fetchall()
    from sqlalchemy import text
    from sqlalchemy.orm import Session

    connection = source.connection() if isinstance(source, Session) else source
    if connection.dialect.name == "sqlite":  # fetched past SQLAlchemy, whose part in it costs more than the engine's
        cursor: Any = connection.exec_driver_sql(sql, dict(parameters or {})).cursor
        found: list[tuple[Any, ...]] = cursor.fetchall()
        return found
    return [tuple(row) for row in connection.execute(text(sql), dict(parameters or {}))]


def among(keys: Sequence[int]) -> tuple[str, dict[str, int]]:
    """The text inside `IN (...)` for these keys, and the parameters."""
    names = {f"key{place}": key for place, key in enumerate(keys)}
    return ", ".join(f":{name}" for name in names), names


def engine_of(source: Source) -> str:
    """The engine's name: sqlite, postgresql."""
    if isinstance(source, sqlite3.Connection):
        return "sqlite"
    from sqlalchemy.orm import Session

    return (source.get_bind() if isinstance(source, Session) else source).dialect.name


@contextmanager
def look_at_file(path: Path) -> Iterator[sqlite3.Connection]:
    """One state of a record that is a file, to be read only."""
    writable = may_write(path)
    opened = open_to_work(path, timeout=20) if writable else open_to_read(path, timeout=20)
    with closing(opened) as connection:
        guard(connection, str(path))
        connection.execute("PRAGMA query_only = ON")
        connection.execute("BEGIN")
        yield connection
