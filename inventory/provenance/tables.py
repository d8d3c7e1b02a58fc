"""Where parts came from and went, people, and papers."""

from __future__ import annotations

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = ["Attachment", "Contact", "ContactDescription", "Document", "GivenOut", "Provenance", "SheetMapping"]


class ContactColumns:
    """A person's role, and the digests of what is personal; the texts lie apart in `personal`."""

    role: Mapped[str | None]
    name_digest: Mapped[str | None]
    address_digest: Mapped[str | None]
    telephone_digest: Mapped[str | None]


class Contact(ContactColumns, Base):
    """A person or firm, as described now."""

    __tablename__ = "contact"
    __table_args__ = (Index(None, "name_digest"),)
    id: Mapped[ThingKey]


class ContactDescription(FactColumns, ContactColumns, Base):
    """What was written down about a person; an empty column says nothing. `blanked`: yes once removed."""

    __tablename__ = "contact_description"
    blanked: Mapped[str | None]


class Document(Base):
    """A picture, receipt or report, known by the SHA-256 of its bytes. `taken_from`: camera or day taken in."""

    __tablename__ = "document"
    __table_args__ = (UniqueConstraint("digest"),)
    id: Mapped[ThingKey]
    digest: Mapped[str]
    file_name: Mapped[str]
    media_type: Mapped[str]
    size: Mapped[int]
    taken_on: Mapped[str | None]
    taken_from: Mapped[str | None]


class Attachment(FactColumns, Base):
    """A document belongs to a thing. `shows`: whole, marking, damage, seal, paper, other."""

    __tablename__ = "attachment"
    document_id: Mapped[int] = mapped_column(ForeignKey("document.id"))
    shows: Mapped[str]


class Provenance(FactColumns, Base):
    """How a part came, changed hands or left. `lane`: title, custody, use.

    `how`: bought, given, exchanged, inherited, came with a car, found, left here by a customer, lent in,
    lent out, sent out, came back, sold, given away, returned, scrapped, lost, stolen, not known.
    `whose`: own, customer's, lent in, lent out, or null where this says nothing of it. `attribution`:
    seen by us, document, said by seller, inferred.
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


class GivenOut(FactColumns, Base):
    """A file that left the house: `what` (condition list), its number and its fingerprint."""

    __tablename__ = "given_out"
    what: Mapped[str]
    number: Mapped[int]
    fingerprint: Mapped[str]


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
