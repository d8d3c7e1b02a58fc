"""Correcting what is written of a person: the text lies apart, the fact written anew holds its digest."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy.orm import Session

from inventory.errors import Refused, UnknownName
from inventory.provenance.hands import HAND
from inventory.provenance.tables import Contact, ContactDescription
from inventory.store import personal
from inventory.store.names import nearest
from inventory.store.tables import Base
from inventory.store.text import clean, short_enough

__all__ = ["corrected_person"]

_NAMES = ("role", "address", "telephone")


def corrected_person(
    session: Session, row: ContactDescription, changes: Mapping[str, str]
) -> tuple[dict[str, str | None], list[Base]]:
    """The values of a person's description with some changed, and the rows to be written with it.

    `changes`: role, address, telephone, by name; an empty text takes away. A name is not corrected: acts are signed
    with it. Refuses what was removed for good, and a role that would make somebody a hand or no longer one.
    """
    contact = session.get_one(Contact, row.thing_id)
    _refuse_removed(session, row, contact)
    values = {name: getattr(row, name) for name in ("role", "name_digest", "address_digest", "telephone_digest")}
    beside: list[Base] = []
    for typed, text in changes.items():
        name, plain = clean(typed).casefold(), clean(text) or None
        if name not in _NAMES:
            raise UnknownName("value to correct", typed, nearest(name, _NAMES) or list(_NAMES))
        if name == "role":
            values[name] = _role(row, plain)
        elif plain is None:
            values[f"{name}_digest"] = None
        elif personal.read(session, {values[f"{name}_digest"] or ""}).get(values[f"{name}_digest"] or "") != plain:
            kept = personal.keep(row.thing_id, short_enough(name, plain))
            values[f"{name}_digest"] = kept.digest
            beside.append(kept)
    for column, value in values.items():
        setattr(contact, column, value)
    return values, [*beside, contact]


def _refuse_removed(session: Session, row: ContactDescription, contact: Contact) -> None:
    digest = contact.name_digest or ""
    if row.blanked or personal.read(session, {digest}).get(digest) == personal.BLANKED:
        raise Refused("person-removed", "What was written of this person was removed for good. Nothing was changed")


def _role(row: ContactDescription, role: str | None) -> str | None:
    if role != row.role and HAND in (role, row.role):
        raise Refused(
            "role-of-a-hand",
            'The role "hand" is that of whoever writes in the record, so it is not given or taken. Nothing was changed',
            hint='write the person down beside it: matchmark contact add "NAME" --role ROLE',
        )
    return role
