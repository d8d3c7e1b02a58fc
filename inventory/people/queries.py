"""Reading contacts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.people.tables import Contact, ContactDescription
from inventory.store import personal
from inventory.store.facts import as_of, fact_id
from inventory.store.many import among

__all__ = ["HAND", "ContactView", "contacts", "find_contacts", "names_of_contacts", "names_of_people"]

#: The role of somebody who writes in the record.
HAND = "hand"


@dataclass(frozen=True)
class ContactView:
    """A person or firm; an erased name is "(name removed)". `fact`: the id of the current description."""

    id: int
    name: str
    role: str | None
    address: str | None
    telephone: str | None
    fact: str | None


def contacts(session: Session) -> list[ContactView]:
    """All contacts, by name."""
    rows = list(session.scalars(select(Contact)))
    digests = {getattr(row, column) for row in rows for column in ("name_digest", "address_digest", "telephone_digest")}
    texts = personal.read(session, digests - {None})
    standing = as_of(select(ContactDescription).where(ContactDescription.blanked.is_(None)), ContactDescription)
    described = {row.thing_id: fact_id(ContactDescription, row.id) for row in session.scalars(standing)}
    found = [
        ContactView(
            row.id,
            texts.get(row.name_digest or "", personal.BLANKED),
            row.role,
            texts.get(row.address_digest or ""),
            texts.get(row.telephone_digest or ""),
            described.get(row.id),
        )
        for row in rows
    ]
    return sorted(found, key=lambda contact: (contact.name.casefold(), contact.id))


def names_of_people(session: Session, keys: Iterable[int]) -> dict[int, str]:
    """The names of contacts by key; an erased name is "(name removed)"."""
    wanted = set(keys)
    if not wanted:
        return {}
    query = select(Contact.id, Contact.name_digest).where(among(Contact.id, wanted))
    digests = {key: digest for key, digest in session.execute(query) if digest}
    texts = personal.read(session, set(digests.values()))
    return {key: texts.get(digest, personal.BLANKED) for key, digest in digests.items()}


def names_of_contacts(session: Session, *, hands: bool = False) -> dict[str, int]:
    """The keys of contacts by name, the first of several; erased ones are left out. `hands`: with those who write."""
    query = select(Contact.id) if hands else select(Contact.id).where(Contact.role.is_distinct_from(HAND))
    named = names_of_people(session, session.scalars(query))
    return {name: key for key, name in sorted(named.items(), reverse=True) if name != personal.BLANKED}


def find_contacts(session: Session, name: str) -> list[Contact]:
    """The contacts with this name; case and spaces do not matter."""
    digests = [row.digest for row in personal.find(session, name)]
    query = select(Contact).where(Contact.name_digest.in_(digests)).order_by(Contact.id)
    return list(session.scalars(query)) if digests else []
