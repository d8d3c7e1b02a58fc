"""Brings a record back from a backup, into a new place only."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import IO, Any

from sqlalchemy import URL, Connection

from inventory.copies.lines import rows_in
from inventory.copies.manifest import About, Manifest, refuse_revision, table_of
from inventory.copies.read_backup import Backup, opened_backup
from inventory.copies.write_record import NewDocuments, write_rows
from inventory.copies.write_sealed import MOST, SEALED, unsealed
from inventory.errors import Refused
from inventory.store.files import open_ordinary, read_at_most
from inventory.store.record import make_record

__all__ = ["Restored", "restore"]


@dataclass(frozen=True)
class Restored:
    """A record brought back: what the backup said of itself, what of it was damaged, how many documents were in it."""

    about: About
    manifest: Manifest | None
    damage: tuple[str, ...]
    documents: int


def restore(file: Path, target: str, *, passphrase: Callable[[], str], what_can_be_saved: bool = False) -> Restored:
    """Make the record at an empty place, at the revision of its schema; it is not verified and not brought up here.

    `passphrase` is asked if the file is encrypted. Raises `Refused` for a damaged backup unless `what_can_be_saved`,
    and for one that is none, is not safe to unpack, or is of a later version.
    """
    with _plain(file, passphrase) as plain, opened_backup(plain) as back, NewDocuments(target) as documents:
        refuse_revision(back.about.revision)
        counted = [0]

        def fill(url: URL, connection: Connection) -> None:
            tables = [(table, _blocks(back, name)) for table in back.tables if table for name in back.names(table)]
            write_rows(connection, url, back.about.revision, tables)
            for name in back.names(""):
                try:
                    counted[0] += documents.put(connection, name.rpartition("/")[2], back.document(name))
                except ValueError:
                    back.note_lost(name)
            if back.damage and not what_can_be_saved:
                raise _damaged(file, back.damage)
            documents.settle()

        make_record(target, fill=fill).close()
        return Restored(back.about, back.manifest, tuple(back.damage), counted[0])


def _blocks(back: Backup, name: str) -> Iterator[tuple[list[str], list[list[Any]]]]:
    """The rows of a member, with its columns; none where it is damaged."""
    held = back.rows(name)
    if held is None:
        return
    try:
        columns, *rows = rows_in(held)
        if not all(isinstance(column, str) and column.isidentifier() for column in columns):
            raise ValueError(name)
        if any(len(row) != len(columns) for row in rows):
            raise ValueError(name)
    except (ValueError, TypeError):
        back.damage.append(f"rows of {table_of(name)} cannot be read ({name})")
        return
    if rows:
        yield columns, rows


@contextmanager
def _plain(file: Path, passphrase: Callable[[], str]) -> Iterator[IO[bytes]]:
    """The zip of a backup, decrypted where it is encrypted."""
    with open_ordinary(file) as plain:
        if plain.read(len(SEALED)) != SEALED:
            yield plain
            return
    yield BytesIO(unsealed(read_at_most(file, MOST * 2), passphrase()))


def _damaged(file: Path, damage: list[str]) -> Refused:
    more = f"; and {len(damage) - 5} more" if damage[5:] else ""
    return Refused(
        "backup-damaged",
        f"{file.name} is damaged: {'; '.join(damage[:5])}{more}",
        where=str(file),
        hint="take another copy; or bring back the rest: the same command with --what-can-be-saved",
    )
