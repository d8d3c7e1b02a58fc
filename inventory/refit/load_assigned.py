"""Reads which parts are to go on at which positions, whatever came off there."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.parts.tables import Part
from inventory.refit.tables import Assignment
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.store.words.text import fold
from inventory.teardown.tables import Fitting

__all__ = ["assigned_car", "load_assigned"]


def load_assigned(session: Session) -> dict[int, Any]:
    """The last assignment at each position whose part is not gone and was not fitted since; a part has one place."""
    rows = session.execute(as_of(select(*Assignment.__table__.c), Assignment)).all()
    by_part: dict[int, Any] = {each.thing_id: each for each in rows}
    here = select(Part.id).where(among(Part.id, by_part), Part.fitted.is_distinct_from("yes"), Part.gone.is_(None))
    waiting = set(session.scalars(here)) if by_part else set()
    fittings = select(Fitting.thing_id, Fitting.counts_from, Fitting.ranked).where(among(Fitting.thing_id, waiting))
    fitted = {key: order for key, *order in session.execute(as_of(fittings, Fitting))} if waiting else {}
    return {
        each.position_id: each
        for key, each in by_part.items()
        if key in waiting and fitted.get(key, []) < [each.counts_from, each.ranked]
    }


def assigned_car(session: Session, part_id: int, position: str) -> str | None:
    """The car at whose position of this name a part is to go on; None if it is to go nowhere of that name."""
    keys = [key for key, each in load_assigned(session).items() if each.thing_id == part_id]
    query = select(Position.name, Car.name).join(Car, Car.id == Position.car_id).where(among(Position.id, keys))
    rows = session.execute(query) if keys else ()
    return next((car for name, car in rows if fold(name or "") == fold(position)), None)
