"""Documents: pictures, receipts, reports, stored under the SHA-256 of their bytes.

If the record is a file, the bytes are in a folder beside it, `RECORD.documents/ab/abcdef...`. On PostgreSQL they are
in the table `document_content`, so that one backup contains everything.
"""

from __future__ import annotations

import hashlib
import mimetypes
import os
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, event, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session, SessionTransaction

from inventory.documents.tables import Attachment, Document
from inventory.errors import Refused
from inventory.store.connection.engine import WRITES, is_sqlite
from inventory.store.days.dates import When
from inventory.store.facts import Act, make_fact
from inventory.store.files import read_at_most
from inventory.store.journal.guard import RecordSession
from inventory.store.journal.keys import new_things
from inventory.store.systems import open_private, private_folder, replace, sync_folder
from inventory.store.tables import Base, DocumentContent
from inventory.store.words.text import clean

__all__ = ["SHOWS", "Paper", "attached", "content", "folder", "put_ahead", "read_file", "remove_ahead", "take_in"]

#: The key in a session's `info` for the files that its act put into the folder.
_PUT = "documents_put"
#: The largest document (bytes): it is read into memory, and a PostgreSQL field holds at most 1 GB.
_LARGEST = 500_000_000
SHOWS = ("whole", "marking", "damage", "seal", "where it sat", "before work", "after work", "paper", "other")


@dataclass(frozen=True)
class Paper:
    """A file as it is taken in. `taken_on`: the day it says of itself (ISO); None: the day it is taken in."""

    digest: str
    file_name: str
    size: int
    taken_on: str | None = None
    taken_from: str = "day taken in"

    @property
    def media_type(self) -> str:
        """The type that its name tells."""
        return mimetypes.guess_type(self.file_name, strict=False)[0] or "application/octet-stream"


def take_in(session: Session, act: Act, thing_id: int, path: Path, *, shows: str, when: When) -> tuple[int, list[Base]]:
    """Store a file and attach it to a thing. Returns the document's key and the rows to write.

    The bytes are stored before the rows are written, so a row never points to a missing file.
    """
    held = read_file(path)
    paper = Paper(hashlib.sha256(held).hexdigest(), clean(path.name), len(held))
    return attached(session, act, thing_id, paper, lambda: held, shows=shows, when=when)


def read_file(path: Path) -> bytes:
    """The bytes of a file that is to be a document. Raises `Refused` if it cannot be read or is too long."""
    return read_at_most(path, _LARGEST)


def attached(
    session: Session, act: Act, thing_id: int, paper: Paper, read: Callable[[], bytes], *, shows: str, when: When
) -> tuple[int, list[Base]]:
    """Attach a file to a thing; its bytes are `read` only if they are not stored yet. As `take_in` otherwise."""
    attachment = {"how_known": "seen", "shows": shows}
    known = session.scalar(select(Document.id).where(Document.digest == paper.digest))
    if known is not None:
        return known, [make_fact(Attachment, act, thing_id, when, document_id=known, **attachment)]
    (thing,) = new_things(session, "document")
    document = Document(
        id=thing.id,
        digest=paper.digest,
        file_name=paper.file_name,
        media_type=paper.media_type,
        size=paper.size,
        taken_on=paper.taken_on or act.today.isoformat(),
        taken_from=paper.taken_from,
    )
    rows: list[Base] = [thing, document]
    if is_sqlite(session.get_bind()):
        target = _place(folder(session.get_bind()), paper.digest)
        if not target.exists():
            _put(target, read())
            _remove_unless_committed(session, target)
    else:
        rows.append(DocumentContent(digest=paper.digest, piece=0, content=read()))
    return thing.id, [*rows, make_fact(Attachment, act, thing_id, when, document_id=thing.id, **attachment)]


def put_ahead(engine: Engine, digest: str, held: bytes) -> bool:
    """Store the bytes of a document before the act that writes its row, so that the act holds its locks shortly.

    Whether they were stored: not on PostgreSQL, where bytes and row are one transaction, nor if they were there.
    Without the act, call `remove_ahead`.
    """
    if not is_sqlite(engine):
        return False
    target = _place(folder(engine), digest)
    if target.exists():
        return False
    _put(target, held)
    return True


def remove_ahead(engine: Engine, digests: Iterable[str]) -> None:
    """Remove what was stored ahead of an act that was not written, unless a row speaks of it."""
    for digest in digests:
        with suppress(OSError, SQLAlchemyError):  # a file without a row does no harm
            _remove_without_row(engine, _place(folder(engine), digest))


def folder(bind: Engine | Connection) -> Path:
    """The folder with the documents of a record file."""
    return Path(f"{bind.engine.url.database}.documents")


def _place(among: Path, digest: str) -> Path:
    return among / digest[:2] / digest


def content(session: Session, digest: str) -> bytes | None:
    """The bytes of a document; None if they are gone."""
    if not is_sqlite(session.get_bind()):
        return session.scalar(select(DocumentContent.content).where(DocumentContent.digest == digest))
    try:
        return _place(folder(session.get_bind()), digest).read_bytes()
    except OSError:
        return None


def _put(target: Path, held: bytes) -> None:
    """Write a file completely or not at all, and flush it to disk before its row is written."""
    part = target.with_name(f"{target.name}.{os.getpid()}.part")
    try:
        private_folder(target.parent)
        with os.fdopen(open_private(part), "wb") as file:
            file.write(held)
            file.flush()
            os.fsync(file.fileno())
        replace(part, target)
        sync_folder(target.parent)
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        with suppress(OSError):
            part.unlink(missing_ok=True)  # on a full disk, half a document would take the space that others need
        raise Refused("document-not-kept", f"{target.parent} cannot be written: {why}") from None


def _remove_unless_committed(session: Session, target: Path) -> None:
    """Remove a file of this act if the act is not committed and nobody else has written its row."""
    session.info.setdefault(_PUT, []).append(target)


@event.listens_for(RecordSession, "after_commit")
def _committed(session: Session) -> None:
    session.info.pop(_PUT, None)


@event.listens_for(RecordSession, "after_transaction_end")
def _ended(session: Session, transaction: SessionTransaction) -> None:
    put: list[Path] = session.info.get(_PUT, [])
    while transaction.parent is None and put:
        with suppress(OSError, SQLAlchemyError):  # a file without a row does no harm
            _remove_without_row(session.get_bind(), put.pop())


def _remove_without_row(bind: Engine | Connection, target: Path) -> None:
    """Remove a document's file if it has no row. The record is locked meanwhile, so that nobody attaches it."""
    with bind.engine.execution_options(**{WRITES: True}).begin() as connection:
        if connection.scalar(select(Document.id).where(Document.digest == target.name)) is None:
            target.unlink(missing_ok=True)
            for emptied in (target.parent, target.parent.parent):
                emptied.rmdir()
