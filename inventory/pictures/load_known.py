"""What the record knows of some pictures: the parts with these labels, what is attached already, and pictures alike."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.actions import content
from inventory.documents.picture import digest_of_pixels
from inventory.documents.tables import Attachment, Document
from inventory.parts.tables import Part
from inventory.store.many import among

__all__ = ["attached_to", "known_tags", "pixels_on_record"]


def known_tags(session: Session, tags: Collection[str]) -> set[str]:
    """Those of some tags that are on a part on record."""
    return set(session.scalars(select(Part.tag).where(among(Part.tag, tags), Part.kind.is_not(None))))


def attached_to(session: Session, digests: Collection[str]) -> dict[str, set[str]]:
    """The tags of the parts that documents are attached to, by the digest of the document."""
    query = (
        select(Document.digest, Part.tag)
        .join(Attachment, Attachment.document_id == Document.id)
        .join(Part, Part.id == Attachment.thing_id)
        .where(among(Document.digest, digests), Attachment.superseded_by.is_(None))
    )
    found: dict[str, set[str]] = defaultdict(set)
    for digest, tag in session.execute(query):
        found[digest].add(tag)
    return found


def pixels_on_record(session: Session, tags: Iterable[str], but: Collection[str]) -> dict[str, str]:
    """The names of the pictures of some parts, by the digest of their pixels; documents with the digests `but` not."""
    query = (
        select(Document.digest, Document.file_name)
        .join(Attachment, Attachment.document_id == Document.id)
        .join(Part, Part.id == Attachment.thing_id)
        .where(among(Part.tag, set(tags)), Document.media_type.startswith("image/"))
        .distinct()
    )
    found = {}
    for digest, name in session.execute(query).all():
        if digest not in but and (pixels := digest_of_pixels(content(session, digest) or b"")):
            found[pixels] = name
    return found
