"""Checks, for `verify`, whether the stored documents are unchanged."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.read_stored import not_here, pieces
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.store.connection.engine import is_sqlite
from inventory.store.tables import DocumentContent
from inventory.store.verify.problems import Finding, Problem, named, shown

__all__ = ["paper_problems"]


def paper_problems(session: Session) -> Iterator[Problem]:
    """Documents whose bytes are gone or changed, and stored bytes without a document."""
    known: set[Any] = set()
    if says := not_here(session):
        yield Problem(None, None, DocumentContent.__tablename__, None, says)
        return
    for row in session.scalars(select(Document).order_by(Document.id)):
        known.add(row.digest)
        held = _looked_at(session, row.digest) if _is_digest(row.digest) else None
        table = DocumentContent.__tablename__
        if held is None:
            yield from named(session, [Finding(row.id, table, None, ": the file itself is gone")])
        elif held[0] != row.digest:
            says = ": the file is not the one that was attached"
            yield from named(session, [Finding(row.id, table, "content", says)])
        elif held[1] != row.size:
            says = f": the file has {held[1]} bytes, not {shown(row.size)}"
            yield from named(session, [Finding(row.id, Document.__tablename__, "size", says)])
    kept = set() if is_sqlite(session.get_bind()) else known
    stored = select(DocumentContent.digest).distinct().order_by(DocumentContent.digest)
    for digest in session.scalars(stored):
        if digest not in kept:
            says = f"a stored file belongs to no document ({shown(digest)})"
            yield Problem(None, None, DocumentContent.__tablename__, "digest", says)


def _looked_at(session: Session, digest: str) -> tuple[str, int] | None:
    """The digest and the size (bytes) of what is stored under a digest, read in pieces; None if it is gone."""
    found = pieces(session, digest)
    if found is None:
        return None
    seen, size = hashlib.sha256(), 0
    try:
        for piece in found:
            seen.update(piece)
            size += len(piece)
    except Refused:  # the disk gives no more of it
        return None
    return seen.hexdigest(), size


def _is_digest(value: object) -> bool:
    return isinstance(value, str) and len(value) == 64 and not set(value) - set("0123456789abcdef")
