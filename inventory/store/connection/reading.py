"""Opening a record of one file where nothing may be written: a read-only file, folder, disk or backup.

A file with a write-ahead log is read through two files beside it, `-wal` and `-shm`. Where nobody has the record
open they are not there and cannot be made, so the file is read as one that does not change. Where somebody else has
it open, they are there, and what that person writes is seen.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from urllib.parse import quote

from inventory.errors import Refused
from inventory.store import systems

__all__ = ["may_write", "open_to_read"]


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


def _connected(path: Path, how: str, timeout: float) -> sqlite3.Connection:
    address = f"file:{quote(os.fsencode(path.absolute()))}?{how}"
    connection = sqlite3.connect(address, timeout=timeout, isolation_level=None, check_same_thread=False, uri=True)
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
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
