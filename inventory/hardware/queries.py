"""Reads what hardware is in stock, and what a car needs."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import car_named
from inventory.cars.tables import Position
from inventory.hardware.needs import HoseToRenew, Line, OffPart, Stock, lines_of, stock_of
from inventory.hardware.tables import HardwareStock
from inventory.parts.tables import Part
from inventory.places.tables import Place
from inventory.store.days.zone import today_in
from inventory.store.facts import as_of, fact_id
from inventory.teardown.tables import Removal

__all__ = ["hardware_for", "stock"]


def stock(session: Session) -> list[Stock]:
    """What lies where: the latest count of each thing at each place, by what it is."""
    query = select(HardwareStock, Place.name).join(Place, Place.id == HardwareStock.thing_id)
    latest: dict[tuple[int, str], Stock] = {}
    for fact, place in session.execute(as_of(query, HardwareStock)):
        found = stock_of(
            place or "",
            fact.spec,
            fact.count,
            batch=fact.batch,
            cured=fact.cured,
            on=fact.so_from,
            fact=fact_id(HardwareStock, fact.id),
        )
        latest[fact.thing_id, found.item.key] = found
    return sorted(latest.values(), key=lambda each: (each.item.family, each.item.key, each.place))


def hardware_for(session: Session, car: str, hoses: Mapping[str, HoseToRenew]) -> tuple[str, list[Line]]:
    """The name of a car, and what its parts that are off need to go back on. `hoses`: those to renew, by tag."""
    view = car_named(session, car)
    return view.name, lines_of(_off(session, view.id, hoses), stock(session), today_in(session))


def _off(session: Session, car_id: int, hoses: Mapping[str, HoseToRenew]) -> list[OffPart]:
    """The parts off a car, each as last logged; without those that are on again or whose position is filled."""
    query = (
        select(Removal, Part, Position.name)
        .join(Part, Part.id == Removal.thing_id)
        .outerjoin(Position, Position.id == Removal.position_id)
        .where(Removal.car_id == car_id, Part.car_id == car_id, Part.fitted == "no")
    )
    filled = set(session.scalars(select(Part.position_id).where(Part.car_id == car_id, Part.fitted == "yes")))
    latest: dict[int, OffPart] = {}
    for removal, part, position in session.execute(as_of(query, Removal)):
        if removal.position_id is None or removal.position_id not in filled:
            texts = (removal.bag, removal.fasteners, removal.mounts, removal.connections, removal.broken)
            latest[part.id] = OffPart(position or "", part.tag, *texts, hoses.get(part.tag))
    return list(latest.values())
