"""Facts of the record itself: saved answers for sheets with certain headers, and the workshop's own reference data."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["SheetMapping", "WorkshopData"]


class SheetMapping(FactColumns, Base):
    """A person's saved answers for sheets with these headers: a fact about the record itself.

    `headers`: header keys, a sorted JSON array. `answers`: header to column, a JSON object. `dates` (day-first,
    month-first), `decimal` (comma, point), `day_numbers` (1900, 1904), `currency`: as answered.
    """

    __tablename__ = "sheet_mapping"
    headers: Mapped[str]
    answers: Mapped[str]
    dates: Mapped[str | None]
    decimal: Mapped[str | None]
    day_numbers: Mapped[str | None]
    currency: Mapped[str | None]


class WorkshopData(FactColumns, Base):
    """A workshop's own limits, kinds and tests, taken in whole from a file: what was in force from its day on.

    `text`: the TOML as it was read. `digest`: SHA-256 of it. `file_name`: the name of the file it was taken from.
    """

    __tablename__ = "workshop_data"
    text: Mapped[str]
    digest: Mapped[str]
    file_name: Mapped[str]
