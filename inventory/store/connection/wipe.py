"""Overwrites what removed words leave behind: free places of the file, its log, old versions of rows on a server."""

from __future__ import annotations

import sqlite3
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError

from inventory.store.connection.engine import is_sqlite
from inventory.store.connection.server import take_time

__all__ = ["wipe"]

#: How long somebody else's lock is waited for, in ms.
_WAIT = 5000
#: On a server the engine's statistics keep samples of texts too.
_STATISTICS = "pg_catalog.pg_statistic"


def wipe(engine: Engine, tables: list[str]) -> str:
    """Write the record anew without what was deleted or changed in it. Must be called outside any transaction.

    Returns "" or, as a sentence, why it was not done; then it can be done again later. `tables`: all of them.
    """
    try:
        return _wipe_file(engine) if is_sqlite(engine) else _wipe_server(engine, tables)
    except (sqlite3.Error, DBAPIError) as problem:
        said = str(getattr(problem, "orig", problem)).splitlines()[0].lower()
        if "lock" in said or "busy" in said:
            return _IN_USE
        return f"what was removed may still lie in free places: {said}"


_IN_USE = "somebody else has the record open, so what was removed may still lie in free places"


def _wipe_file(engine: Engine) -> str:
    """Free pages go by VACUUM; the log is emptied into the file, which waits for all who read."""
    raw = engine.raw_connection()
    try:
        driver: Any = raw.driver_connection
        driver.execute(f"PRAGMA busy_timeout={_WAIT}")
        driver.execute("INSERT INTO search_index(search_index) VALUES ('optimize')")
        driver.execute("VACUUM")
        (waits, *_) = driver.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        return _IN_USE if waits else ""
    finally:
        raw.invalidate()  # its time to wait is another
        raw.close()


def _wipe_server(engine: Engine, tables: list[str]) -> str:
    """Each table is written anew, with its indexes; a login that may not do that is told so by the server."""
    said: list[str] = []
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        driver: Any = connection.connection.driver_connection
        driver.add_notice_handler(lambda notice: said.append(notice.severity_nonlocalized or ""))
        take_time(connection)
        connection.exec_driver_sql(f"SET lock_timeout = {_WAIT}")
        for table in tables:
            connection.exec_driver_sql(f"VACUUM (FULL, ANALYZE) {table}")
        skipped = bool(said)
        connection.exec_driver_sql(f"VACUUM (FULL) {_STATISTICS}")
        connection.invalidate()
    if skipped:
        return "this login may not write the tables anew, so what was removed still lies in the server's files"
    if said:
        return "the server's own samples of texts may still hold it, and this login may not write them anew"
    return ""
