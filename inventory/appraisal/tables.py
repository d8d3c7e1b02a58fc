"""Offers that were seen and kept."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["OfferSeen"]


class OfferSeen(FactColumns, Base):
    """A part that was offered for sale: a fact about the record.

    `price` and `currency`: what was asked; `claims`: what the seller said; `answered`: what he answered; `outcome`:
    open, bought, not bought; `paid`: the price paid.
    """

    __tablename__ = "offer_seen"
    kind: Mapped[str]
    maker: Mapped[str | None]
    part_number: Mapped[str | None]
    serial: Mapped[str | None]
    match_code: Mapped[str | None]
    price: Mapped[str | None]
    currency: Mapped[str | None]
    claims: Mapped[str | None]
    answered: Mapped[str | None]
    outcome: Mapped[str | None]
    paid: Mapped[str | None]
    seller_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
