"""What a person does about people, papers and where parts come from."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts.judgements import AWAY, COMING, LEFT
from inventory.parts.queries import part_row
from inventory.provenance.documents import SHOWS, take_in
from inventory.provenance.hands import begin_act, find_contacts
from inventory.provenance.tables import Attachment, Contact, ContactDescription, Provenance
from inventory.store import personal
from inventory.store.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.keys import new_things
from inventory.store.names import one_of
from inventory.store.tables import Base, Personal, Thing
from inventory.store.text import clean, short_enough
from inventory.worth.money import checked_amount

__all__ = [
    "ATTRIBUTIONS",
    "HOW",
    "LANES",
    "WHOSE",
    "WHOSE_AFTER",
    "add_contact",
    "attach",
    "blank_contact",
    "contact_rows",
    "new_contact",
    "note_provenance",
    "provenance_fact",
]

LANES = ("title", "custody", "use")
HOW = (*COMING, *sorted(AWAY), *sorted(LEFT))
WHOSE = ("own", "customer's", "lent in", "lent out")
ATTRIBUTIONS = ("seen by us", "document", "said by seller", "inferred")
#: Whose a part is after it came or went in these ways, unless said otherwise.
WHOSE_AFTER = {
    "bought": "own",
    "given": "own",
    "exchanged": "own",
    "inherited": "own",
    "found": "own",
    "left here by a customer": "customer's",
    "lent in": "lent in",
    "lent out": "lent out",
}


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
    """Write down a person or firm. Gives the key."""
    if any(contact.role != "hand" for contact in find_contacts(session, name)):
        raise Refused("contact-known", f'There is already a contact "{clean(name)}"')
    act = begin_act(session, "contact add", by)
    key, rows = new_contact(session, act, name, when_on(on, act.today), role, address=address, telephone=telephone)
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
    """The key of a contact by name, and the rows that write one down where the name is new."""
    if not clean(name):
        raise Refused("contact-without-name", "A contact needs a name")
    known = [contact.id for contact in find_contacts(session, name) if contact.role != "hand"]
    if known:
        return min(known), []
    (thing,) = new_things(session, "contact")
    return thing.id, contact_rows(act, thing, name, when, role, address=address, telephone=telephone)


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
    told = make_fact(ContactDescription, act, thing.id, when, how_known="stated", **columns)
    return [thing, Contact(id=thing.id, **columns), *texts, told]


def blank_contact(session: Session, by: str, name: str, reason: str) -> None:
    """Remove a person's name, address and telephone for good; the journal still fits.

    What has been given out already (lists, backups) cannot be called back.
    """
    contacts = find_contacts(session, name)
    if not contacts:
        raise Refused("no-such-contact", f'There is no contact "{clean(name)}"')
    if not clean(reason):
        raise Refused("reason-missing", "Say why")
    act = begin_act(session, "contact blank", by, *(contact.id for contact in contacts))
    rows: list[Base] = []
    for contact in contacts:
        when = When(act.today.isoformat(), "", act.today, act.today)
        told = make_fact(ContactDescription, act, contact.id, when, blanked="yes")
        told.reason = clean(reason)
        rows.append(told)
        for text in session.scalars(select(Personal).where(Personal.thing_id == contact.id)):
            text.salt = text.text = text.text_folded = None
            rows.append(text)
    write(session, act, rows)


def note_provenance(
    session: Session,
    by: str,
    tag: str,
    how: str,
    *,
    lane: str = "title",
    whose: str | None = None,
    party: str | None = None,
    attribution: str = "seen by us",
    price: str | None = None,
    currency: str | None = None,
    text: str | None = None,
    document: Path | None = None,
    on: str | None = None,
) -> str:
    """Write down how a part came, changed hands or left. Gives the fact's id."""
    part = part_row(session, tag)
    act = begin_act(session, "provenance note", by, part.id)
    when = when_on(on, act.today)
    rows: list[Base] = []
    document_id = party_id = None
    if document is not None:
        document_id, rows = take_in(session, act, part.id, document, shows="paper", when=when)
    if party and clean(party):
        party_id, people = new_contact(session, act, party, when)
        rows += people
    fact = provenance_fact(
        act,
        part.id,
        when,
        how,
        lane=lane,
        whose=whose,
        party_id=party_id,
        attribution=attribution,
        price=(price, currency) if price else None,
        document_id=document_id,
        text=text,
    )
    write(session, act, [*rows, fact])
    return fact_id(Provenance, fact.id)


def provenance_fact(
    act: Act,
    part_id: int,
    when: When,
    how: str,
    *,
    lane: str = "title",
    whose: str | None = None,
    party_id: int | None = None,
    attribution: str = "seen by us",
    price: tuple[str, str | None] | None = None,
    document_id: int | None = None,
    text: str | None = None,
) -> Provenance:
    """The fact of a part's coming or going, checked."""
    one_of("way of coming or going", how, HOW, "--how")
    one_of("lane", lane, LANES)
    one_of("owner", whose, WHOSE)
    one_of("attribution", attribution, ATTRIBUTIONS)
    amount = currency = None
    if price is not None:
        amount, currency = checked_amount(price[0], price[1] or "")
    return make_fact(
        Provenance,
        act,
        part_id,
        when,
        how_known=attribution,
        lane=lane,
        how=how,
        whose=whose or WHOSE_AFTER.get(how),
        party_id=party_id,
        attribution=attribution,
        price=amount,
        currency=currency,
        document_id=document_id,
        text=clean(text or "") or None,
    )


def attach(session: Session, by: str, tag: str, path: Path, *, shows: str = "whole", on: str | None = None) -> str:
    """Take a picture or paper in and attach it to a part. Gives the fact's id."""
    one_of("use of a document", shows, SHOWS, "kind of picture or paper")
    part = part_row(session, tag)
    act = begin_act(session, "document add", by, part.id)
    _, rows = take_in(session, act, part.id, path, shows=shows, when=when_on(on, act.today))
    write(session, act, rows)
    return fact_id(Attachment, next(row.id for row in rows if isinstance(row, Attachment)))
