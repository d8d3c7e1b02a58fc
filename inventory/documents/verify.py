"""Checks, for `verify`, whether the stored documents are unchanged."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.actions import content
from inventory.documents.tables import Document
from inventory.store.connection.engine import is_sqlite
from inventory.store.tables import DocumentContent
from inventory.store.verify.problems import Finding, Problem, named, shown

__all__ = ["paper_problems"]


def paper_problems(session: Session) -> Iterator[Problem]:
    """Documents whose bytes are gone or changed, and stored bytes without a document."""
    known: set[Any] = set()
    for row in session.scalars(select(Document).order_by(Document.id)):
        known.add(row.digest)
        held = content(session, row.digest) if _is_digest(row.digest) else None
        table = DocumentContent.__tablename__
        if held is None:
            yield from named(session, [Finding(row.id, table, None, ": the file itself is gone")])
        elif hashlib.sha256(held).hexdigest() != row.digest:
            says = ": the file is not the one that was attached"
            yield from named(session, [Finding(row.id, table, "content", says)])
        elif len(held) != row.size:
            says = f": the file has {len(held)} bytes, not {shown(row.size)}"
            yield from named(session, [Finding(row.id, Document.__tablename__, "size", says)])
    kept = set() if is_sqlite(session.get_bind()) else known
    for digest in session.scalars(select(DocumentContent.digest).order_by(DocumentContent.digest)):
        if digest not in kept:
            says = f"a stored file belongs to no document ({shown(digest)})"
            yield Problem(None, None, DocumentContent.__tablename__, "digest", says)


def _is_digest(value: object) -> bool:
    return isinstance(value, str) and len(value) == 64 and not set(value) - set("0123456789abcdef")
