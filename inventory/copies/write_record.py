"""Makes a record at an empty place from the rows of another: a restored one, or a copy on another engine."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import chain, groupby
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import URL, Connection

from inventory.copies.lines import Undecoded
from inventory.errors import Refused
from inventory.store.connection.engine import is_sqlite
from inventory.store.connection.migration import upgrade
from inventory.store.systems import open_private, private_folder, replace, sync_folder

__all__ = ["NewDocuments", "Rows", "write_rows"]

#: A table, and its rows some at a time, each time with their columns.
Rows = tuple[str, Iterable[tuple[Sequence[str], Sequence[Sequence[Any]]]]]
_OF_NOTHING = hashlib.sha256().hexdigest()


def write_rows(connection: Connection, url: URL, revision: str, tables: Iterable[Rows]) -> None:
    """Make the schema of a revision and put rows into it, in the transaction of the connection.

    Tables and columns that this revision has not are passed over: only damage can bring them.
    """
    upgrade(url, revision, connection=connection)
    schema = sa.MetaData()
    schema.reflect(connection)
    in_order = {table.name: place for place, table in enumerate(schema.sorted_tables)}
    for table in reversed(schema.sorted_tables):
        if table.name != "alembic_version" and not table.name.startswith("search_index"):
            connection.execute(sa.delete(table))
    known = [each for each in tables if each[0] in in_order]
    for name, blocks in sorted(known, key=lambda each: in_order[each[0]]):
        has = schema.tables[name].c
        for columns, block in blocks:
            kept = [place for place, column in enumerate(columns) if column in has]
            rows = block if len(kept) == len(columns) else [[row[place] for place in kept] for row in block]
            if kept:
                _insert(connection, name, [columns[place] for place in kept], rows)
    if is_sqlite(connection):
        connection.exec_driver_sql("INSERT INTO search_index (search_index) VALUES ('rebuild')")
    else:
        _keys_go_on(connection, schema)


def _insert(connection: Connection, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    names = ", ".join(f'"{name}"' for name in columns)
    driver: Any = connection.connection.dbapi_connection
    try:
        if is_sqlite(connection):
            for undecoded, some in groupby(rows, lambda row: Undecoded in map(type, row)):
                mark = "CAST(? AS TEXT)" if undecoded else "?"
                marks = ", ".join([mark] * len(columns))
                driver.executemany(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', some)  # noqa: S608
            return
        with driver.cursor() as cursor, cursor.copy(f'COPY "{table}" ({names}) FROM STDIN') as copy:
            for row in rows:
                copy.write_row(row)
    except (driver.DataError, driver.IntegrityError, UnicodeEncodeError, OverflowError) as problem:
        raise Refused(
            "rows-not-taken",
            f"The database does not take rows of {table.replace('_', ' ')} as they are: they were changed outside the "
            "program",
            hint="a record file takes most: matchmark restore FILE --record PATH --what-can-be-saved",
        ) from problem


def _keys_go_on(connection: Connection, schema: sa.MetaData) -> None:
    """The sequences stand behind the last key, as they did where the rows were written."""
    for table in schema.sorted_tables:
        column = table.c.get("id")
        if column is not None and column.server_default is not None:
            last = f'SELECT max(id) FROM "{table.name}"'  # noqa: S608 - a name of the schema
            sequence = f"pg_get_serial_sequence('{table.name}', 'id')"
            connection.exec_driver_sql(f"SELECT setval({sequence}, coalesce(({last}), 1), ({last}) IS NOT NULL)")


class NewDocuments:
    """The folder for the documents of a new record file, under another name until `settle`; for a server nothing."""

    def __init__(self, target: str) -> None:
        record = Path(target).expanduser()
        self._name = None if "://" in target else record.with_name(f"{record.name}.documents")
        self._settled, self._taken = False, record.exists()  # of a record that is there, `make_record` says so
        self.folder = record
        if self._name is not None:
            self.folder = self._name.with_name(f".{self._name.name}.{os.getpid()}.part")

    def __enter__(self) -> NewDocuments:
        """Raises `Refused` if there is such a folder."""
        if self._name is not None and os.path.lexists(self._name) and not self._taken:
            raise Refused(
                "documents-there",
                f"{self._name} is there already: it may belong to another record",
                where=str(self._name),
                hint="choose another name for the record",
            )
        return self

    def put(self, connection: Connection, digest: str, pieces: Iterator[bytes]) -> bool:
        """Store a document: in the folder, or in the database. Whether there was one; raises what `pieces` does."""
        first = next(pieces, None)
        if first is None and digest != _OF_NOTHING:
            return False
        whole = chain(() if first is None else (first,), pieces)
        if self._name is not None:
            _put_file(self.folder / digest[:2] / digest, whole)
        else:
            _put_pieces(connection, digest, whole)
        return True

    def settle(self) -> None:
        """Give the folder its name, before the record has its own: a record is never there without its documents."""
        if self._name is not None and self.folder.is_dir():
            sync_folder(self.folder)
            replace(self.folder, self._name)
            self._settled = True

    def __exit__(self, failed: type[BaseException] | None, *_: object) -> None:
        """Leave nothing behind where the record was not made."""
        if self._name is not None:
            shutil.rmtree(self.folder, ignore_errors=True)
            if failed and self._settled:
                shutil.rmtree(self._name, ignore_errors=True)


def _put_pieces(connection: Connection, digest: str, pieces: Iterable[bytes]) -> None:
    pieced = "piece" in {column["name"] for column in sa.inspect(connection).get_columns("document_content")}
    with connection.begin_nested():  # a damaged one is left out, and what was put before it stays
        for number, piece in enumerate(pieces if pieced else [b"".join(pieces)]):
            values = {"digest": digest, "content": piece} | ({"piece": number} if pieced else {})
            marks = ", ".join(f":{name}" for name in values)
            connection.execute(sa.text(f"INSERT INTO document_content ({', '.join(values)}) VALUES ({marks})"), values)  # noqa: S608


def _put_file(path: Path, pieces: Iterable[bytes]) -> None:
    private_folder(path.parent)
    try:
        with os.fdopen(open_private(path, os.O_EXCL), "wb") as file:
            for piece in pieces:
                file.write(piece)
            file.flush()
            os.fsync(file.fileno())
        sync_folder(path.parent)
    except BaseException:
        with suppress(OSError):
            path.unlink()
            path.parent.rmdir()
        raise
