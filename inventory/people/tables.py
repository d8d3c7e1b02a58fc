"""People and firms; the texts about them are stored separately."""

from __future__ import annotations

from sqlalchemy import Index
from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = ["Contact", "ContactDescription"]


class ContactColumns:
    """A person's role, and the digests of the personal texts, which are in the table `personal`."""

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
    """A description of a person; an empty column says nothing. `blanked`: yes if the texts are erased."""

    __tablename__ = "contact_description"
    blanked: Mapped[str | None]
