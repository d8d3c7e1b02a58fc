"""Connections to a PostgreSQL server: the schema a record lies in, how long anybody waits, and who is at work."""

from __future__ import annotations

import platform
import re
import time
from collections.abc import Generator
from typing import Any
from urllib.parse import quote, unquote

from sqlalchemy import URL, Connection, Engine, create_engine, event, text
from sqlalchemy.exc import SQLAlchemyError

from inventory.errors import Refused

__all__ = [
    "MADE_MEANWHILE",
    "SCHEMA",
    "hold_schema",
    "named_schema",
    "refuse_without_right",
    "server_engine",
    "take_time",
    "who_writes",
]

#: The schema of a record, unless the address names another one.
SCHEMA = "matchmark"
#: SQLSTATEs of whoever makes a schema or table that another made a moment before.
MADE_MEANWHILE = ("42P06", "42P07", "23505")
#: How long (s) a statement may take, a lock is waited for, a transaction may stand still; by the server's settings.
_LIMITS = {"statement_timeout": 120, "lock_timeout": 20, "idle_in_transaction_session_timeout": 300}
#: After this a server that says nothing counts as gone: in a statement, and at a commit (s).
_SILENT, _SILENT_AT_COMMIT = 135.0, 30.0
_CONNECTING = {
    "connect_timeout": "10",
    "keepalives_idle": "20",
    "keepalives_interval": "5",
    "keepalives_count": "3",
    "tcp_user_timeout": "30000",
}
#: A record made by an older version lies in `public`. Time limits that the server or the address sets stay.
_SETTINGS = """
    SELECT set_config('jit', 'off', false),
        set_config('search_path', quote_ident(coalesce(%(named)s, CASE
            WHEN EXISTS (SELECT 1 FROM pg_tables WHERE schemaname = %(usual)s AND tablename = 'alembic_version')
            THEN %(usual)s
            WHEN 2 = (SELECT count(*) FROM pg_tables
                      WHERE schemaname = 'public' AND tablename IN ('alembic_version', 'record_info'))
            THEN 'public' ELSE %(usual)s END)) || ', pg_temp', false),
        (SELECT count(set_config(setting, seconds || 's', false))
            FROM unnest(%(limits)s::text[], %(seconds)s::integer[]) AS limits(setting, seconds)
            WHERE current_setting(setting) = '0')
"""
#: The schema that a connection works in: its name, whether it is there, its tables, whose the record in it is (empty:
#: there is none), and what this login may do.
_OF_SCHEMA = text(
    """
    SELECT name, pg_namespace.oid IS NOT NULL AS is_there, coalesce(tables, 0) AS tables, owner,
        coalesce(pg_has_role(owner, 'MEMBER'), false) AS may_own,
        coalesce(has_schema_privilege(pg_namespace.oid, 'USAGE'), false) AS may_use
    FROM (SELECT trim(both '"' from split_part(current_setting('search_path'), ',', 1)) AS name) AS wanted
        LEFT JOIN pg_namespace ON nspname = name
        LEFT JOIN (
            SELECT schemaname, count(*) AS tables, max(tableowner) FILTER (WHERE tablename = 'record_info') AS owner
            FROM pg_tables WHERE tablename <> 'alembic_version' GROUP BY schemaname
        ) AS held ON schemaname = name
    """
)
#: Somebody who has written and not yet committed, the oldest first; others' times are hidden from most logins.
_WRITING = text(
    "SELECT application_name, xact_start FROM pg_stat_activity"
    " WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_xid IS NOT NULL"
    " ORDER BY age(backend_xid) DESC LIMIT 1"
)
_AT_WORK = re.compile(r"matchmark by (?P<who>\S*) on (?P<machine>\S*)")


def named_schema(url: URL) -> str | None:
    """The schema that an address names (`?schema=NAME`), if it does. Raises `Refused` for what cannot be one."""
    named = url.query.get("schema")
    if named is None:
        return None
    if not isinstance(named, str) or not re.fullmatch(r"(?!pg_)[a-z_][a-z0-9_]{0,62}", named):
        raise Refused(
            "schema-not-a-name",
            "The schema in the record's address must begin with a letter and have only a-z, 0-9 and _",
            hint="e.g. postgresql://NAME@HOST/DATABASE?schema=workshop",
        )
    return named


