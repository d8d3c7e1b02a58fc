"""Checks, for `verify`, whether the stored documents are unchanged, and what else lies among them."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.read_given import digest_of
from inventory.documents.read_stored import IDENTITY, folders_of, not_here, pieces, place_in
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.store.connection.engine import is_sqlite
from inventory.store.systems import quoted
from inventory.store.tables import DocumentContent
from inventory.store.verify.problems import Finding, Problem, Remark, named, shown

__all__ = ["paper_problems", "paper_remarks"]

_TABLE = DocumentContent.__tablename__
#: How many files a remark names.
_NAMED = 3


def paper_problems(session: Session) -> Iterator[Problem]:
    """Documents whose bytes are gone, changed or cannot be read, and stored bytes without a document."""
    known: set[Any] = set()
    if says := not_here(session):
        yield Problem(None, None, _TABLE, None, says, unread=True)
        return
    for row in session.scalars(select(Document).order_by(Document.id)):
        known.add(row.digest)
        if finding := _finding(session, row):
            yield from named(session, [finding])
    kept = set() if is_sqlite(session.get_bind()) else known
    for digest in session.scalars(select(DocumentContent.digest).distinct().order_by(DocumentContent.digest)):
        if digest not in kept:
            says = f"a stored file belongs to no document ({shown(digest)})"
            yield Problem(None, None, _TABLE, "digest", says)


def _finding(session: Session, row: Document) -> Finding | None:
    """What is wrong with the bytes of one document. Of what cannot be read nothing is known to be changed."""
    try:
        held = _looked_at(session, row.digest) if _is_digest(row.digest) else None
    except Refused as refusal:
        return Finding(row.id, _TABLE, None, f": its file cannot be read here ({refusal.message})", unread=True)
    if held is None:
        return Finding(row.id, _TABLE, None, ": the file itself is gone")
    digest, size = held
    if digest != row.digest:
        says = ": the file is not the one that was attached"
        if isinstance(row.size, int) and size < row.size:
            says = f"{says}: it has {size} bytes of {row.size}"
        return Finding(row.id, _TABLE, "content", says)
    if size != row.size:
        return Finding(row.id, Document.__tablename__, "size", f": the file has {size} bytes, not {shown(row.size)}")
    return None


def _looked_at(session: Session, digest: str) -> tuple[str, int] | None:
    """The digest and the size (bytes) of what is stored under a digest, read in pieces; None if it is gone.

    Raises `Refused` if it is there and cannot be read.
    """
    found = pieces(session, digest)
    if found is None:
        folders = folders_of(session)
        places = () if folders is None else (place_in(among, digest) for among in folders.read())
        if held := next((place for place in places if os.path.lexists(place)), None):
            raise Refused("document-gone", f"{held} cannot be opened")
        return None
    return digest_of(found)


def paper_remarks(session: Session) -> Iterator[Remark]:
    """Files among the documents of a record file that belong to none, in one line for each sort.

    An act that was killed leaves such a file: the bytes are stored before the row is written.
    """
    folders = folders_of(session)
    if folders is None or folders.stranger:
        return
    known = set(session.scalars(select(Document.digest)))
    half: list[Path] = []
    orphans: list[Path] = []
    for within, _, names in os.walk(folders.own):
        for name in sorted(names):
            if name.endswith(".part"):
                half.append(Path(within) / name)
            elif name not in known and Path(within) / name != folders.own / IDENTITY:
                orphans.append(Path(within) / name)
    for paths, which in ((half, "half written"), (orphans, "of no document on record")):
        if paths:
            files = "1 file" if len(paths) == 1 else f"{len(paths)} files"
            lies = "lies" if len(paths) == 1 else "lie"
            named_here = " ".join(map(quoted, sorted(paths)[:_NAMED]))
            more = "" if len(paths) <= _NAMED else f" and {len(paths) - _NAMED} more"
            says = f"{files} {which} {lies} among the documents. Unless somebody is attaching a file just now, delete "
            yield Remark(f"{says}{named_here}{more}", file=str(sorted(paths)[0]))


def _is_digest(value: object) -> bool:
    return isinstance(value, str) and len(value) == 64 and not set(value) - set("0123456789abcdef")
