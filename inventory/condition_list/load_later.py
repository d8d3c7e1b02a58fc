"""Reads what was recorded, corrected or taken back after the day of a list, about its items and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session

from inventory.condition_list.values import Item, Later
from inventory.facts.declare import declared
from inventory.facts.views import FactView, views
from inventory.parts.queries import entered_on
from inventory.parts.tables import Part
from inventory.places.queries import premises_of
from inventory.places.tables import Place
from inventory.provenance.tables import Provenance
from inventory.store.days.true_days import true_days
from inventory.store.facts import fact_id
from inventory.store.many import among

__all__ = ["later_than"]

#: Values that name people, which no list for others may have.
_NOT_SAID = ("party", "said_by", "to", "seller")


def later_than(session: Session, items: Sequence[Item], day: date, known: date, today: date) -> tuple[Later, ...]:
    """What came after `day`, the day of the list, oldest first.

    It is told as it was known on the day `known`; what came after that too follows, so that the first part stays the
    same whenever the list is drawn again.
    """
    if day >= today:
        return ()
    tags: dict[int, str] = dict(session.execute(select(Part.id, Part.tag)).all())
    numbers = {item.tag: item.number for item in items}
    entered = entered_on(session)
    found: list[Later] = []
    for after, until in ((day.isoformat(), known.isoformat()), (known.isoformat(), today.isoformat())):
        told = list(_in_window(session, after, until, tags, numbers, entered))
        found += sorted(told, key=lambda each: (each.recorded_on, each.tag, each.says))
    return tuple(found)


def _in_window(
    session: Session,
    after: str,
    until: str,
    tags: Mapping[int, str],
    numbers: Mapping[str, int],
    entered: dict[int, str],
) -> Iterator[Later]:
    """What happened after one ISO day up to another."""
    if after >= until:
        return
    new = {key for key, first in entered.items() if after < first <= until and tags[key] in numbers}
    for key in new:
        says = "entered in the record with all that is known of it"
        yield Later(numbers[tags[key]], tags[key], "recorded", says, entered[key], entered[key])
    premises, days = _premises(session), true_days(session)
    for kind in declared(session).about("part"):
        rows = _rows(session, kind.table, after, until)
        successors = {row.superseded_by for row in rows if days.recorded_on(row) <= after}
        every = {view.id: view for view in views(session, rows + _named(session, kind.table, successors))}
        for row in rows:
            listed = tags.get(row.thing_id) in numbers
            first = entered.get(row.thing_id, "")
            if row.thing_id in new or first > until or not (listed or (kind.table is Provenance and first <= after)):
                continue
            fact = every[fact_id(kind.table, row.id)]
            tag = tags[row.thing_id]
            if fact.recorded_on > after:
                if fact.id not in successors:
                    yield Later(numbers.get(tag), tag, "recorded", _says(fact, premises), fact.on, fact.recorded_on)
            else:
                by, said = every.get(row.superseded_by), _says(fact, premises)
                happened, says = ("corrected", f"{said} -> {_says(by, premises)}") if by else ("taken back", said)
                yield Later(numbers.get(tag), tag, happened, says, (by or fact).on, fact.superseded_on or "")


def _rows(session: Session, table: Any, after: str, until: str) -> list[Any]:
    """The facts recorded in a window that stood at its end, and those that stopped counting in it."""
    stood = or_(table.superseded_by.is_(None), table.superseded_on > until)
    recorded = and_(table.recorded_on > after, table.recorded_on <= until, stood)
    ended = and_(table.recorded_on <= after, table.superseded_on > after, table.superseded_on <= until)
    days = true_days(session)
    if not days.moments:
        return list(session.scalars(select(table).where(or_(recorded, ended))))
    mended = or_(among(table.recorded, days.moments), among(table.superseded_by, days.facts))
    rows = session.scalars(select(table).where(or_(recorded, ended, mended)))
    return [row for row in rows if _is_in(after, until, days.recorded_on(row), days.superseded_on(row))]


def _is_in(after: str, until: str, recorded: str, ended: str | None) -> bool:
    """Whether a fact of these days was recorded in the window and stood at its end, or stopped counting in it."""
    if recorded > after:
        return recorded <= until and (ended is None or ended > until)
    return ended is not None and after < ended <= until


def _named(session: Session, table: Any, facts: set[str]) -> list[Any]:
    """The facts of a table by their ids, those of other tables left out."""
    keys = [int(fact.rpartition("-")[2]) for fact in facts if fact.rpartition("-")[0] == table.__tablename__]
    return list(session.scalars(select(table).where(table.id.in_(keys)))) if keys else []


def _says(fact: FactView, premises: Mapping[str, str | None]) -> str:
    values = {name: None if name in _NOT_SAID else value for name, value in fact.values.items()}
    if shelf := values.get("place"):
        values["place"] = premises.get(shelf) or "a place, its premises not known"
    says = fact.kind.says(values)
    return f"{fact.kind.word}: {says}" if says else fact.kind.word


def _premises(session: Session) -> dict[str, str | None]:
    """The premises of each place by its name: a list for others names no shelf."""
    at = premises_of(session)
    places = session.execute(select(Place.id, Place.name)).all()
    return {name: at[key].name for key, name in places if name is not None and key in at}
