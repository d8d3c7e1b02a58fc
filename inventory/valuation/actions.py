"""Actions on values: record a stated value, a rate of exchange, who owns and insures what is listed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from inventory.documents.actions import take_in
from inventory.errors import Refused
from inventory.facts.views import own_columns
from inventory.facts.write import write
from inventory.money import BASES, checked_amount
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act, known_hand, new_contact
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import parse_when, when_on
from inventory.store.facts import AsOf, fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.names import one_of
from inventory.store.words.text import clean
from inventory.valuation.facts import TAX, rate_columns, refuse_itself
from inventory.valuation.queries import policy_by
from inventory.valuation.tables import Policy, Rate, Valuation

__all__ = ["note_rate", "note_value", "set_policy"]

#: The contacts that a policy names, by the names of `set_policy`.
_PEOPLE = {"owner": "owner_id", "insurer": "insurer_id", "preparer": "preparer_id", "checked_by": "checked_by_id"}


def note_value(
    session: Session,
    by: str,
    tag: str,
    amount: str,
    currency: str,
    *,
    basis: str = "market",
    source: str | None = None,
    capacity: str | None = None,
    document: Path | None = None,
    tax: str | None = None,
    mate: str | None = None,
    on: str | None = None,
) -> str:
    """Record a stated value of a part, or with `mate` (a tag) of the two as one pair. Returns the fact's id.

    `tax`: with tax, without tax.
    """
    digits, code = checked_amount(amount, currency)
    one_of("basis", basis, BASES)
    one_of("word on tax", tax, TAX, "tax")
    part = part_row(session, tag)
    other = part_row(session, mate).id if mate is not None else None
    refuse_itself(part.id, other)
    act = begin_act(session, "value note", by, part.id)
    when = when_on(on, act.today)
    rows: list[Base] = []
    document_id = None
    if document is not None:
        document_id, rows = take_in(session, act, part.id, document, shows="paper", when=when)
    fact = make_fact(
        Valuation,
        act,
        part.id,
        when,
        how_known="document" if document_id else "stated",
        amount=digits,
        currency=code,
        basis=basis,
        source=clean(source or "") or None,
        capacity=clean(capacity or "") or None,
        document_id=document_id,
        tax=tax,
        with_id=other,
    )
    write(session, act, [*rows, fact])
    return fact_id(Valuation, fact.id)


def note_rate(
    session: Session, by: str, from_currency: str, to_currency: str, rate: str, *, source: str, on: str | None = None
) -> str:
    """Record what one unit of a currency was in another on a day. Returns the fact's id."""
    columns = rate_columns(from_currency, to_currency, rate, source)
    act = begin_act(session, "value rate", by, RECORD_THING)
    fact = make_fact(Rate, act, RECORD_THING, when_on(on, act.today), how_known="stated", **columns)
    write(session, act, [fact])
    return fact_id(Rate, fact.id)


def set_policy(session: Session, by: str, given: dict[str, str | None], *, on: str | None = None) -> str:
    """Record who owns what is listed, who insures it and who prepares lists. Returns the fact's id.

    `given`: owner, insurer, preparer, checked_by (a hand or a contact, entered if new), capacity, number, until. What
    is not given (None) stays as it was by that day; "" says that there is none any more.
    """
    said = {name: clean(text) for name, text in given.items() if text is not None}
    if not said:
        raise Refused("nothing-said", "Say what changed", hint="for example: --insurer NAME --policy NUMBER")
    act = begin_act(session, "policy set", by, RECORD_THING)
    when = when_on(on, act.today)
    before = policy_by(session, AsOf.on(when.latest, None, act.today))
    columns: dict[str, Any] = {name: getattr(before, name) for name in own_columns(Policy)} if before else {}
    rows: list[Base] = []
    for name, text in said.items():
        if name not in _PEOPLE:
            columns[name] = text or None
            continue
        more: list[Base] = []
        key = known_hand(session, text) if text else None
        if text and key is None:
            key, more = new_contact(session, act, text, when)
        columns[_PEOPLE[name]] = key
        rows += more
    if said.get("until"):
        columns["until"] = parse_when(said["until"]).edtf
    fact = make_fact(Policy, act, RECORD_THING, when, how_known="stated", **columns)
    write(session, act, [*rows, fact])
    return fact_id(Policy, fact.id)
