"""Actions: begin an act, add a person or firm, erase personal data for good."""

from __future__ import annotations

import secrets
from collections.abc import Collection, Iterator
from contextlib import contextmanager

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused, did_you_mean
from inventory.facts.declare import declared
from inventory.facts.write import write
from inventory.people.queries import HAND, find_contacts, names_of_contacts, names_of_people
from inventory.people.tables import Contact, ContactDescription
from inventory.store import personal
from inventory.store.begin import RECORD_THING
from inventory.store.connection.engine import is_sqlite
from inventory.store.days import moments
from inventory.store.days.dates import When, when_on
from inventory.store.days.moments import Moment
from inventory.store.facts import Act, make_fact
from inventory.store.journal import entries as journal
from inventory.store.journal.guard import ACTS
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base, Personal, Thing
from inventory.store.words.near import another_hint, name_on_record, near_names
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, short_enough

__all__ = [
    "HAND",
    "acts_together",
    "add_contact",
    "begin_act",
    "blank_contact",
    "contact_rows",
    "known_hand",
    "new_contact",
]

_ONE_KEY = "one key for several acts"


def add_contact(
    session: Session,
    by: str,
    name: str,
    *,
    role: str | None = None,
    address: str | None = None,
    telephone: str | None = None,
    on: str | None = None,
) -> int:
    """Enter a person or firm. Returns the key."""
    act = begin_act(session, "contact add", by)
    key, rows = new_contact(session, act, name, when_on(on, act.today), role, address=address, telephone=telephone)
    if not rows:
        known = names_of_people(session, [key])[key]
        raise Refused("contact-known", f'There is already a contact "{known}"', hint=another_hint(name, known))
    write(session, act, rows)
    return key


def new_contact(
    session: Session,
    act: Act,
    name: str,
    when: When,
    role: str | None = None,
    *,
    address: str | None = None,
    telephone: str | None = None,
) -> tuple[int, list[Base]]:
    """The key of the contact with this name, and the rows that make it if the name is new. Raises `NearName`."""
    if not clean(name):
        raise Refused("contact-without-name", "A contact needs a name")
    name_given("name of a person or firm", name)
    known = names_of_contacts(session)
    meant = name_on_record(session.info, "contact", clean(name), known)
    if meant is None and names_held(session):
        known = names_of_contacts(session)
        meant = name_on_record(session.info, "contact", clean(name), known)
    if meant is not None:
        return known[meant], []
    (thing,) = new_things(session, "contact")
    return thing.id, contact_rows(act, thing, name, when, role, address=address, telephone=telephone)


def names_held(session: Session) -> bool:
    """Hold the names of people, for whoever is about to enter a new one; whether another may just have entered it.

    No rule of a table keeps names apart, since a name may be erased. On one file whoever writes is alone anyway.
    """
    if is_sqlite(session.get_bind()):
        return False
    journal.lock_things(session, [RECORD_THING])
    return True


def contact_rows(
    act: Act,
    thing: Thing,
    name: str,
    when: When,
    role: str | None = None,
    *,
    address: str | None = None,
    telephone: str | None = None,
) -> list[Base]:
    """The rows that make a contact out of a new thing."""
    texts: list[Personal] = []
    columns: dict[str, str | None] = {"role": clean(role or "") or None}
    for column, text in (("name", name), ("address", address), ("telephone", telephone)):
        if text and clean(text):
            kept = personal.keep(thing.id, short_enough(column, text))
            texts.append(kept)
            columns[f"{column}_digest"] = kept.digest
    row = make_fact(ContactDescription, act, thing.id, when, how_known="stated", **columns)
    return [thing, Contact(id=thing.id, **columns), *texts, row]


def blank_contact(session: Session, by: str, name: str, reason: str) -> None:
    """Erase a person's name, address and telephone for good; the journal stays valid.

    Lists and backups already given out still contain them.
    """
    contacts = find_contacts(session, name)
    if not contacts:
        hint = did_you_mean(near_names(name, names_of_contacts(session)))
        raise Refused("no-such-contact", f'There is no contact "{clean(name)}"', hint=hint)
    if not clean(reason):
        raise Refused("reason-missing", "Say why")
    act = begin_act(session, "contact blank", by, *(contact.id for contact in contacts))
    rows: list[Base] = []
    for contact in contacts:
        when = When(act.today.isoformat(), "", act.today, act.today)
        row = make_fact(ContactDescription, act, contact.id, when, blanked="yes")
        row.reason = clean(reason)
        rows.append(row)
        for text in session.scalars(select(Personal).where(Personal.thing_id == contact.id)):
            text.salt = text.text = text.text_folded = None
            rows.append(text)
    write(session, act, rows)


@contextmanager
def acts_together(session: Session) -> Iterator[None]:
    """Give all acts begun meanwhile in this session one key, so that they are taken back together."""
    session.info[_ONE_KEY] = secrets.token_hex(8)
    try:
        yield
    finally:
        del session.info[_ONE_KEY]


def begin_act(session: Session, what: str, by: str, *things: int, wrong: Collection[str] = ()) -> Act:
    """Begin an act of the named person on things (by their keys); things that the act makes need not be named.

    The things are locked until the act ends; after that its moment is fixed. A person who writes for the first time is
    entered as a hand of the workshop. `wrong`: see `moments.fixed`.
    """
    declared(session)  # makes all tables known, so that parents are inserted before children
    journal.lock_things(session, things)
    moment = moments.fixed(session, things, wrong=wrong)
    name = short_enough("name of who works", by) or "unknown"
    key = session.info.get(_ONE_KEY) or secrets.token_hex(8)
    session.info.setdefault(ACTS, []).append(key)
    known = session.info.get(("hand", name)) or known_hand(session, name)
    if known is None and names_held(session):
        known = known_hand(session, name)
    if known is not None:
        session.info["hand", name] = known
        return Act(what, known, moment.at, moment.day, key, set(things))
    return Act(what, _new_hand(session, name, moment), moment.at, moment.day, key, set(things))


def _new_hand(session: Session, name: str, moment: Moment) -> int:
    """Enter somebody who writes for the first time, in a separate act. Returns the key."""
    (thing,) = new_things(session, "contact")
    act = Act("hand", thing.id, moment.at, moment.day, secrets.token_hex(8))
    text = personal.keep(thing.id, name)
    row = make_fact(ContactDescription, act, thing.id, when_on(None, act.today), role=HAND, name_digest=text.digest)
    journal.write(session, act, [thing, Contact(id=thing.id, role=HAND, name_digest=text.digest), text, row])
    return thing.id


def known_hand(session: Session, name: str) -> int | None:
    """The key of the hand with this name; None if nobody of this name has written yet."""
    return min((contact.id for contact in find_contacts(session, name) if contact.role == HAND), default=None)
