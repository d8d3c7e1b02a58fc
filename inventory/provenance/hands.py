"""Whose hand writes: turning the name of who works into an act."""

from __future__ import annotations

import secrets

from sqlalchemy import select
from sqlalchemy.orm import Session

import inventory.tables  # noqa: F401 - whoever writes needs every table known, so that parents go in first
from inventory.provenance.tables import Contact, ContactDescription
from inventory.store import journal, personal
from inventory.store.clock import now, stamp, today
from inventory.store.dates import When
from inventory.store.facts import Act, make_fact
from inventory.store.keys import new_things
from inventory.store.text import short_enough

__all__ = ["HAND", "begin_act", "find_contacts", "known_hand"]

#: The role of somebody who writes in the record.
HAND = "hand"


def begin_act(session: Session, what: str, by: str) -> Act:
    """An act of the person named; one whose name is new is written down as a hand of the workshop first."""
    moment = now()
    name = short_enough("name of who works", by) or "unknown"
    key = secrets.token_hex(8)
    known = session.info.get(("hand", name)) or known_hand(session, name)
    if known is not None:
        session.info["hand", name] = known
        return Act(what, known, stamp(moment), today(), key)
    (thing,) = new_things(session, "contact")
    act = Act(what, thing.id, stamp(moment), today(), key)
    text = personal.keep(thing.id, name)
    told = make_fact(
        ContactDescription,
        act,
        thing.id,
        When(act.today.isoformat(), "", act.today, act.today),
        role=HAND,
        name_digest=text.digest,
    )
    row = Contact(id=thing.id, role=HAND, name_digest=text.digest)
    journal.write(session, Act("hand", thing.id, act.at, act.today, secrets.token_hex(8)), [thing, row, text, told])
    return act


def known_hand(session: Session, name: str) -> int | None:
    """The key of the hand of this name, or None where nobody of that name has written yet."""
    return min((contact.id for contact in find_contacts(session, name) if contact.role == HAND), default=None)


def find_contacts(session: Session, name: str) -> list[Contact]:
    """The contacts that bear this name, compared folded."""
    digests = [row.digest for row in personal.find(session, name)]
    query = select(Contact).where(Contact.name_digest.in_(digests)).order_by(Contact.id)
    return list(session.scalars(query)) if digests else []
