"""Pictures and papers, and the things they are attached to."""

from __future__ import annotations

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = ["Attachment", "Document"]


class Document(Base):
    """A picture, receipt or report, identified by the SHA-256 of its bytes. `taken_from`: camera or day taken in."""

    __tablename__ = "document"
    __table_args__ = (UniqueConstraint("digest"),)
    id: Mapped[ThingKey]
    digest: Mapped[str]
    file_name: Mapped[str]
    media_type: Mapped[str]
    size: Mapped[int]
    taken_on: Mapped[str | None]
    taken_from: Mapped[str | None]


class Attachment(FactColumns, Base):
    """A document is attached to a thing. `shows`: whole, marking, damage, seal, where it sat, paper, other,

    before work, after work.
    """

    __tablename__ = "attachment"
    document_id: Mapped[int] = mapped_column(ForeignKey("document.id"))
    shows: Mapped[str]
