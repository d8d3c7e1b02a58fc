"""What the record knows of some pictures: the parts with these labels, what is attached already, and pictures alike."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from io import BytesIO

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.actions import content
from inventory.documents.picture import digest_of_pixels
from inventory.documents.tables import Attachment, Document
from inventory.labels.codes import CarSideCode, PartCode
from inventory.labels.queries import stuck_already
from inventory.parts.tables import Part
from inventory.store.many import among

__all__ = ["attached_to", "parts_of", "pixels_on_record"]


def parts_of(session: Session, labels: Collection[PartCode | CarSideCode]) -> dict[PartCode | CarSideCode, str]:
    """The tag of the part that each label belongs to; labels that are on no part are left out.

    A label on the car belongs to the part for which it was stuck on, whatever tag that has now.
    """
    tags = {label: label.tag for label in labels}
    for label in labels:
        if isinstance(label, CarSideCode) and (stuck := stuck_already(session, label)):
            tags[label] = session.get_one(Part, stuck[-1].thing_id).tag
    used = select(Part.tag).where(among(Part.tag, set(tags.values())), Part.kind.is_not(None))
    on_parts = set(session.scalars(used))
    return {label: tag for label, tag in tags.items() if tag in on_parts}


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
        if digest not in but and (pixels := digest_of_pixels(BytesIO(content(session, digest) or b""))):
            found[pixels] = name
    return found
