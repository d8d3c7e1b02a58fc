"""Counts of what lies where, and what each found."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["CountLine", "Stocktake"]


class Stocktake(FactColumns, Base):
    """A count that was closed: a fact about the record. `scope_id`: the place that was counted, or null for all.

    `begun`: the day on which it began (ISO 8601). `here`, `not_here`, `elsewhere`: how many parts were found so.
    """

    __tablename__ = "stocktake"
    number: Mapped[int]
    scope_id: Mapped[int | None] = mapped_column(ForeignKey("place.id"))
    begun: Mapped[str]
    here: Mapped[int]
    not_here: Mapped[int]
    elsewhere: Mapped[int]


class CountLine(FactColumns, Base):
    """What a count or a check found of a part. `occasion`: count 3, check of list 7.

    `found`: here, not here, elsewhere.
    `place_id`: where it was found or, if it was not, looked for.
    """

    __tablename__ = "count_line"
    occasion: Mapped[str]
    found: Mapped[str]
    place_id: Mapped[int | None] = mapped_column(ForeignKey("place.id"))
