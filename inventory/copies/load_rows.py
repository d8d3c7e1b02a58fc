"""Reads all rows of a record, at whichever revision of the schema it is, and its documents in pieces."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

import inventory.declared  # noqa: F401 - every table must be known to be copied
from inventory.documents.read_stored import folder, folders_in, place_in
from inventory.store.connection.engine import is_sqlite
from inventory.store.connection.refusals import is_undecodable
from inventory.store.tables import Base, DocumentContent

__all__ = ["PIECE", "blocks_of", "digests_in", "pieces_of", "tables_in"]

#: How many rows are read at once, and how many bytes of a document.
_ROWS, PIECE = 2000, 1 << 20
#: Tables that earlier revisions had.
_FORMER = {"checkpoint"}
_CONTENT = DocumentContent.__tablename__
_DIGEST = re.compile("[0-9a-f]{64}", re.ASCII)


def tables_in(connection: Connection) -> dict[str, tuple[str, ...]]:
    """The record's tables and their columns, as they are in the database. Documents and other tables are left out."""
    look = sa.inspect(connection)
    ours = (set(Base.metadata.tables) | _FORMER) - {_CONTENT}
    return {
        name: tuple(column["name"] for column in look.get_columns(name))
        for name in sorted(ours.intersection(look.get_table_names()))
    }


def blocks_of(connection: Connection, table: str, columns: tuple[str, ...]) -> Iterator[list[tuple[Any, ...]]]:
    """The rows of a table, some at a time. Undecodable text (of a damaged file) comes with surrogates."""
    names = ", ".join(f'"{name}"' for name in columns)
    query = f'SELECT {names} FROM "{table}"'  # noqa: S608 - names of the schema
    driver: Any = connection.connection.dbapi_connection
    if is_sqlite(connection):
        yield from _blocks_of_file(driver, query)
        return
    with driver.cursor(name="matchmark_copy") as cursor:
        cursor.execute(query)
        while block := cursor.fetchmany(_ROWS):
            yield block


def _blocks_of_file(driver: sqlite3.Connection, query: str) -> Iterator[list[tuple[Any, ...]]]:
    read = 0
    try:
        cursor = driver.execute(query)
        while block := cursor.fetchmany(_ROWS):
            read += len(block)
            yield block
    except sqlite3.OperationalError as problem:
        if not is_undecodable(problem):
            raise
        driver.text_factory = lambda held: held.decode("utf-8", "surrogateescape")
        try:
            cursor = driver.execute(f"{query} LIMIT -1 OFFSET {read}")
            while block := cursor.fetchmany(_ROWS):
                yield block
        finally:
            driver.text_factory = str


def digests_in(connection: Connection) -> list[tuple[str, int]]:
    """Digest and size (bytes) of every document on record; one whose digest was changed from outside is passed over."""
    rows = connection.exec_driver_sql("SELECT digest, size FROM document ORDER BY digest")
    found = ((digest, size if isinstance(size, int) else 0) for digest, size in rows)
    return [(digest, size) for digest, size in found if isinstance(digest, str) and _DIGEST.fullmatch(digest)]


def pieces_of(connection: Connection, digest: str) -> Iterator[bytes]:
    """The bytes of a document, a piece at a time; none where they are gone. The digest is not checked.

    Those of a record file that was renamed are found as everywhere else: by the record's identity.
    """
    if is_sqlite(connection):
        opened = _opened(place_in(folder(connection), digest))
        if opened is None:
            others = (_opened(place_in(among, digest)) for among in folders_in(connection).others)
            opened = next((each for each in others if each is not None), None)
        if opened is not None:
            yield from _pieces_in(opened)
        return
    pieced = "piece" in {column["name"] for column in sa.inspect(connection).get_columns(_CONTENT)}
    which = sa.text(f"SELECT piece FROM {_CONTENT} WHERE digest = :digest ORDER BY piece")  # noqa: S608
    held = f"SELECT content FROM {_CONTENT} WHERE digest = :digest"  # noqa: S608
    if not pieced:
        yield from connection.scalars(sa.text(held), {"digest": digest})
        return
    for piece in connection.scalars(which, {"digest": digest}).all():
        yield from connection.scalars(sa.text(f"{held} AND piece = :piece"), {"digest": digest, "piece": piece})


def _opened(path: Path) -> int | None:
    try:
        return os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0))
    except OSError:
        return None


def _pieces_in(opened: int) -> Iterator[bytes]:
    with os.fdopen(opened, "rb") as file:
        while piece := file.read(PIECE):
            yield piece
