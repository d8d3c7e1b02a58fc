"""Writes rows without SQLAlchemy's work on each of them, which costs more than the engine's."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Integer
from sqlalchemy.exc import DBAPIError

from inventory.store.connection.engine import is_sqlite
from inventory.store.tables import Base, columns_of

__all__ = ["insert", "update"]


def insert(connection: Connection, model: type[Base], rows: Iterable[Mapping[str, Any]]) -> None:
    """Insert rows that give every column of a table: by one statement on SQLite, by COPY on PostgreSQL.

    COPY takes one row after the other, so that they need not all be in memory.
    """
    if is_sqlite(connection):
        held = list(rows)
        names = _filled(model, held)
        connection.exec_driver_sql(_statement(model, names), list(map(itemgetter(*names), held)))
        return
    values = map(itemgetter(*columns_of(model)), rows)
    driver: Any = connection.connection
    with driver.cursor() as cursor:
        try:
            with cursor.copy(_copy(model)) as copy:
                for row in values:
                    copy.write_row(row)
        except connection.dialect.loaded_dbapi.Error as said:  # as SQLAlchemy hands it on
            gone = connection.dialect.is_disconnect(said, driver, cursor)
            raise DBAPIError(_copy(model), None, said, connection_invalidated=gone) from said


def update(connection: Connection, model: type[Base], names: Sequence[str], rows: list[tuple[Any, ...]]) -> None:
    """Set columns (`names`) of many rows by one statement; each row gives its values, and at last its key."""
    if is_sqlite(connection):
        connection.exec_driver_sql(_setting(model, tuple(names)), rows)
    else:
        connection.exec_driver_sql(_setting_from(model, tuple(names)), tuple(map(list, zip(*rows, strict=True))))


def _filled(model: type[Base], rows: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    """The columns that are not null in every row: a null costs SQLite's driver several times as much as a text."""
    first, nulls = rows[0], [None] * len(rows)
    every = tuple(columns_of(model))
    names = tuple(name for name in every if first[name] is not None or list(map(itemgetter(name), rows)) != nulls)
    return names if len(names) > 1 else every


@cache
def _statement(model: type[Base], names: tuple[str, ...]) -> str:
    return f"INSERT INTO {model.__tablename__} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"  # noqa: S608 - names of the schema


@cache
def _copy(model: type[Base]) -> str:
    return f"COPY {model.__tablename__} ({', '.join(columns_of(model))}) FROM STDIN"


@cache
def _setting(model: type[Base], names: tuple[str, ...]) -> str:
    return f"UPDATE {model.__tablename__} SET {', '.join(f'{name} = ?' for name in names)} WHERE id = ?"  # noqa: S608


@cache
def _setting_from(model: type[Base], names: tuple[str, ...]) -> str:
    columns = model.__table__.c
    whole = {name for name in (*names, "id") if isinstance(columns[name].type, Integer)}
    arrays = ", ".join(f"%s::{'integer' if name in whole else 'text'}[]" for name in (*names, "id"))
    sets = ", ".join(f"{name} = given.{name}" for name in names)
    table = model.__tablename__
    return (
        f"UPDATE {table} SET {sets} FROM unnest({arrays}) AS given({', '.join(names)}, id) WHERE {table}.id = given.id"  # noqa: S608
    )
