"""Actions on values: record a stated value with its basis and source."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy.orm import Session

from inventory.documents.actions import take_in
from inventory.facts.write import write
from inventory.money import BASES, checked_amount
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.names import one_of
from inventory.store.words.text import clean
from inventory.valuation.tables import Valuation

__all__ = ["note_value"]


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
    on: str | None = None,
) -> str:
    """Record a stated value of a part. Returns the fact's id."""
    digits, code = checked_amount(amount, currency)
    one_of("basis", basis, BASES)
    part = part_row(session, tag)
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
    )
    write(session, act, [*rows, fact])
    return fact_id(Valuation, fact.id)
