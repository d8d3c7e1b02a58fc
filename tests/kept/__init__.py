"""Records made by earlier versions of the program, kept so that each later one is tried on them.

A record is kept as its rows in JSON, made by the version whose last schema revision its file is named after; beside
them what that version said of it. A kept record is never made anew.
"""

from __future__ import annotations

import gzip
import json
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from inventory.store.connection.engine import WRITES, is_sqlite, make_engine, record_url
from inventory.store.connection.migration import upgrade

__all__ = ["FOLDER", "REVISIONS_KEPT", "asked", "restore"]

FOLDER = Path(__file__).parent
REVISIONS_KEPT = tuple(sorted(path.name.removesuffix(".json.gz") for path in FOLDER.glob("*.json.gz")))


def restore(target: str, revision: str) -> dict[str, Any]:
    """Put a kept record at an empty place, at its own revision; gives what was said of it, by command."""
    kept = json.loads(gzip.decompress((FOLDER / f"{revision}.json.gz").read_bytes()))
    url = record_url(target)
    if url.get_backend_name() == "sqlite":
        Path(target).touch()
    upgrade(url, revision)
    engine = make_engine(url, foreign_keys=False).execution_options(**{WRITES: True})
    meta = sa.MetaData()
    with engine.begin() as connection:
        meta.reflect(connection)
        for table in reversed(meta.sorted_tables):
            if table.name in kept["rows"]:
                connection.execute(sa.delete(table))
        for table in meta.sorted_tables:
            for row in kept["rows"].get(table.name, ()):
                connection.execute(sa.insert(table).values(**row))
        _keys_go_on(connection, meta)
        _documents(connection, target, kept["documents"])
        if is_sqlite(connection):
            connection.exec_driver_sql("INSERT INTO search_index (search_index) VALUES ('rebuild')")
    engine.dispose()
    said: dict[str, Any] = kept["said"]
    return said


def _keys_go_on(connection: sa.Connection, meta: sa.MetaData) -> None:
    """On PostgreSQL the sequences stand behind the last key, as they did when the rows were written."""
    if is_sqlite(connection):
        return
    for table in meta.sorted_tables:
        column = table.c.get("id")
        if column is not None and column.autoincrement is not False and column.server_default is not None:
            connection.exec_driver_sql(
                f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), (SELECT max(id) FROM {table.name}))"
            )


def _documents(connection: sa.Connection, target: str, documents: dict[str, str]) -> None:
    for digest, text in documents.items():
        if is_sqlite(connection):
            path = Path(f"{target}.documents") / digest[:2] / digest
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(text.encode("latin-1"))
        else:
            pieces = "piece" in {column["name"] for column in sa.inspect(connection).get_columns("document_content")}
            named, given = (", piece", ", 0") if pieces else ("", "")
            statement = sa.text(
                f"INSERT INTO document_content (digest, content{named}) VALUES (:digest, :content{given})"
            )
            connection.execute(statement, {"digest": digest, "content": text.encode("latin-1")})


def asked(tags: list[str], car: str) -> list[list[str]]:
    """The questions that every version answers alike: nothing in them depends on today."""
    of_part = ("part show", "fact list", "bench history", "evidence --as-of 2026-04-01", "pairs candidates --all")
    questions = [[*each.split(), tag] for tag in tags for each in of_part]
    return [
        *questions,
        ["car", "show", car],
        ["place", "list"],
        ["contact", "list"],
        ["fits", "list"],
        ["instrument", "list"],
        ["sheet", "maps"],
        ["pairs", "plan"],
        ["condition-list", "--as-of", "2026-04-01", "--basis", "market", "--for", "owner"],
    ]
