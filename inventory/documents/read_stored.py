"""Where the documents of a record lie, and reading them in pieces.

Of a record file they lie in a folder beside it, `RECORD.documents/ab/abcdef...`, with the identity of the record in
the file `record`. Of a record that was renamed, copied or is reached by a link, they are found by that identity.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import BinaryIO

from sqlalchemy import Connection, Engine, select
from sqlalchemy.orm import Session

from inventory.documents.read_given import pieces_in
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.store.connection.engine import is_sqlite
from inventory.store.journal.log import identity_of_record
from inventory.store.systems import reachable
from inventory.store.tables import DocumentContent

__all__ = [
    "IDENTITY",
    "Folders",
    "content",
    "document_gone",
    "folder",
    "folders_in",
    "folders_of",
    "identity_in",
    "not_here",
    "pieces",
    "place_in",
]

ENDING = ".documents"
#: The file in a folder of documents that says of which record they are.
IDENTITY = "record"
#: Where a session's `info` keeps the folders that were found.
_FOUND = "documents_folders"


@dataclass(frozen=True)
class Folders:
    """The folder of a record file in which documents are stored (`own`), and the record's identity.

    `stranger`: a folder of that name is there, but it is of another record. `named`: the folder that has the name by
    which the record was reached, which may be a link.
    """

    own: Path
    named: Path
    identity: str
    stranger: bool

    @cached_property
    def others(self) -> tuple[Path, ...]:
        """Further folders with its documents: of the link, and those beside it that say they are of this record."""
        found = [self.named] if identity_in(self.named) in (None, self.identity) and self.named.is_dir() else []
        for place in dict.fromkeys((self.own.parent, self.named.parent)):
            with suppress(OSError):
                beside = sorted(each for each in place.iterdir() if each.name.endswith(ENDING))
                found += [each for each in beside if identity_in(each) == self.identity]
        return tuple(each for each in dict.fromkeys(found) if each != self.own)

    def read(self) -> Iterator[Path]:
        """Those to read from; only where a document is missing in its own folder are the others looked for."""
        if not self.stranger:
            yield self.own
        yield from self.others


def folder(bind: Engine | Connection) -> Path:
    """The folder for the documents of a record file: beside the file itself, also if that is reached by a link."""
    return _beside(Path(os.path.realpath(bind.engine.url.database or "")))


def folders_of(session: Session) -> Folders | None:
    """The folders of a record file; None on a server. Looked for once in a session."""
    if not is_sqlite(session.get_bind()):
        return None
    found: Folders | None = session.info.get(_FOUND)
    if found is None:
        found = session.info[_FOUND] = folders_in(session.connection())
    return found


def folders_in(connection: Connection) -> Folders:
    """The folders of the record file of a connection; its schema may be of any revision."""
    identity = identity_of_record(connection)
    own = folder(connection)
    named = _beside(Path(os.path.abspath(connection.engine.url.database or "")))
    return Folders(own, named, identity, identity_in(own) not in (None, identity))


def identity_in(among: Path) -> str | None:
    """The identity of the record that a folder of documents is of; None if it does not say so."""
    try:
        with (among / IDENTITY).open(encoding="ascii") as file:
            return file.read(100).strip() or None
    except (OSError, ValueError):
        return None


def place_in(among: Path, digest: str) -> Path:
    """Where a document lies in a folder of documents."""
    return reachable(among / digest[:2] / digest)


def pieces(session: Session, digest: str) -> Iterator[bytes] | None:
    """The bytes of a document in pieces; None if they are gone. An empty document is one empty piece."""
    folders = folders_of(session)
    if folders is None:
        first = _piece(session, digest, 0)
        return None if first is None else _from_server(session, digest, first)
    for among in folders.read():
        with suppress(OSError):
            opened = place_in(among, digest).open("rb")
            return _from_file(opened)
    return None


def content(session: Session, digest: str) -> bytes | None:
    """The bytes of a document as a whole; None if they are gone, or are not those that were attached."""
    found = pieces(session, digest)
    try:
        held = None if found is None else b"".join(found)
    except Refused:  # the disk gives no more of it
        return None
    return held if held is not None and hashlib.sha256(held).hexdigest() == digest else None


def _from_file(opened: BinaryIO) -> Iterator[bytes]:
    with opened as file:
        yield from pieces_in(file)


def _from_server(session: Session, digest: str, first: bytes) -> Iterator[bytes]:
    piece: bytes | None = first
    number = 0
    while piece is not None:
        yield piece
        number += 1
        piece = _piece(session, digest, number)


def _piece(session: Session, digest: str, number: int) -> bytes | None:
    where = (DocumentContent.digest == digest, DocumentContent.piece == number)
    return session.scalar(select(DocumentContent.content).where(*where))


def not_here(session: Session) -> str | None:
    """A sentence where none of a record's documents can be here: there is no folder, or it is another record's."""
    folders = folders_of(session)
    if folders is None or any(each.is_dir() for each in folders.read()):
        return None
    if session.scalar(select(Document.id).limit(1)) is None:
        return None
    name = folders.own.name
    if folders.stranger:
        return f"the pictures are not here: {name} holds those of another record"
    return f"the pictures are not here: they lie beside the old file; put that folder here, named {name}"


def document_gone(session: Session, file_name: str) -> Refused:
    """The refusal for a document whose bytes are not there, or are not those that were attached."""
    if says := not_here(session):
        return Refused("documents-not-here", f"{says[:1].upper()}{says[1:]}")
    return Refused("document-gone", f"The file of {file_name} is gone or was changed", hint="matchmark verify")


def _beside(record: Path) -> Path:
    return record.with_name(f"{record.name}{ENDING}")
