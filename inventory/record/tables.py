"""How sheets with certain headers are read."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["SheetMapping"]


class SheetMapping(FactColumns, Base):
    """How spreadsheets headed so are read, by a person's word: a fact about the record itself.

    `headers`: their keys, a JSON array in order of the alphabet. `answers`: header to column, a JSON object.
    `dates` (day-first, month-first), `decimal` (comma, point), `day_numbers` (1900, 1904), `currency`: as it was said.
    """

    __tablename__ = "sheet_mapping"
    headers: Mapped[str]
    answers: Mapped[str]
    dates: Mapped[str | None]
    decimal: Mapped[str | None]
    day_numbers: Mapped[str | None]
    currency: Mapped[str | None]
