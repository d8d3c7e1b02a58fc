"""Reading contacts."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.provenance.tables import Contact
from inventory.store import personal

__all__ = ["ContactView", "contacts"]


@dataclass(frozen=True)
class ContactView:
    """A person or firm; what was removed reads "(name removed)"."""

    id: int
    name: str
    role: str | None
    address: str | None
    telephone: str | None


def contacts(session: Session) -> list[ContactView]:
    """All contacts, by name."""
    rows = list(session.scalars(select(Contact)))
    digests = {getattr(row, column) for row in rows for column in ("name_digest", "address_digest", "telephone_digest")}
    texts = personal.read(session, digests - {None})
    found = [
        ContactView(
            row.id,
            texts.get(row.name_digest or "", personal.BLANKED),
            row.role,
            texts.get(row.address_digest or ""),
            texts.get(row.telephone_digest or ""),
        )
        for row in rows
    ]
    return sorted(found, key=lambda contact: (contact.name.casefold(), contact.id))
