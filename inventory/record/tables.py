"""Facts of the record itself: saved answers for sheets with certain headers, and the workshop's own reference data."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["SheetMapping", "SheetReading", "WorkshopData"]


class SheetMapping(FactColumns, Base):
    """A person's saved answers for sheets with these headers: a fact about the record itself.

    `headers`: header keys, a sorted JSON array. `answers`: header to column, a JSON object. `dates` (day-first,
    month-first), `decimal` (comma, point), `day_numbers` (1900, 1904), `currency`: as answered. `mends`: the other
    answers, key of the question to answer, a JSON object; see `sheets.columns.questions`.
    """

    __tablename__ = "sheet_mapping"
    headers: Mapped[str]
    answers: Mapped[str]
    dates: Mapped[str | None]
    decimal: Mapped[str | None]
    day_numbers: Mapped[str | None]
    currency: Mapped[str | None]
    mends: Mapped[str | None]


class SheetReading(FactColumns, Base):
    """One table of a spreadsheet that was read into the record, as of the day it was kept up to.

    `file_name`, `tab`: where it stood. `headers`: header keys, a sorted JSON array, by which next month's version is
    known. `rows`: how many rows of data it had; `parts`: the keys of the parts that they are, a JSON array. `to_mend`:
    how many rows could not be read; `rejects`: the name of the workbook that has them.
    """

    __tablename__ = "sheet_reading"
    file_name: Mapped[str]
    tab: Mapped[str]
    headers: Mapped[str]
    rows: Mapped[int]
    parts: Mapped[str]
    to_mend: Mapped[int]
    rejects: Mapped[str | None]


class WorkshopData(FactColumns, Base):
    """A workshop's own limits, kinds and tests, taken in whole from a file: what was in force from its day on.

    `text`: the TOML as it was read. `digest`: SHA-256 of it. `file_name`: the name of the file it was taken from.
    """

    __tablename__ = "workshop_data"
    text: Mapped[str]
    digest: Mapped[str]
    file_name: Mapped[str]
