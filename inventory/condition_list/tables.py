"""Condition lists that were given out."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["GivenOut"]


class GivenOut(FactColumns, Base):
    """A file that was given out: `what` it is (condition list), its number and its fingerprint."""

    __tablename__ = "given_out"
    what: Mapped[str]
    number: Mapped[int]
    fingerprint: Mapped[str]
