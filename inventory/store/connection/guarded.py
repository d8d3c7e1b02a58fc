"""A record file may come from anybody: what SQLite is told, and looked at, before the first row is read.

The program makes tables and plain indexes, one full-text index, and nothing that runs by itself. A trigger, a view in
place of a table, a column or an index that is computed would run in the name of whoever opens the file. So a file with
any of them is not opened. Foreign tables without such things are harmless; `verify` names them.
"""

from __future__ import annotations

import re
import sqlite3
from functools import lru_cache

from inventory.errors import Damaged

__all__ = ["LONGEST", "guard"]

#: Bytes of the longest value, and of the longest row. The largest that the program writes are some MB (a roll of
#: labels, keys of a statement); SQLite's own limit is 1 GB.
LONGEST = 64_000_000
#: The only virtual table, and the tables that it keeps itself in.
_INDEX = "search_index"
_OF_INDEX = re.compile(
    rf"CREATE VIRTUAL TABLE {_INDEX} USING fts5\(text, content='search_entry', content_rowid='part_id', "
    r"tokenize='trigram case_sensitive 1'\)"
)
_PLAIN_INDEX = re.compile(r'CREATE (?:UNIQUE )?INDEX (?:"[^"]+"|\w+) ON (?:"[^"]+"|\w+) ?\((?:[\w ]+|"[^"]+"|,)+\)')
#: In the text of a table: a virtual one, a computed column, a condition.
_COMPUTED = re.compile(r"\bVIRTUAL\b|\bAS\b|\bCHECK\b", re.IGNORECASE)
_DEFENSIVE: int | None = getattr(sqlite3, "SQLITE_DBCONFIG_DEFENSIVE", None)
_PLAIN_TYPES = ("table", "index")


def guard(connection: sqlite3.Connection, shown: str) -> None:
    """Prepare a new connection for a file that nobody vouches for; `shown` names the record.

    Raises `Damaged` where the schema has what the program does not make.
    """
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LONGEST)
    connection.execute("PRAGMA trusted_schema=OFF")
    connection.execute("PRAGMA cell_size_check=ON")
    if _DEFENSIVE is not None:  # Python 3.12: no statement can write into the schema or the index's tables
        connection.setconfig(_DEFENSIVE, True)  # type: ignore[attr-defined,unused-ignore]
    for sort, name, sql in connection.execute("SELECT type, name, sql FROM sqlite_master"):
        if not _is_plain(sort, str(name), sql):
            raise Damaged(
                "record-has-foreign-objects",
                f'{shown} has a {_word(sort, sql)} that matchmark did not make ("{str(name)[:80]}"): it was not opened',
                where=shown,
                hint="ask whoever gave you the file; what you added yourself, remove with the program that added it",
            )


@lru_cache(maxsize=1024)  # a process that opens records again and again meets the same texts
def _is_plain(sort: object, name: str, sql: object) -> bool:
    """Whether an object of the schema runs nothing by itself."""
    if sort not in _PLAIN_TYPES:
        return False
    if sql is None:  # the index of a key
        return sort == "index"
    if not isinstance(sql, str):
        return False
    if sort == "index":
        return _PLAIN_INDEX.fullmatch(sql) is not None
    return (name == _INDEX and _OF_INDEX.fullmatch(sql) is not None) or not _COMPUTED.search(sql)


def _word(sort: object, sql: object) -> str:
    """What an object is called in a sentence."""
    if sort == "table":
        return "virtual table" if "virtual" in str(sql).lower() else "table with conditions"
    return "computed index" if sort == "index" else str(sort) if sort in ("trigger", "view") else "thing"
