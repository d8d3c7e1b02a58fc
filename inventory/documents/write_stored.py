"""Stores documents in the folder of a record file: each completely or not at all, and flushed to the disk.

On PostgreSQL they are stored in the transaction of the act, in pieces.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable, Iterator
from contextlib import nullcontext, suppress
from pathlib import Path
from time import time
from typing import BinaryIO

from sqlalchemy import Connection, Engine, event, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session, SessionTransaction

from inventory.documents.read_given import digest_given, digest_of, file_given, pieces_in
from inventory.documents.read_stored import IDENTITY, Folders, folders_of, identity_in, place_in
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.store.connection.engine import WRITES
from inventory.store.journal.guard import RecordSession
from inventory.store.journal.insert import insert
from inventory.store.systems import open_private, private_folder, replace, sync_folder, why_not, write_text
from inventory.store.tables import DocumentContent

__all__ = ["remove_ahead", "store_file", "store_pieces"]

#: The key in a session's `info` for the files that its act put into the folder.
_PUT = "documents_put"
#: After this time nobody is still writing half a document (s).
_LEFT_OVER = 24 * 3600


def store_file(folders: Folders | None, path: Path) -> tuple[str, int, Path | None]:
    """Look at a file and store it in one go, in pieces: its digest, its size, and where it was stored.

    None where it was there already, and on a server, where it is only looked at. Raises `Refused`.
    """
    if folders is None:
        return *digest_given(path), None
    with file_given(path) as file:
        digest, size, part = _put(folders, pieces_in(file))
    return digest, size, _settled(folders, digest, part)


def store_pieces(session: Session, digest: str, pieces: Iterable[bytes]) -> None:
    """Store a document in an act, unless it is stored. It is removed again if the act is not committed."""
    folders = folders_of(session)
    if folders is None:
        rows = ({"digest": digest, "piece": at, "content": piece} for at, piece in enumerate(pieces))
        insert(session.connection(), DocumentContent, rows)
    elif not place_in(folders.own, digest).exists():
        found, _, part = _put(folders, pieces)
        if found != digest:
            part.unlink()
            raise RuntimeError(f"{digest} was to be stored, and {found} was given")
        remove_unless_committed(session, _settled(folders, digest, part))


def remove_unless_committed(session: Session, target: Path | None) -> None:
    """Remove a file of this act if the act is not committed and nobody else has written its row."""
    if target is not None:
        session.info.setdefault(_PUT, []).append(target)


def remove_ahead(bind: Engine | Connection, stored: Iterable[Path]) -> None:
    """Remove what was stored ahead of an act that was not written, unless a row speaks of it."""
    for target in stored:
        with suppress(OSError, SQLAlchemyError):  # a file without a row does no harm
            _remove_without_row(bind, target)


def _put(folders: Folders, pieces: Iterable[bytes]) -> tuple[str, int, Path]:
    """Write a file under a name of its own and flush it to the disk. Its digest, its size, where it is."""
    if folders.stranger:
        raise Refused(
            "documents-of-another",
            f"{folders.own} holds the pictures of another record",
            where=str(folders.own),
            hint="rename that folder as its own record is named, or this record",
        )
    part = folders.own / f".{os.getpid()}-{secrets.token_hex(4)}.part"
    try:
        _make(folders)
        with os.fdopen(open_private(part, os.O_EXCL), "wb") as file:
            digest, size = digest_of(_copying(pieces, file))
            file.flush()
            os.fsync(file.fileno())
    except BaseException as problem:
        with suppress(OSError):
            part.unlink(missing_ok=True)  # on a full disk, half a document would take the space that others need
        if isinstance(problem, OSError):
            raise _not_kept(folders, problem) from None
        raise
    return digest, size, part


def _settled(folders: Folders, digest: str, part: Path) -> Path | None:
    """Give a file its name among the documents; None where it is there already."""
    target = place_in(folders.own, digest)
    try:
        if target.exists():
            part.unlink()
            return None
        for try_again in (True, False):
            private_folder(target.parent)
            with suppress(FileNotFoundError) if try_again else nullcontext():  # somebody removed the empty folder
                replace(part, target)
                break
        sync_folder(target.parent)
        sync_folder(folders.own)
    except OSError as problem:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise _not_kept(folders, problem) from None
    return target


def _make(folders: Folders) -> None:
    """Make the folder if there is none, and say in it of which record it is."""
    made = not folders.own.is_dir()
    private_folder(folders.own)
    if identity_in(folders.own) is None:
        fresh = folders.own / f".{os.getpid()}-{secrets.token_hex(4)}.part"
        os.close(open_private(fresh))
        write_text(fresh, f"{folders.identity}\n")
        replace(fresh, folders.own / IDENTITY)
    if made:
        sync_folder(folders.own.parent)
    for left in folders.own.glob(".*.part"):  # of a process that was killed
        with suppress(OSError):
            if time() - left.stat().st_mtime > _LEFT_OVER:
                left.unlink()


def _copying(pieces: Iterable[bytes], into: BinaryIO) -> Iterator[bytes]:
    for piece in pieces:
        into.write(piece)
        yield piece


def _not_kept(folders: Folders, problem: OSError) -> Refused:
    return Refused("document-not-kept", f"{folders.own} cannot be written: {why_not(problem)}")


@event.listens_for(RecordSession, "after_commit")
def _committed(session: Session) -> None:
    session.info.pop(_PUT, None)


@event.listens_for(RecordSession, "after_transaction_end")
def _ended(session: Session, transaction: SessionTransaction) -> None:
    put: list[Path] = session.info.get(_PUT, [])
    while transaction.parent is None and put:
        remove_ahead(session.get_bind(), [put.pop()])


def _remove_without_row(bind: Engine | Connection, target: Path) -> None:
    """Remove a document's file if it has no row. The record is locked meanwhile, so that nobody attaches it."""
    with bind.engine.execution_options(**{WRITES: True}).begin() as connection:
        if connection.scalar(select(Document.id).where(Document.digest == target.name)) is None:
            target.unlink(missing_ok=True)
            target.parent.rmdir()
            own = target.parent.parent
            if [each.name for each in own.iterdir()] == [IDENTITY]:
                (own / IDENTITY).unlink()
                own.rmdir()
