"""Values stated for parts."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["Valuation"]


class Valuation(FactColumns, Base):
    """A stated value: `amount` (decimal digits), `currency` (ISO 4217), `basis`, `source`."""

    __tablename__ = "valuation"
    amount: Mapped[str]
    currency: Mapped[str]
    basis: Mapped[str]
    source: Mapped[str | None]
    capacity: Mapped[str | None]
    document_id: Mapped[int | None] = mapped_column(ForeignKey("document.id"))