def server_engine(url: URL, by: str = "") -> Engine:
    """An engine for a server: each connection works in the record's schema and waits for nothing without end.

    `by`: who works; whoever has to wait for this connection is told.
    """
    given = {"named": named_schema(url), "usual": SCHEMA, "limits": list(_LIMITS), "seconds": list(_LIMITS.values())}
    asked = {name: value for name, value in _CONNECTING.items() if name not in url.query}
    try:
        engine = create_engine(
            url.difference_update_query(["schema"]),
            connect_args={"application_name": _at_work(by), **asked},
            isolation_level="READ COMMITTED",
        )
        patient = _patient()
    except ModuleNotFoundError:
        raise Refused(
            "no-postgresql-driver",
            "This record is on PostgreSQL, and the driver for it is not installed",
            hint="pip install 'matchmark[postgres]'",
        ) from None

    @event.listens_for(engine, "do_connect")
    def _open(_dialect: object, _record: object, arguments: list[Any], named: dict[str, Any]) -> Any:
        return patient.connect(*arguments, **named)

    @event.listens_for(engine, "connect", insert=True)  # before SQLAlchemy asks for the schema
    def _connect(connection: Any, _: object) -> None:
        connection.autocommit = True  # a setting of a transaction would go when it is rolled back
        connection.execute(_SETTINGS, given)
        connection.autocommit = False

    return engine


def _patient() -> Any:
    """The driver's connection, which waits only so long for a server that says nothing at all."""
    import psycopg  # some 60 ms, only where a record is on a server

    class Patient(psycopg.Connection[Any]):
        patience: float | None = _SILENT

        def wait(self, gen: Any, *settings: Any, **named: Any) -> Any:
            return super().wait(self._limited(gen), *settings, **named)

        def commit(self) -> None:
            before, self.patience = self.patience, self.patience and _SILENT_AT_COMMIT
            try:
                super().commit()
            finally:
                self.patience = before

        def _limited(self, steps: Any) -> Generator[Any, Any, Any]:
            ends = time.monotonic() + (self.patience or float("inf"))
            try:
                wanted = next(steps)
                while True:
                    ready = yield wanted
                    if not ready and time.monotonic() > ends:
                        self.pgconn.finish()
                        raise psycopg.OperationalError("timeout expired: the server is silent")
                    wanted = steps.send(ready)
            except StopIteration as done:
                return done.value

    return Patient


def take_time(connection: Connection) -> None:
    """Set no limit to how long the statements of a connection take, which is let go of after this work."""
    connection.exec_driver_sql("SET statement_timeout = 0")
    driver: Any = connection.connection.driver_connection
    driver.patience = None


def hold_schema(connection: Connection) -> None:
    """Hold the schema of this connection until the end of its transaction, to bring it up; make it if need be.

    One at a time: an older record is held by the row of its revision; of several who make a new one, the names of what
    they make let only one through. Statements may take as long as they must, and what they make belongs to the owner of
    the record. Raises `Refused` for whoever has not the owner's rights, and if a schema without a record has tables.
    """
    take_time(connection)
    found = connection.execute(_OF_SCHEMA).mappings().one()
    if found["owner"] is not None:
        if not found["may_own"]:
            raise Refused(
                "upgrade-not-allowed",
                "This record is of an older version, and only an administrator of it may bring it up to this one",
                hint="ask an administrator to open it once with this version",
            )
        connection.exec_driver_sql(f"SET LOCAL ROLE {_quoted(found['owner'])}")
        connection.execute(text("SELECT version_num FROM alembic_version FOR UPDATE"))
    elif not found["is_there"]:
        connection.exec_driver_sql(f"CREATE SCHEMA {_quoted(found['name'])}")
    elif found["tables"]:
        raise Refused(
            "schema-taken",
            f'The schema "{found["name"]}" of this database holds tables of another program',
            where=found["name"],
            hint="name another in the address: postgresql://NAME@HOST/DATABASE?schema=workshop",
        )


def refuse_without_right(connection: Connection, where: str) -> None:
    """Refuse a login that may not see the record which is there. What it may not use, a server says is not there."""
    found = connection.execute(_OF_SCHEMA).mappings().one()
    if found["tables"] and not found["may_use"]:
        raise Refused(
            "no-right-here",
            f"This login has no rights in the record at {where}",
            where=where,
            hint="an administrator of it gives them: matchmark crew grant reader LOGIN",
        )


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def who_writes(engine: Engine) -> str | None:
    """Who has been writing and is not done, in words: name, machine, since when by the clock here; None: not known."""
    try:
        with engine.connect() as connection:
            row = connection.execute(_WRITING).first()
    except SQLAlchemyError:
        return None
    found = _AT_WORK.fullmatch(str(row[0])) if row else None
    if not found or not row:
        return None
    since = f" since {row[1].astimezone():%H:%M}" if row[1] else ""
    who, machine = unquote(found["who"]), unquote(found["machine"])
    return f"Somebody else has been writing{since} and is not done: {who} on the machine {machine}"


def _at_work(by: str) -> str:
    """Who works where, as the name of a connection: printable ASCII, at most 63 characters."""
    machine = platform.node().partition(".")[0]
    return f"matchmark by {quote(by or 'unknown', safe='')[:24]} on {quote(machine or 'machine', safe='')[:24]}"
