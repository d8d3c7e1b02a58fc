"""Reads documents: those of a thing, and the one that somebody names."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.tables import Attachment, Document
from inventory.errors import Refused, UnknownName
from inventory.store.facts import as_of, fact_id, split_fact_id
from inventory.store.words.names import nearest
from inventory.store.words.text import clean, fold

__all__ = ["DocumentView", "digests_of", "document_named", "documents_of"]

#: So many characters of a digest are shown, and at least so many name a document.
_SHOWN, _FEWEST = 12, 6


@dataclass(frozen=True)
class DocumentView:
    """A document. `fact`, `shows`, `on`: its attachment, where it was looked up as that of a thing."""

    digest: str
    file_name: str
    media_type: str
    size: int
    fact: str = ""
    shows: str = ""
    on: str = ""

    @property
    def short(self) -> str:
        """The beginning of its digest, which names it."""
        return self.digest[:_SHOWN]


def documents_of(session: Session, thing_id: int) -> list[DocumentView]:
    """The documents attached to a thing, oldest first."""
    query = as_of(select(Attachment, Document).where(Attachment.thing_id == thing_id), Attachment)
    rows = session.execute(query.join(Document, Document.id == Attachment.document_id))
    return [_view(document, attachment) for attachment, document in rows]


def digests_of(session: Session, thing_id: int) -> dict[str, str]:
    """The digest of each attached document of a thing, by the id of its attachment."""
    return {each.fact: each.digest for each in documents_of(session, thing_id)}


def document_named(session: Session, typed: str) -> DocumentView:
    """The document that somebody names: by the beginning of its digest, its attachment's id, or its file's name.

    Raises `Refused` if there is none, or several.
    """
    words = clean(typed)
    fact = split_fact_id(words)
    if fact is not None and fact[0] == Attachment.__tablename__:
        where = Document.id == select(Attachment.document_id).where(Attachment.id == fact[1]).scalar_subquery()
    elif re.fullmatch(rf"[0-9a-f]{{{_FEWEST},64}}", words.lower()):
        where = Document.digest.startswith(words.lower())
    else:
        where = None
    found = (
        [_view(document) for document in session.scalars(select(Document).where(where))] if where is not None else []
    )
    if not found:
        every = session.scalars(select(Document)).all()
        found = [_view(document) for document in every if fold(document.file_name) == fold(words)]
        if not found:
            raise UnknownName("document", words, nearest(words, [document.file_name for document in every]))
    if len(found) > 1:
        raise Refused(
            "several-documents",
            f'{len(found)} documents are meant by "{words}"',
            hint=f"name it by its digest: {', '.join(each.short for each in found[:4])}",
        )
    return found[0]


def _view(document: Document, attachment: Attachment | None = None) -> DocumentView:
    said = (
        (fact_id(Attachment, attachment.id), attachment.shows, attachment.so_from)
        if attachment is not None
        else ("", "", "")
    )
    return DocumentView(document.digest, document.file_name, document.media_type, document.size, *said)
