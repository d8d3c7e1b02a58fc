"""What befell parts."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["Mishap"]


class Mishap(FactColumns, Base):
    """Something that befell a part. `mishap`: dropped, heated, wetted or shorted; `text`: how it happened, in words.

    It says nothing of what became of the part: that is for the next test to show.
    """

    __tablename__ = "mishap"
    mishap: Mapped[str]
    text: Mapped[str | None]
