"""Settlements of contradictions."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["Settlement"]


class Settlement(FactColumns, Base):
    """What settles a contradiction about a part or car: what it is about, the answer, why, and the paper or picture.

    `about` and `answer` are words of `contradictions.looks`. It settles what counts from before it.
    """

    __tablename__ = "settlement"
    about: Mapped[str]
    answer: Mapped[str]
    why: Mapped[str | None]
    document_id: Mapped[int | None] = mapped_column(ForeignKey("document.id"))
