"""Action: state how a part belongs to a car."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import car_named
from inventory.cars.tables import Car
from inventory.facts.write import write
from inventory.parts.facts import RELATIONS
from inventory.parts.queries import part_row
from inventory.parts.tables import Relation
from inventory.people.actions import begin_act
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.words.names import one_of
from inventory.store.words.text import clean

__all__ = ["state_relation"]


def state_relation(
    session: Session,
    by: str,
    tag: str,
    relation: str,
    *,
    car: str | None = None,
    says: str | None = None,
    on: str | None = None,
) -> tuple[str, str | None]:
    """State how a part belongs to a car: without `car` to the one that it is on or last came off, if there is one.

    Returns the fact's id and the car's name. Raises `NearName` if the name looks like another car's.
    """
    one_of("relation to the car", relation, RELATIONS, "relation")
    part = part_row(session, tag)
    key = car_named(session, car).id if car is not None else part.car_id
    name = session.scalar(select(Car.name).where(Car.id == key)) if key is not None else None
    act = begin_act(session, "part relation", by, part.id)
    when = when_on(on, act.today)
    values = {"car_id": key, "relation": relation, "says": clean(says or "") or None}
    fact = make_fact(Relation, act, part.id, when, how_known="stated", **values)
    write(session, act, [fact])
    return fact_id(Relation, fact.id), name
