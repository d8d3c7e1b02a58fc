"""The pictures of a list as they are drawn: from the record, small, with the day they were taken and who says so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.actions import content
from inventory.documents.picture import small_copy
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.store.facts import split_fact_id

__all__ = ["PictureOf", "SmallPicture", "pictures_of"]

#: Of the JPEG: a thousand pictures stay under 20 MB, and a stamped serial can be read.
_QUALITY = 58


@dataclass(frozen=True)
class SmallPicture:
    """A picture to draw: JPEG, `ratio` its width for its height. Without one, `problem` says why.

    `taken_on`: the day it was taken (EDTF), `taken_from`: where that day comes from.
    """

    held: bytes = b""
    ratio: float = 1.0
    taken_on: str | None = None
    taken_from: str | None = None
    problem: str = ""


#: Gives the picture of a document ("document-12"), with so many pixels on its longer side.
PictureOf = Callable[[str, int], SmallPicture]


def pictures_of(session: Session) -> PictureOf:
    """Reads a picture when it is drawn, so that a list of many needs no more memory than one."""
    columns = (Document.id, Document.digest, Document.taken_on, Document.taken_from)
    known = {row.id: row for row in session.execute(select(*columns).where(Document.media_type.startswith("image/")))}

    def picture_of(document: str, pixels: int) -> SmallPicture:
        named = split_fact_id(document)
        row = known.get(named[1]) if named else None
        held = content(session, row.digest) if row is not None else None
        if row is None or held is None:
            return SmallPicture(problem="its file is gone or was changed")
        told = {"taken_on": row.taken_on, "taken_from": row.taken_from}
        try:
            small, ratio = small_copy(held, pixels, quality=_QUALITY)
        except Refused as refusal:
            return SmallPicture(problem=refusal.message, **told)
        return SmallPicture(small, ratio, **told)

    return picture_of
