"""Reading rates of exchange, and who owns and insures what is listed."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.parts.tables import Part
from inventory.people.queries import names_of_people
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.valuation.rates import RateUsed
from inventory.valuation.tables import Policy, Rate, Valuation

__all__ = ["PolicyView", "last_noted", "old_values", "policy", "policy_by", "rates"]


@dataclass(frozen=True)
class PolicyView:
    """Who owns what the record lists, who insures it, who prepares lists; None: nobody said. `fact`: its id."""

    owner: str | None = None
    preparer: str | None = None
    capacity: str | None = None
    insurer: str | None = None
    number: str | None = None
    until: str | None = None
    checked_by: str | None = None
    fact: str | None = None


def policy_by(session: Session, when: AsOf = NOW) -> Policy | None:
    """The last fact on the policy in a state of the record."""
    told = session.scalars(as_of(select(Policy), Policy, when)).all()
    return told[-1] if told else None


def policy(session: Session, when: AsOf = NOW) -> PolicyView:
    """What is on record of owner, insurer and policy, with the names of people as of now."""
    row = policy_by(session, when)
    if row is None:
        return PolicyView()
    keys = (row.owner_id, row.preparer_id, row.insurer_id, row.checked_by_id)
    named = names_of_people(session, [key for key in keys if key is not None])
    owner, preparer, insurer, checked_by = (named.get(key or 0) for key in keys)
    return PolicyView(
        owner, preparer, row.capacity, insurer, row.number, row.until, checked_by, fact_id(Policy, row.id)
    )


def rates(session: Session, when: AsOf = NOW) -> list[RateUsed]:
    """The rates of exchange in a state of the record, oldest first."""
    return [
        RateUsed(row.from_currency, row.to_currency, row.rate, row.source, row.so_from, fact_id(Rate, row.id))
        for row in session.scalars(as_of(select(Rate), Rate, when))
    ]


def last_noted(session: Session) -> Valuation | None:
    """The value that was recorded last, of any part."""
    return session.scalar(
        select(Valuation).where(Valuation.superseded_by.is_(None)).order_by(Valuation.id.desc()).limit(1)
    )


def old_values(session: Session, before: str) -> int:
    """How many parts that are not gone were last valued before an ISO day, on whichever basis."""
    last = (
        select(func.max(Valuation.counts_from).label("on"))
        .join(Part, Part.id == Valuation.thing_id)
        .where(Valuation.superseded_by.is_(None), Part.gone.is_(None))
        .group_by(Valuation.thing_id)
        .subquery()
    )
    return session.scalar(select(func.count()).where(last.c.on < before)) or 0
