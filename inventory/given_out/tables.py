"""Papers that were written for others, and to whom they were given."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["GivenOut", "PaperWritten"]


class PaperWritten(FactColumns, Base):
    """A paper that was written to a file: `what` it is (condition list, passport, ...), its number, its fingerprint.

    `as_of`, `known_on`: its days. `options`: canonical JSON of what was asked for, without names of people. `edition`:
    that of the reference data. `anchor`: that of the record when it was written, after `anchor_size` entries; empty
    where the record did not fit, and in papers of older versions.
    """

    __tablename__ = "paper_written"
    what: Mapped[str]
    number: Mapped[int]
    fingerprint: Mapped[str]
    as_of: Mapped[str | None]
    known_on: Mapped[str | None]
    options: Mapped[str | None]
    edition: Mapped[str | None]
    anchor: Mapped[str | None]
    anchor_size: Mapped[int | None]


class GivenOut(FactColumns, Base):
    """A paper that was given to somebody: `what` it is, its number and its fingerprint; `to_id`: to whom, if known.

    In records of older versions writing a condition list was such a fact.
    """

    __tablename__ = "given_out"
    what: Mapped[str]
    number: Mapped[int]
    fingerprint: Mapped[str]
    to_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
