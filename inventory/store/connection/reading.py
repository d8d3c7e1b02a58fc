"""Opening a record of one file where nothing may be written: a read-only file, folder, disk or backup.

A file with a write-ahead log is read through two files beside it, `-wal` and `-shm`. Where nobody has the record
open they are not there and cannot be made, so the file is read as one that does not change. Where somebody else has
it open, they are there, and what that person writes is seen.

On a full disk they cannot be made either, and reading must go on: `open_to_work` then opens the file without them.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from urllib.parse import quote

from inventory.errors import Refused
from inventory.store import systems

__all__ = ["WithoutRoom", "may_write", "open_to_read", "open_to_work"]

_FULL_WORDS = ("disk i/o", "disk is full", "unable to open")


class WithoutRoom(sqlite3.Connection):
    """A connection on a full disk, which can only read."""


def may_write(path: Path) -> bool:
    """Whether this process may write in a record: in its file, and in the folder or what lies beside it already."""
    return systems.may_write(path) and (systems.may_write(path.absolute().parent) or _beside(path, "-shm").exists())


def open_to_read(path: Path, *, timeout: float) -> sqlite3.Connection:
    """A read-only connection. `timeout`: s. Raises `Refused` if the latest changes cannot be reached."""
    unsettled = any(_has_content(_beside(path, ending)) for ending in ("-wal", "-journal"))
    if unsettled or _beside(path, "-shm").exists():
        try:
            return _connected(path, "mode=ro", timeout)
        except sqlite3.OperationalError:
            if unsettled:
                raise Refused(
                    "record-not-settled",
                    f"{path} cannot be read here: the latest changes are in a file beside it, and the folder is "
                    "read-only",
                    where=str(path),
                    hint=f"copy {path.name} and all files that begin with its name into a folder you may write in",
                ) from None
    return _connected(path, "immutable=1", timeout)


def open_to_work(path: Path, *, timeout: float) -> sqlite3.Connection:
    """A connection to read and write; on a full disk a `WithoutRoom`. `timeout`: s.

    Where a log is left that was not settled, nobody else can open the file meanwhile: its index is then kept in memory,
    which SQLite does only for one connection ("Write-Ahead Logging", section 8).
    """
    try:
        return _connected(path, "mode=rw", timeout)
    except sqlite3.OperationalError as problem:
        if not path.exists() or not any(word in str(problem).lower() for word in _FULL_WORDS):
            raise
    if not _has_content(_beside(path, "-wal")):
        return _connected(path, "immutable=1", timeout, kind=WithoutRoom)
    return _connected(path, "mode=rw", timeout, "PRAGMA locking_mode=EXCLUSIVE", kind=WithoutRoom)


def _connected(
    path: Path, how: str, timeout: float, *first: str, kind: type[sqlite3.Connection] = sqlite3.Connection
) -> sqlite3.Connection:
    address = f"file:{quote(os.fsencode(path.absolute()))}?{how}"
    connection = sqlite3.connect(
        address, timeout=timeout, isolation_level=None, check_same_thread=False, uri=True, factory=kind
    )
    try:
        for sql in (*first, "SELECT count(*) FROM sqlite_master"):
            connection.execute(sql).fetchone()
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(f"{path.name}{ending}")


def _has_content(path: Path) -> bool:
    try:
        return path.stat().st_size > 0
    except FileNotFoundError:
        return False
