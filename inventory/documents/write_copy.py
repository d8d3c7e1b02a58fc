"""Writes a document of the record to a file: the original, or a copy that tells others nothing but the picture."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy.orm import Session

from inventory.documents.queries import DocumentView, document_named
from inventory.documents.read_stored import document_gone, pieces
from inventory.store.files import whole_file
from inventory.store.systems import safe_name

__all__ = ["Copied", "write_copy"]


@dataclass(frozen=True)
class Copied:
    """What was written: the document's digest, the file, its size (bytes)."""

    digest: str
    file: Path
    size: int


def write_copy(session: Session, named: str, output: Path | None, *, for_others: bool, overwrite: bool) -> Copied:
    """Write a document to a file; without `output` under its own name in this folder.

    Raises `Refused` if it is not known or its bytes are gone or were changed, and `for_others` if it is no picture:
    nothing can be taken out of other files.
    """
    document = document_named(session, named)
    held = pieces(session, document.digest)
    if held is None:
        raise document_gone(session, document.file_name)
    held = _unchanged(session, held, document)
    name = safe_name(document.file_name, document.short)
    if for_others:
        from inventory.documents.picture import copy_for_others

        bare, ending = copy_for_others(b"".join(held))
        held = iter((bare,))
        name = f"{Path(name).stem}-for-others{ending}"
    file = output or Path(name)
    with whole_file(file, overwrite=overwrite) as part, part.open("wb") as written:
        size = sum(map(written.write, held))
    return Copied(document.digest, file, size)


def _unchanged(session: Session, held: Iterator[bytes], document: DocumentView) -> Iterator[bytes]:
    """The pieces of a document. Raises `Refused` after the last one if they are not those that were attached."""
    seen = hashlib.sha256()
    for piece in held:
        seen.update(piece)
        yield piece
    if seen.hexdigest() != document.digest:
        raise document_gone(session, document.file_name)
