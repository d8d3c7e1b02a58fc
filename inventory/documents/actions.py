"""Documents: pictures, receipts, reports, stored under the SHA-256 of their bytes.

If the record is a file, the bytes are in a folder beside it (`read_stored`). On PostgreSQL they are in the table
`document_content`, so that one backup contains everything.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.read_given import pieces_given
from inventory.documents.read_stored import content, folder, folders_of
from inventory.documents.tables import Attachment, Document
from inventory.documents.write_stored import remove_ahead, remove_unless_committed, store_file, store_pieces
from inventory.store.days.dates import When
from inventory.store.facts import Act, make_fact
from inventory.store.journal.keys import new_things
from inventory.store.record import Record
from inventory.store.tables import Base
from inventory.store.words.text import clean

__all__ = ["SHOWS", "Paper", "attached", "content", "folder", "stored", "take_in", "writing_with"]

#: The key in a session's `info` for the files that were stored ahead of its act.
_AHEAD = "documents_ahead"
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


@contextmanager
def writing_with(record: Record, *paths: Path | None) -> Iterator[Session]:
    """A session for one act that takes in these files: they are looked at and stored before it takes its locks.

    If the act is not written, they are removed. On a server they are only looked at before: there bytes and rows are
    one transaction.
    """
    ahead: dict[Path, Paper] = {}
    put: list[Path] = []
    try:
        if wanted := [path for path in paths if path is not None]:
            with record.read() as session:
                folders = folders_of(session)
            for path in wanted:
                digest, size, target = store_file(folders, path)
                ahead[path] = Paper(digest, clean(path.name), size)
                put += [target] if target else []
        with record.write() as session:
            session.info[_AHEAD] = ahead
            yield session
    except BaseException:
        remove_ahead(record.engine, put)
        raise


def take_in(session: Session, act: Act, thing_id: int, path: Path, *, shows: str, when: When) -> tuple[int, list[Base]]:
    """Store a file and attach it to a thing. Returns the document's key and the rows to write.

    The bytes are stored before the rows are written, so a row never points to a missing file.
    """
    paper = stored(session, path)
    return attached(session, act, thing_id, paper, lambda: pieces_given(path, paper.digest), shows=shows, when=when)


def stored(session: Session, path: Path) -> Paper:
    """A file that is stored for this act, now unless it was ahead of it. Raises `Refused` if it cannot be."""
    ahead: Paper | None = session.info.get(_AHEAD, {}).get(path)
    if ahead is not None:
        return ahead
    digest, size, target = store_file(folders_of(session), path)
    remove_unless_committed(session, target)
    return Paper(digest, clean(path.name), size)


def attached(
    session: Session,
    act: Act,
    thing_id: int,
    paper: Paper,
    read: Callable[[], Iterable[bytes]],
    *,
    shows: str,
    when: When,
) -> tuple[int, list[Base]]:
    """Attach a file to a thing; its pieces are `read` only if they are not stored yet. As `take_in` otherwise."""
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
    store_pieces(session, paper.digest, read())
    fact = make_fact(Attachment, act, thing_id, when, document_id=thing.id, **attachment)
    return thing.id, [thing, document, fact]
