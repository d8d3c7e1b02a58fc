"""Whose hand writes: turning the name of who works into an act."""

from __future__ import annotations

import secrets
from collections.abc import Collection

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.declare import declared
from inventory.provenance.tables import Contact, ContactDescription
from inventory.store import journal, moments, personal
from inventory.store.dates import when_on
from inventory.store.facts import Act, make_fact
from inventory.store.guard import ACTS
from inventory.store.keys import new_things
from inventory.store.moments import Moment
from inventory.store.text import short_enough

__all__ = ["HAND", "begin_act", "find_contacts", "known_hand"]

#: The role of somebody who writes in the record.
HAND = "hand"


def begin_act(session: Session, what: str, by: str, *things: int, wrong: Collection[str] = ()) -> Act:
    """An act of the person named, on the things it will tell of (by their keys); those it makes need not be named.

    They are held until the act ends, and only then its moment is fixed. One whose name is new is written down as a
    hand of the workshop first. `wrong`: see `moments.fixed`.
    """
    declared(session)  # every table is known from here on, so that rows go in parents first
    journal.lock_things(session, things)
    moment = moments.fixed(session, things, wrong=wrong)
    name = short_enough("name of who works", by) or "unknown"
    key = secrets.token_hex(8)
    session.info.setdefault(ACTS, []).append(key)
    known = session.info.get(("hand", name)) or known_hand(session, name)
    if known is not None:
        session.info["hand", name] = known
        return Act(what, known, moment.at, moment.day, key, set(things))
    return Act(what, _new_hand(session, name, moment), moment.at, moment.day, key, set(things))


def _new_hand(session: Session, name: str, moment: Moment) -> int:
    """Write down somebody who writes for the first time, in an act of its own. Gives the key."""
    (thing,) = new_things(session, "contact")
    act = Act("hand", thing.id, moment.at, moment.day, secrets.token_hex(8))
    text = personal.keep(thing.id, name)
    told = make_fact(ContactDescription, act, thing.id, when_on(None, act.today), role=HAND, name_digest=text.digest)
    journal.write(session, act, [thing, Contact(id=thing.id, role=HAND, name_digest=text.digest), text, told])
    return thing.id


def known_hand(session: Session, name: str) -> int | None:
    """The key of the hand of this name, or None where nobody of that name has written yet."""
    return min((contact.id for contact in find_contacts(session, name) if contact.role == HAND), default=None)


def find_contacts(session: Session, name: str) -> list[Contact]:
    """The contacts that bear this name, compared folded."""
    digests = [row.digest for row in personal.find(session, name)]
    query = select(Contact).where(Contact.name_digest.in_(digests)).order_by(Contact.id)
    return list(session.scalars(query)) if digests else []
