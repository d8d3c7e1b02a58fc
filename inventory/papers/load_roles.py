"""Reads who is named in a record, so that a paper can speak of roles."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.papers.roles import Roles
from inventory.people.queries import HAND, names_of_people
from inventory.people.tables import Contact
from inventory.store import personal
from inventory.store.words.nothing import nothing_in

__all__ = ["roles_of"]


def roles_of(session: Session) -> Roles:
    """The roles of all people on record."""
    rows = dict(session.execute(select(Contact.id, Contact.role).order_by(Contact.id)).all())
    named = names_of_people(session, rows).items()
    names = {key: name for key, name in named if name != personal.BLANKED and nothing_in(name) is None}
    hands = tuple(names[key] for key, role in rows.items() if role == HAND and key in names)
    return Roles(hands, {names[key]: role for key, role in rows.items() if role != HAND and key in names})
