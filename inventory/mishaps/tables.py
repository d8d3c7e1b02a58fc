"""Mishaps of parts."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["Mishap"]


class Mishap(FactColumns, Base):
    """A mishap of a part. `mishap`: dropped, heated, wetted or shorted; `text`: how it happened, in words.

    It does not say whether the part was damaged: the next test shows that.
    """

    __tablename__ = "mishap"
    mishap: Mapped[str]
    text: Mapped[str | None]
