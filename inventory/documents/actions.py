"""Documents: pictures, receipts, reports, stored under the SHA-256 of their bytes.

If the record is a file, the bytes are in a folder beside it, `RECORD.documents/ab/abcdef...`. On PostgreSQL they are
in the table `document_content`, so that one backup contains everything.
"""

from __future__ import annotations

import hashlib
import mimetypes
import os
from contextlib import suppress
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
from inventory.store.tables import Base, DocumentContent
from inventory.store.words.text import clean

__all__ = ["SHOWS", "content", "folder", "take_in"]

#: The key in a session's `info` for the files that its act put into the folder.
_PUT = "documents_put"
#: The largest document (bytes): it is read into memory, and a PostgreSQL field holds at most 1 GB.
_LARGEST = 500_000_000
SHOWS = ("whole", "marking", "damage", "seal", "paper", "other")


def take_in(session: Session, act: Act, thing_id: int, path: Path, *, shows: str, when: When) -> tuple[int, list[Base]]:
    """Store a file and attach it to a thing. Returns the document's key and the rows to write.

    The bytes are stored before the rows are written, so a row never points to a missing file.
    """
    held = read_at_most(path, _LARGEST)
    digest = hashlib.sha256(held).hexdigest()
    attachment = {"how_known": "seen", "shows": shows}
    known = session.scalar(select(Document.id).where(Document.digest == digest))
    if known is not None:
        return known, [make_fact(Attachment, act, thing_id, when, document_id=known, **attachment)]
    (thing,) = new_things(session, "document")
    kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    document = Document(
        id=thing.id,
        digest=digest,
        file_name=clean(path.name),
        media_type=kind,
        size=len(held),
        taken_on=act.today.isoformat(),
        taken_from="day taken in",
    )
    rows: list[Base] = [thing, document]
    if is_sqlite(session.get_bind()):
        target = folder(session) / digest[:2] / digest
        if not target.exists():
            _put(target, held)
            _remove_unless_committed(session, target)
    else:
        rows.append(DocumentContent(digest=digest, content=held))
    return thing.id, [*rows, make_fact(Attachment, act, thing_id, when, document_id=thing.id, **attachment)]


def folder(session: Session) -> Path:
    """The folder with the documents of a record file."""
    return Path(f"{session.get_bind().url.database}.documents")  # type: ignore[union-attr]


def content(session: Session, digest: str) -> bytes | None:
    """The bytes of a document; None if they are gone."""
    if not is_sqlite(session.get_bind()):
        return session.scalar(select(DocumentContent.content).where(DocumentContent.digest == digest))
    try:
        return (folder(session) / digest[:2] / digest).read_bytes()
    except OSError:
        return None


def _put(target: Path, held: bytes) -> None:
    """Write a file completely or not at all, and flush it to disk before its row is written."""
    part = target.with_name(f"{target.name}.{os.getpid()}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with open(os.open(part, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "wb") as file:
            file.write(held)
            file.flush()
            os.fsync(file.fileno())
        part.rename(target)
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
