"""Databases for the tests, emptied and given out again: making and dropping one costs ten times as much.

A database that a test has used is brought back to what the template holds: rows and sequences, past the triggers
that guard the journal. One whose schema, rights or settings a test has changed is dropped instead, and so is one
that has grown.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql

__all__ = ["Databases", "address", "connected"]

_TEMPLATE = "template_record"
#: Deleted rows stay in the files: above this size, in bytes, a new copy is quicker.
_GROWN = 40_000_000
_CATALOGS = [
    *["pg_class", "pg_attribute", "pg_trigger", "pg_proc", "pg_constraint", "pg_index", "pg_rewrite"],
    *["pg_namespace", "pg_extension", "pg_event_trigger", "pg_db_role_setting"],
]
#: Changes when anything of the schema, its rights or the database's settings does.
_SCHEMA = " || ' ' || ".join(
    f"(SELECT count(*) || '/' || coalesce(max(xmin::text::bigint), 0) FROM {catalog})" for catalog in _CATALOGS
)


def address(home: Path, database: str) -> str:
    """The address of a database of the server whose socket lies in `home`."""
    return f"postgresql://postgres@/{database}?host={home}"


def connected(target: str, **settings: Any) -> Any:
    """A plain connection of the driver, which names the tables of the record as the program does."""
    return psycopg.connect(target, options="-c search_path=matchmark", **settings)


@dataclass
class Databases:
    """Empty records on one server: the template is made by whoever makes this."""

    server: Any
    home: Path
    _made: int = 0
    _free: list[str] = field(default_factory=list)
    _rows: dict[str, bytes] = field(default_factory=dict)
    _schema: str = ""
    _reset: sql.Composable | None = None

    def copy(self, template: str) -> str:
        """Make a database from a template; gives its name."""
        self._made += 1
        name = f"record_{self._made}"
        self.server.execute(f"CREATE DATABASE {name} TEMPLATE {template} STRATEGY FILE_COPY")
        return name

    def drop(self, name: str) -> None:
        """Drop a database, whoever is connected."""
        self.server.execute(f"DROP DATABASE {name} WITH (FORCE)")

    def take(self) -> str:
        """The name of a database that holds an empty record."""
        return self._free.pop() if self._free else self.copy(_TEMPLATE)

    def give_back(self, name: str) -> None:
        """Empty the record for the next test, or drop its database."""
        if not self._rows:
            self._look_at_template()
        assert self._reset is not None
        with connected(address(self.home, name)) as connection:
            connection.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
            asked = connection.execute(f"SELECT {_SCHEMA}, pg_database_size(current_database())").fetchone()
            assert asked is not None
            usable = asked[0] == self._schema and asked[1] < _GROWN
            if usable:
                connection.execute("SET session_replication_role = replica")
                connection.execute(self._reset)
                for table, rows in self._rows.items():
                    with connection.cursor().copy(sql.SQL("COPY {} FROM STDIN").format(sql.Identifier(table))) as copy:
                        copy.write(rows)
        if usable:
            self._free.append(name)
        else:
            self.drop(name)

    def _look_at_template(self) -> None:
        with connected(address(self.home, _TEMPLATE)) as connection:
            self._schema = connection.execute(f"SELECT {_SCHEMA}").fetchall()[0][0]
            tables = connection.execute(
                "SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'matchmark'::regnamespace"
            )
            steps = []
            for (table,) in tables.fetchall():
                named = sql.Identifier(table)
                steps.append(sql.SQL("DELETE FROM {}").format(named))
                with connection.cursor().copy(sql.SQL("COPY {} TO STDOUT").format(named)) as copy:
                    rows = b"".join(bytes(block) for block in copy)
                if rows:
                    self._rows[table] = rows
            for name, last in connection.execute("SELECT sequencename, last_value FROM pg_sequences").fetchall():
                steps.append(sql.SQL("SELECT setval({}, {}, {})").format(name, last or 1, last is not None))
            self._reset = sql.SQL("; ").join(steps)
