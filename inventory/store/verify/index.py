"""Does the full-text index of a one-file record fit the texts it was made from?

The engine's own check is a write, which a record that may only be read refuses and which would keep
others waiting. So the index is copied into a file of its own, as it stands, and checked there.
"""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from inventory.store.connection.engine import is_sqlite
from inventory.store.verify.problems import Problem

__all__ = ["file_problems", "index_problems"]

_INDEX = "search_index"
#: Where a row of the index's data carries the number of its segment: above this bit.
_SEGMENT = 37
#: The tables an FTS5 index keeps itself in, and what it was made from.
_COPIED = (f"{_INDEX}_data", f"{_INDEX}_idx", f"{_INDEX}_docsize", f"{_INDEX}_config", "search_entry")


def file_problems(session: Session) -> list[Problem]:
    """What the engine itself finds wrong with the file: pages, and indexes that do not fit their tables."""
    if not is_sqlite(session.get_bind()):
        return []
    found = session.scalars(text("PRAGMA integrity_check(20)"))
    return [Problem("the record", None, None, None, f"the file is damaged: {said}") for said in found if said != "ok"]


def index_problems(session: Session) -> list[Problem]:
    """Whether parts are found by what is written of them: the index against its texts."""
    if not is_sqlite(session.get_bind()):
        return []
    try:
        with tempfile.TemporaryDirectory(prefix="matchmark-") as folder:
            copy = Path(folder) / "index.db"
            _copy(session, copy)
            _check(copy)
    except (sqlite3.DatabaseError, DBAPIError, UnicodeEncodeError) as problem:
        says = f"the search index does not fit the texts it was made from ({_why(problem)}); parts may not be found"
        return [Problem("the search index", None, _INDEX, None, says)]
    return []


def _why(problem: Exception) -> object:
    """The engine's own words, without the statement that brought them."""
    return problem.orig if isinstance(problem, DBAPIError) else problem


def _copy(session: Session, target: Path) -> None:
    made = session.scalar(text("SELECT sql FROM sqlite_master WHERE name = :name"), {"name": _INDEX})
    copy = sqlite3.connect(target, isolation_level=None)
    try:
        copy.execute("PRAGMA synchronous=OFF")
        copy.execute("BEGIN")
        copy.execute("CREATE TABLE search_entry (part_id INTEGER PRIMARY KEY, text)")
        copy.execute(str(made))
        for table in _COPIED:
            copy.execute(f"DELETE FROM {table}")  # noqa: S608 - names of ours
            _insert(copy, table, session.execute(text(f"SELECT * FROM {table}")))  # noqa: S608
        copy.execute("COMMIT")
    finally:
        copy.close()


def _insert(copy: sqlite3.Connection, table: str, rows: Iterable[Sequence[Any]]) -> None:
    first = next(iter(rows := iter(rows)), None)
    if first is not None:
        marks = ", ".join("?" * len(first))
        sql = f"INSERT INTO {table} VALUES ({marks})"  # noqa: S608 - a name of ours and placeholders
        copy.execute(sql, tuple(first))
        copy.executemany(sql, (tuple(row) for row in rows))


def _check(target: Path) -> None:
    """The engine's own check, and what it passes over: whether every word is found where it stands.

    Opened anew, so that nothing of the empty index is remembered.
    """
    copy = sqlite3.connect(target, isolation_level=None)
    try:
        copy.execute(f"INSERT INTO {_INDEX}({_INDEX}, rank) VALUES ('integrity-check', 1)")  # noqa: S608
        segments = f"SELECT DISTINCT id >> {_SEGMENT} FROM {_INDEX}_data WHERE id >> {_SEGMENT} > 0"  # noqa: S608
        if set(copy.execute(segments)) != set(copy.execute(f"SELECT DISTINCT segid FROM {_INDEX}_idx")):  # noqa: S608
            raise sqlite3.DatabaseError("its segments are not those listed")
        copy.execute(f"CREATE VIRTUAL TABLE word USING fts5vocab({_INDEX}, row)")
        finds = f"SELECT count(*) FROM {_INDEX} WHERE {_INDEX} MATCH ?"  # noqa: S608
        for term, count in copy.execute("SELECT term, doc FROM word"):
            if copy.execute(finds, ('"' + term.replace('"', '""') + '"',)).fetchone() != (count,):
                raise sqlite3.DatabaseError("not every word is found")
    finally:
        copy.close()
