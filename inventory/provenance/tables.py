"""Where parts came from and went."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["Provenance", "StolenSerial"]


class Provenance(FactColumns, Base):
    """How a part came, changed hands or left. `lane`: title, custody, use.

    `how`: bought, given, exchanged, inherited, came with a car, found, left here by a customer, lent in,
    lent out, sent out, came back, found again, sold, given away, returned, scrapped, lost, stolen, settled by the
    insurer, not known. `whose`: own, customer's, lent in, lent out, the insurer's, not known, or null: this says
    nothing of it. `attribution`: seen by us, document, said by seller, said by others, inferred, written in a
    sheet. `due`: the day on which a part that is away should be back. `certainty`: certain, likely, possible.
    `reference`: a number given by the police or an insurer. `said_by_id`: who says so.
    """

    __tablename__ = "provenance"
    lane: Mapped[str]
    how: Mapped[str]
    whose: Mapped[str | None]
    party_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))
    attribution: Mapped[str]
    price: Mapped[str | None]
    currency: Mapped[str | None]
    document_id: Mapped[int | None] = mapped_column(ForeignKey("document.id"))
    text: Mapped[str | None]
    due: Mapped[str | None]
    certainty: Mapped[str | None]
    reference: Mapped[str | None]
    said_by_id: Mapped[int | None] = mapped_column(ForeignKey("contact.id"))


class StolenSerial(FactColumns, Base):
    """A serial on the workshop's own list of stolen parts: a fact about the record. `reference`: a police number."""

    __tablename__ = "stolen_serial"
    kind: Mapped[str | None]
    maker: Mapped[str | None]
    part_number: Mapped[str | None]
    serial: Mapped[str]
    reference: Mapped[str | None]
    source: Mapped[str | None]
