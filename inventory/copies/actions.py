"""Actions: back up a record to a file, remove the oldest of a series, copy a record to another place."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from sqlalchemy import URL, Connection
from sqlalchemy.orm import Session

from inventory.copies.load_rows import blocks_of, digests_in, pieces_of, tables_in
from inventory.copies.load_state import about, checked
from inventory.copies.manifest import Manifest, document_member, in_series, of_series
from inventory.copies.queries import WHAT
from inventory.copies.read_backup import opened_backup
from inventory.copies.write_backup import write_zip
from inventory.copies.write_record import NewDocuments, write_rows
from inventory.copies.write_sealed import ENDING, SEALED, sealed, unsealed
from inventory.errors import Refused
from inventory.given_out.actions import next_number, written
from inventory.given_out.anchors import Anchor
from inventory.given_out.load_anchor import anchor_now
from inventory.given_out.queries import written_papers
from inventory.people.actions import begin_act
from inventory.store.begin import RECORD_THING
from inventory.store.connection.engine import as_at_one_moment
from inventory.store.files import whole_file
from inventory.store.record import make_record

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["Copied", "Made", "backup", "copy_record", "write_backup_file"]

_BLOCK = 1 << 20


@dataclass(frozen=True)
class Made:
    """A backup that was made: file, size (bytes), SHA-256 of it, what it says of itself; its fact, if it was recorded.

    `removed`: older files of the series. `not_recorded`: why the record could not take the fact.
    """

    file: Path
    size: int
    fingerprint: str
    manifest: Manifest
    fact: str | None = None
    removed: tuple[Path, ...] = ()
    not_recorded: str | None = None


def backup(
    record: Record,
    by: str,
    file: Path,
    *,
    keep: int | None = None,
    overwrite: bool = False,
    passphrase: str | None = None,
    today: date | None = None,
) -> Made:
    """Copy the record as it is now to a file, while others write, and record that.

    With `keep` the file is the next of a series, and all but so many of it are removed; none is where the record does
    not fit, and none that has a document which the record has lost. The copy does not have the fact that it was made.
    """
    if passphrase is not None and file.suffix != ENDING:
        file = file.with_name(f"{file.name}{ENDING}")
    if keep is not None:
        there = os.listdir(file.parent) if file.parent.is_dir() else []
        file = file.with_name(of_series(file.name, today or date.today(), () if overwrite else there))
    made = write_backup_file(record, file, overwrite=overwrite, passphrase=passphrase)
    try:
        fact = _record_that(record, by, made)
    except Refused as refused:  # a record that may only be read is backed up as well
        return Made(made.file, made.size, made.fingerprint, made.manifest, not_recorded=refused.message)
    removed = _remove_old(record, made, keep) if keep is not None and made.manifest.problems == () else ()
    return Made(made.file, made.size, made.fingerprint, made.manifest, fact, removed)


def write_backup_file(
    record: Record, file: Path, *, overwrite: bool = False, passphrase: str | None = None, documents: bool = True
) -> Made:
    """Write a backup, read it back and compare. Raises `Refused` if the file is not as it was written."""
    with whole_file(file, overwrite=overwrite) as part, part.open("rb+") as out:
        with record.read() as session:
            manifest = _written_to(out, session, passphrase, documents=documents)
        out.flush()
        os.fsync(out.fileno())
        _refuse_unlike(out, manifest, passphrase)
        size, fingerprint = out.seek(0, os.SEEK_END), _fingerprint(out)
    return Made(file, size, fingerprint, manifest)


def _written_to(out: IO[bytes], session: Session, passphrase: str | None, *, documents: bool) -> Manifest:
    as_at_one_moment(session)
    connection = session.connection()
    of, state = about(connection), checked(session)
    if passphrase is None:
        return write_zip(out, connection, of, state, documents=documents)
    plain = BytesIO()
    manifest = write_zip(plain, connection, of, state, documents=documents)
    out.write(sealed(plain.getvalue(), passphrase))
    return manifest


def _refuse_unlike(out: IO[bytes], manifest: Manifest, passphrase: str | None) -> None:
    out.seek(0)
    plain = out if passphrase is None else BytesIO(unsealed(out.read(), passphrase))
    with opened_backup(plain) as back:
        back.check()
        if back.damage or back.manifest != manifest:
            raise Refused(
                "backup-not-whole",
                f"The copy is not on the disk as it was written: {'; '.join(back.damage[:3])}",
                hint="copy to another disk, and have this one looked at",
            )


def _fingerprint(file: IO[bytes]) -> str:
    """The SHA-256 (hexadecimal) of a file, from its beginning."""
    file.seek(0)
    digest = hashlib.sha256()
    while block := file.read(_BLOCK):
        digest.update(block)
    return digest.hexdigest()


def _record_that(record: Record, by: str, made: Made) -> str:
    said = made.manifest
    anchor = None if said.anchor is None else Anchor(said.anchor, said.entries)
    with record.write() as session:
        act = begin_act(session, "backup", by, RECORD_THING)
        number = next_number(session, WHAT)
        return written(session, act, RECORD_THING, WHAT, number, made.fingerprint, anchor=anchor)


def _remove_old(record: Record, made: Made, keep: int) -> tuple[Path, ...]:
    """Remove the older files of a series that are surely backups of this record: by what they say or were."""
    folder = made.file.parent
    removed = []
    for name in in_series(made.file.name, os.listdir(folder))[keep:]:
        path = folder / name
        with suppress(OSError):
            if path.is_file() and not path.is_symlink() and path != made.file and _may_go(record, path, made.manifest):
                path.unlink()
                removed.append(path)
    return tuple(removed)


def _may_go(record: Record, path: Path, now: Manifest) -> bool:
    """Whether a file is a backup of this record, and has no document that is not in the one made `now`."""
    with path.open("rb") as file:
        if file.read(len(SEALED)) == SEALED:
            with record.read() as session:
                return not now.gone and _fingerprint(file) in {
                    paper.fingerprint for paper in written_papers(session, WHAT)
                }
        try:
            with opened_backup(file) as held:
                lost = {document_member(each) for each in now.gone}
                return held.about.identity == now.about.identity and lost.isdisjoint(held.names(""))
        except Refused:
            return False


@dataclass(frozen=True)
class Copied:
    """How many rows and documents were copied, and the anchor of the record they are of."""

    rows: int
    documents: int
    anchor: str


def copy_record(record: Record, target: str) -> Copied:
    """Copy a record with all that is in it to an empty place, on either engine.

    It stays the same record, so that its anchors hold.
    """
    with record.read() as session:
        as_at_one_moment(session)
        source = session.connection()
        of, kept = about(source), anchor_now(session).text
        counts = [0, 0]

        def rows(table: str, columns: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Any]]:
            for block in blocks_of(source, table, columns):
                counts[0] += len(block)
                yield columns, block

        with NewDocuments(target) as documents:

            def fill(url: URL, connection: Connection) -> None:
                tables = [(name, rows(name, columns)) for name, columns in tables_in(source).items()]
                write_rows(connection, url, of.revision, tables)
                for digest, _ in digests_in(source):
                    counts[1] += documents.put(connection, digest, pieces_of(source, digest))
                documents.settle()

            make_record(target, fill=fill).close()
    return Copied(counts[0], counts[1], kept)
