"""Claims: what somebody says of a part without our having seen it."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["Claim"]


class Claim(FactColumns, Base):
    """Something said of a part: the words, the test they name (null: none named), how it came out.

    `came_out`: pass, fail. `source`: specialist, workshop, keeper, seller, not known. `proof`: none, picture,
    film, report, specialist's paper.
    """

    __tablename__ = "claim"
    said: Mapped[str]
    test: Mapped[str | None]
    came_out: Mapped[str]
    party_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
    source: Mapped[str]
    proof: Mapped[str]
