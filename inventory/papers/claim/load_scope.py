"""Reads which parts were on a car, or at a place, on the day of a loss."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import car_named
from inventory.cars.tables import Car, CarDescription
from inventory.condition_list.queries import gather
from inventory.errors import Refused, UnknownName
from inventory.facts.order import timeless
from inventory.parts.tables import Part
from inventory.places.queries import place_named, places_within
from inventory.places.tables import Move, PlaceDescription
from inventory.store.facts import AsOf, as_of
from inventory.store.many import among

__all__ = ["Scope", "scope_of"]


@dataclass(frozen=True)
class Scope:
    """A car or a place: `what` it is, its key, its name of today, and the parts that were there: keys by tag."""

    what: str
    key: int
    name: str
    parts: dict[str, int]

    @property
    def says(self) -> str:
        """What the list is narrowed to, for people."""
        return f"on the car {self.name}" if self.what == "car" else f"at {self.name}"


def scope_of(session: Session, named: str, day: date, known: date, today: date) -> Scope:
    """What was on the car, or at the place and in all places within it, by the end of a day, as known on a day.

    Parts on a car that stood at the place were there too. Raises `UnknownName` if there is neither.
    """
    what, key, name = _meant(session, named)
    state = AsOf.known(session, day, known, today)
    places = places_within(session, key) if what == "place" else set()
    cars = {key} if what == "car" else _cars_at(session, places, state)
    shelf_names = _names_on(session, PlaceDescription, places, state)
    car_names = _names_on(session, CarDescription, cars, state)
    items = gather(session, state, day, "market", shelves=True, tests=False).items
    tags = [item.tag for item in items if item.where.car in car_names or item.where.place in shelf_names]
    keys = dict(session.execute(select(Part.tag, Part.id).where(among(Part.tag, tags))).all())
    return Scope(what, key, name, {tag: keys[tag] for tag in tags})


def _meant(session: Session, named: str) -> tuple[str, int, str]:
    found = []
    unknown: list[UnknownName] = []
    for what, look in (("car", car_named), ("place", place_named)):
        try:
            view: Any = look(session, named)
            found.append((what, view.id, view.name))
        except UnknownName as refusal:
            unknown.append(refusal)
    if len(found) == 1:
        return found[0]
    if found:
        says = f'"{named}" is the name of a car and of a place'
        raise Refused("several-meant", says, where="CAR|PLACE", hint="give the place's label, or rename one of them")
    raise UnknownName("car or place", named, [*unknown[0].near, *unknown[1].near])


def _cars_at(session: Session, places: set[int], state: AsOf) -> set[int]:
    """The cars that stood at one of these places."""
    moves = select(Move).where(Move.thing_id.in_(select(Car.id)))
    last = {fact.thing_id: fact.place_id for fact in session.scalars(as_of(moves, Move, state))}
    return {car for car, place in last.items() if place in places}


def _names_on(session: Session, model: Any, keys: set[int], state: AsOf) -> set[str]:
    """The names that some cars or places had in a state of the record."""
    rows = session.scalars(as_of(select(model), model, state.of_any_day))
    told = timeless([row for row in rows if row.thing_id in keys and row.name], state.until)
    return set({row.thing_id: row.name for row in told}.values())
