"""Opens the two engines the same way, for the program and for its migrations alike."""

from __future__ import annotations

import os
import re
import sqlite3
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from sqlalchemy import URL, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import NullPool

from inventory.errors import Refused
from inventory.store.connection.guarded import guard
from inventory.store.connection.reading import WithoutRoom, may_write, open_to_read, open_to_work
from inventory.store.connection.server import named_schema, server_engine
from inventory.store.files import named_path

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["WRITES", "as_at_one_moment", "has_password", "is_sqlite", "make_engine", "record_url", "shown"]

_SERVERS = ("postgresql", "postgres")
_BEFORE_HOST = re.compile(r"^[^:]*://[^@/]*@")
#: Execution option that makes an SQLite transaction take the write lock at its start.
WRITES = "matchmark_writes"


def record_url(target: str) -> URL:
    """The address of a record, from a path or a `postgresql://` URL."""
    if "://" not in target:
        return URL.create("sqlite", database=str(named_path(target)))
    url = _parsed(target)
    if url.get_backend_name() not in _SERVERS:
        raise Refused("unknown-engine", f"{shown(url)} is not a file and not a PostgreSQL address")
    url = url.set(drivername="postgresql+psycopg")
    if url.host and url.host.startswith("%2F"):  # a socket's folder, as libpq takes it
        url = url._replace(host=None).update_query_dict({"host": unquote(url.host)})
    named_schema(url)
    return url


def _parsed(target: str) -> URL:
    """The parts of an address. An `@` where none belongs is refused: it would be the rest of a password."""
    head, _, query = target.partition("?")
    if "@" not in _BEFORE_HOST.sub("", head) + query.replace("=@", "="):
        with suppress(ArgumentError, ValueError):
            target.encode()  # half a character is in no address
            return make_url(target)
    raise Refused(  # the address is not repeated: a password may stand in it
        "not-an-address",
        "The record's address cannot be read",
        hint="write it as postgresql://NAME@HOST/DATABASE, in a password @ as %40, : as %3A, / as %2F, ? as %3F; or "
        "give the path of a file",
    )


def has_password(target: str) -> bool:
    """Whether a password stands in an address."""
    url = record_url(target)
    return url.password is not None or "password" in url.query


def shown(url: URL) -> str:
    """A record's address as it may be printed and as files are named after it: without any password."""
    if url.get_backend_name() == "sqlite":
        return url.database or ""
    drivername = "postgresql" if url.get_backend_name() in _SERVERS else url.get_backend_name()
    plain = url._replace(password=None, drivername=drivername).difference_update_query(["password", "sslpassword"])
    return plain.render_as_string(hide_password=True)


def is_sqlite(bind: Any) -> bool:
    """Whether an engine, connection or session's bind is the one-file engine."""
    return bool(bind.dialect.name == "sqlite")


def as_at_one_moment(session: Session) -> None:
    """Let a session that has asked nothing yet read all as at one moment, whoever writes; a file does so anyway."""
    if not is_sqlite(session.get_bind()):
        session.connection(execution_options={"isolation_level": "REPEATABLE READ"})


def make_engine(url: URL, *, foreign_keys: bool = True, by: str = "") -> Engine:
    """An engine with our settings. Migrations ask for `foreign_keys=False` and check them themselves.

    `by`: who works, for those who have to wait for this connection.
    """
    if url.get_backend_name() == "sqlite":
        return _sqlite_engine(url, foreign_keys=foreign_keys)
    return server_engine(url, by)


def _sqlite_engine(url: URL, *, foreign_keys: bool) -> Engine:
    path = Path(url.database or "")
    if os.path.exists(path) and not may_write(path):  # each session looks anew who else has the file open
        engine = create_engine(url, creator=lambda: open_to_read(path, timeout=20), poolclass=NullPool)
    else:
        engine = create_engine(url, creator=lambda: open_to_work(path, timeout=20))

    @event.listens_for(engine, "connect")
    def _connect(connection: sqlite3.Connection, _: object) -> None:
        guard(connection, shown(url))
        connection.isolation_level = None  # BEGIN is ours: the driver's own would leave half a schema
        connection.execute(f"PRAGMA foreign_keys={'ON' if foreign_keys else 'OFF'}")
        connection.execute("PRAGMA secure_delete=ON")  # what is changed is overwritten; no cost could be measured
        connection.execute("PRAGMA busy_timeout=20000")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute(
            "PRAGMA cache_size=-32000"
        )  # kB at most; with 2000 a large write spills its pages many times

    @event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:
        writes = connection.get_execution_options().get(WRITES)
        if writes and isinstance(connection.connection.dbapi_connection, WithoutRoom):
            raise sqlite3.OperationalError("the disk is full")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    @event.listens_for(engine, "checkin")
    def _checkin(connection: sqlite3.Connection | None, held: Any) -> None:
        if isinstance(connection, WithoutRoom):  # the next session looks anew whether there is room
            held.invalidate()

    return engine
