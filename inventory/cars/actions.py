"""Actions on cars: add a car, list its positions, record how it is insured."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

from sqlalchemy.orm import Session

from inventory.cars.queries import (
    behind_named,
    car_named,
    cars,
    former_cars,
    listings,
    numbers_written,
    position_name,
    position_names,
    positions_before,
    refuse_taken_away,
    several,
)
from inventory.cars.tables import Car, CarCover, CarDescription, Position, PositionListing
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.people.actions import begin_act
from inventory.places.queries import place_named
from inventory.places.tables import Move
from inventory.reference.build_list import axis_meant
from inventory.reference.data import Reference, reference_of
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base, Thing
from inventory.store.words.near import another_hint, name_on_record
from inventory.store.words.nothing import is_no_name, name_given
from inventory.store.words.text import clean, fold

__all__ = ["Listing", "add_car", "car_rows", "insure_car", "list_position", "new_position", "position_rows", "put_car"]


#: What is left empty if a word for nothing stands in it.
_NAMES = frozenset({"maker", "model", "chassis", "part_number", "area"})


@dataclass(frozen=True)
class Listing:
    """What belongs at a position, according to a list; several values of a column are separated by semicolons.

    `behind`: the positions that must come off first.
    """

    ordinal: int | None = None
    kind: str | None = None
    maker: str | None = None
    part_number: str | None = None
    axis: str | None = None
    fasteners: str | None = None
    connections: str | None = None
    mounts: str | None = None
    area: str | None = None
    numbers: str | None = None
    behind: str | None = None


def add_car(session: Session, by: str, name: str, *, on: str | None = None, **details: str | None) -> int:
    """Enter a car (`details`: maker, model, year, chassis, note). Returns its key."""
    shown = name_given("name of the car", name)
    if not fold(shown):
        raise Refused("car-without-name", "A car needs a name")
    every = (car.name for car in cars(session))
    known = name_on_record(session.info, "car", shown, every, partial(former_cars, session))
    if known is not None:
        raise Refused(
            "car-known", f'There is already a car "{known}"', hint=another_hint(shown, known) or "choose another name"
        )
    act = begin_act(session, "car add", by)
    values = {key: clean(value) for key, value in details.items() if value and clean(value)}
    values = {key: value for key, value in values.items() if key not in _NAMES or not is_no_name(value)}
    (thing,) = new_things(session, "car")
    write(session, act, car_rows(act, thing, shown, when_on(on, act.today), **values))
    return thing.id


def car_rows(act: Act, thing: Thing, name: str, when: When, **values: str) -> list[Base]:
    """The rows that make a car out of a new thing."""
    description = make_fact(CarDescription, act, thing.id, when, name=name, **values)
    return [thing, Car(id=thing.id, name_folded=fold(name), name=name, **values), description]


def insure_car(
    session: Session, by: str, car: str, insured_whole: bool, *, policy: str | None = None, on: str | None = None
) -> str:
    """Record whether a car is insured as a whole, so that its parts are not counted twice. Returns the fact's id."""
    view = car_named(session, car)
    act = begin_act(session, "car insure", by, view.id)
    when = when_on(on, act.today)
    columns: dict[str, Any] = {"insured_whole": "yes" if insured_whole else "no", "policy": clean(policy or "") or None}
    fact = make_fact(CarCover, act, view.id, when, **columns)
    write(session, act, [fact])
    return fact_id(CarCover, fact.id)


def put_car(session: Session, by: str, car: str, place: str, *, on: str | None = None) -> str:
    """Record where a car stands; the parts on it are at the same premises. Returns the fact's id."""
    view, where = car_named(session, car), place_named(session, place)
    act = begin_act(session, "car put", by, view.id)
    fact = make_fact(Move, act, view.id, when_on(on, act.today), place_id=where.id)
    write(session, act, [fact])
    return fact_id(Move, fact.id)


def list_position(session: Session, by: str, car: str, name: str, listing: Listing, *, on: str | None = None) -> int:
    """Record what belongs at a position of a car; make the position if it is new. Returns its key.

    What the listing leaves out stays as it was listed.
    """
    view = car_named(session, car)
    key, rows = new_position(session, view.id, name)
    act = begin_act(session, "car position", by, key)
    refuse_taken_away(session, key)
    when = when_on(on, act.today)
    values = _checked_listing(listing, reference_of(session))
    if values["behind"]:
        values["behind"] = behind_named(session.info, [values["behind"]], position_names(session, view.id), name)
    before = listings(session, [key]).get(key)
    if before is not None:
        values = {each: getattr(before, each) if value is None else value for each, value in values.items()}
    rows.append(make_fact(PositionListing, act, key, when, how_known="from a list", **values))
    write(session, act, rows)
    return key


def _checked_listing(listing: Listing, reference: Reference) -> dict[str, Any]:
    """The columns of a listing, cleaned. Raises `Refused` for an unknown kind or axis."""
    values = {name: clean(value) or None if isinstance(value, str) else value for name, value in vars(listing).items()}
    for name in _NAMES & values.keys():
        if is_no_name(values[name] or ""):
            values[name] = None
    values["numbers"] = numbers_written(values["numbers"])
    for name in ("numbers", "behind"):
        values[name] = "; ".join(each for each in several(values[name]) if not is_no_name(each)) or None
    if values["kind"]:
        values["kind"] = reference.kind(values["kind"]).name
    values["axis"] = axis_meant(values["axis"])
    return values


def new_position(session: Session, car_id: int, name: str) -> tuple[int, list[Base]]:
    """The key of a position, and the rows that make it if it does not exist. Raises `NearName`."""
    shown = position_name(name)
    if not fold(shown):
        raise Refused("position-without-name", "A position needs a name")
    known = position_names(session, car_id)
    meant = name_on_record(session.info, "position", shown, known, partial(positions_before, session, car_id))
    if meant is not None:
        return known[meant], []
    (thing,) = new_things(session, "position")
    return thing.id, position_rows(thing, car_id, shown)


def position_rows(thing: Thing, car_id: int, name: str) -> list[Base]:
    """The rows that make a position of a car out of a new thing."""
    return [thing, Position(id=thing.id, car_id=car_id, name=name, name_folded=fold(name))]
