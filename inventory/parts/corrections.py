"""Taking back and correcting what was written: by further facts, never by an overwrite."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.parts.corrected import checked_changes, checked_values, refuse_kept
from inventory.parts.described import write_facts
from inventory.parts.taking_back import PastAct, given_reason, last_act, no_such_fact, take_back, withdraw_act
from inventory.provenance.corrected import corrected_person
from inventory.provenance.hands import begin_act
from inventory.provenance.tables import ContactDescription
from inventory.store.dates import When, parse_when, when_on
from inventory.store.facts import Act, fact_id, make_fact, split_fact_id, take_place
from inventory.store.keys import supersede
from inventory.store.tables import Base, FactColumns, Withdrawal
from inventory.tables import fact_model

__all__ = ["PastAct", "correct", "fact_row", "last_act", "withdraw", "withdraw_act"]


def fact_row(session: Session, fact: str) -> FactColumns:
    """The row of a fact by its id; refused where there is none."""
    split = split_fact_id(fact)
    model = fact_model(split[0]) if split else None
    row = session.get(model, split[1]) if model is not None and split is not None else None
    if row is None:
        raise no_such_fact(fact)
    return row


def withdraw(session: Session, by: str, fact: str, reason: str) -> str:
    """Take a fact back. Taking back a withdrawal writes the fact anew. Gives the id of what was written."""
    row, act = _held(session, "fact withdraw", by, fact)
    if not isinstance(row, Withdrawal):
        refuse_kept(type(row))
    return take_back(session, act, [(type(row), row)], given_reason(reason), again=False)[0]


def correct(session: Session, by: str, fact: str, changes: Mapping[str, str], reason: str) -> str:
    """Write a fact anew with some values changed; it takes the place of the old one. Gives its id."""
    row, act = _held(session, "fact correct", by, fact)
    changed = dict(changes) if isinstance(row, ContactDescription) else checked_changes(row, changes)
    when = when_on(changed.pop("on"), act.today) if "on" in changed else _when(row)
    values, beside = _corrected(session, row, changed)
    if all(getattr(row, name) == value for name, value in values.items()) and when == _when(row):
        raise Refused("nothing-to-correct", "The fact says so already. Nothing was changed")
    anew = make_fact(type(row), act, row.thing_id, when, how_known=row.how_known, **values)
    anew.reason = given_reason(reason)
    take_place(anew, row)
    supersede(session, act, row, anew)
    write_facts(session, act, [row, anew, *beside])
    return fact_id(type(row).__tablename__, anew.id)  # type: ignore[attr-defined]


def _held(session: Session, what: str, by: str, fact: str) -> tuple[FactColumns, Act]:
    """A fact that stands, and an act until whose end it stays so."""
    row = fact_row(session, fact)
    act = begin_act(session, what, by, row.thing_id)
    session.refresh(row)  # somebody else may have taken its place while we waited
    if row.superseded_by is not None:
        raise Refused(
            "fact-superseded", f"{fact} no longer stands: {row.superseded_by} took its place. Nothing was changed"
        )
    return row, act


def _corrected(
    session: Session, row: FactColumns, changed: Mapping[str, str]
) -> tuple[Mapping[str, Any], Sequence[Base]]:
    """The values of a fact with some changed, and what is written beside it."""
    if isinstance(row, ContactDescription):
        return corrected_person(session, row, changed)
    return checked_values(session, row, changed), ()


def _when(row: FactColumns) -> When:
    when = parse_when(row.so_from)
    return When(row.so_from, row.told or "", when.earliest, when.latest)
