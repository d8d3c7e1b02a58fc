"""Values stated for parts."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["Policy", "Rate", "Valuation"]


class Valuation(FactColumns, Base):
    """A stated value: `amount` (decimal digits), `currency` (ISO 4217), `basis`, `source`.

    `tax`: with tax, without tax. `with_id`: the other part of a pair that is valued as one.
    """

    __tablename__ = "valuation"
    amount: Mapped[str]
    currency: Mapped[str]
    basis: Mapped[str]
    source: Mapped[str | None]
    capacity: Mapped[str | None]
    document_id: Mapped[int | None] = mapped_column(ForeignKey("document.id"))
    tax: Mapped[str | None]
    with_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))


class Rate(FactColumns, Base):
    """What one unit of a currency was in another on a day (`rate`: decimal digits): a fact about the record."""

    __tablename__ = "rate"
    from_currency: Mapped[str]
    to_currency: Mapped[str]
    rate: Mapped[str]
    source: Mapped[str]


class Policy(FactColumns, Base):
    """Who owns what the record lists, who insures it, who prepares lists and in what capacity: a fact about the record.

    `number` of the policy; `until`: the day on which it ends (EDTF). `checked_by_id`: who checks lists independently.
    """

    __tablename__ = "policy"
    owner_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
    insurer_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
    preparer_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
    checked_by_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
    capacity: Mapped[str | None]
    number: Mapped[str | None]
    until: Mapped[str | None]
