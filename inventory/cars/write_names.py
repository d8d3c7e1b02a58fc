"""Renaming a car or position, and taking away one that was made by mistake."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import car_named, cars, listings, position_name, position_names
from inventory.cars.tables import Car, CarDescription, MadeByMistake, Position, PositionDescription, PositionListing
from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.facts.take_back import take_back
from inventory.facts.views import own_columns
from inventory.facts.write import write
from inventory.people.actions import begin_act
from inventory.store.days.dates import parse_when, when_on
from inventory.store.facts import fact_id, make_fact, take_place
from inventory.store.journal.keys import supersede
from inventory.store.many import among
from inventory.store.tables import Base
from inventory.store.words.near import known_name, name_on_record
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, fold, short_enough

__all__ = ["remove_car", "remove_position", "rename_car", "rename_position"]

#: What only says that a car is being taken apart goes with the car; what came off it does not.
_BEGUN = "strip_down"
#: So many of the facts that point to it are named.
_SHOWN = 4
#: Facts that belong to the car or position itself, and go with it.
_ITS_OWN = frozenset(
    {"withdrawal", "car_description", "car_cover", "position_description", "position_listing", "made_by_mistake"}
)


def rename_car(session: Session, by: str, name: str, new: str) -> str:
    """Give a car another name. Returns the fact's id. Raises `NearName` if the name looks like another car's."""
    view = car_named(session, name)
    shown = _free_name(session, "car", new, [car.name for car in cars(session) if car.id != view.id])
    act = begin_act(session, "car rename", by, view.id)
    fact = make_fact(CarDescription, act, view.id, when_on(None, act.today), name=shown)
    write(session, act, [fact])
    return fact_id(CarDescription, fact.id)


def rename_position(session: Session, by: str, car: str, name: str, new: str) -> str:
    """Give a position of a car another name, also where others sit behind it. Returns the fact's id.

    Raises `NearName`, as for a car.
    """
    car_id = car_named(session, car).id
    key, old, others = _position(session, car, name)
    shown = _free_name(session, "position", new, others)
    behind_it = {
        listing.thing_id: listing
        for listing in listings(session, list(position_names(session, car_id).values())).values()
        if fold(old) in map(fold, (listing.behind or "").split(";"))
    }
    act = begin_act(session, "position rename", by, key, *behind_it)
    fact = make_fact(PositionDescription, act, key, when_on(None, act.today), name=shown)
    rows: list[Base] = [fact]
    for listing in behind_it.values():
        names = [each.strip() for each in (listing.behind or "").split(";")]
        columns = {each: getattr(listing, each) for each in own_columns(PositionListing)}
        columns["behind"] = "; ".join(shown if fold(each) == fold(old) else each for each in names)
        when = replace(parse_when(listing.so_from), told=listing.told or "")
        anew = make_fact(PositionListing, act, listing.thing_id, when, how_known=listing.how_known, **columns)
        anew.reason = f"{old} is now {shown}"
        take_place(anew, listing)
        supersede(session, act, listing, anew)
        rows += [listing, anew]
    write(session, act, rows)
    return fact_id(PositionDescription, fact.id)


def remove_car(session: Session, by: str, name: str, why: str) -> str:
    """Take away a car that was made by mistake; its name is free again. Returns the fact's id.

    A strip-down from which nothing was logged is taken back with it. Raises `Refused` while anything else on record
    points to the car or one of its positions.
    """
    view = car_named(session, name)
    return _taken_away(session, by, "car", view.name, [view.id, *position_names(session, view.id).values()], why)


def remove_position(session: Session, by: str, car: str, name: str, why: str) -> str:
    """Take away a position that was made by mistake, as `remove_car` does a car. Returns the fact's id."""
    key, old, _ = _position(session, car, name)
    return _taken_away(session, by, "position", old, [key], why, car_named(session, car).id)


def _position(session: Session, car: str, name: str) -> tuple[int, str, list[str]]:
    """The key and name of a position, and the names of the car's others."""
    view = car_named(session, car)
    known = position_names(session, view.id)
    old = known_name(session.info, "position", name, known)
    return known[old], old, [each for each in known if each != old]


def _free_name(session: Session, what: str, new: str, others: list[str]) -> str:
    shown = short_enough(
        f"name of the {what}", position_name(new) if what == "position" else name_given("name of the car", new)
    )
    if not fold(shown):
        raise Refused(f"{what}-without-name", f"A {what} needs a name")
    if (known := name_on_record(session.info, what, shown, others)) is not None:
        raise Refused(f"{what}-known", f'There is already a {what} "{known}"', hint="choose another name")
    return shown


def _taken_away(session: Session, by: str, what: str, name: str, keys: list[int], why: str, *beside: int) -> str:
    """Take away the first of these things, if nothing points to any. `beside`: what others lock who may point to it."""
    if not clean(why):
        raise Refused("reason-missing", "Say why")
    act = begin_act(session, f"{what} remove", by, *keys, *beside)
    _refuse_in_use(session, what, name, keys)  # only now does nobody else write about them
    begun: Any = declared(session).table(_BEGUN)
    rows = select(begun).where(begun.thing_id == keys[0], begun.superseded_by.is_(None)).order_by(begun.id)
    take_back(session, act, [(begun, row) for row in session.scalars(rows)], clean(why), restore=False)
    fact = make_fact(MadeByMistake, act, keys[0], when_on(None, act.today), why=clean(why))
    write(session, act, [fact])
    return fact_id(MadeByMistake, fact.id)


def _refuse_in_use(session: Session, what: str, name: str, keys: list[int]) -> None:
    """Refuse while a fact that counts points to one of these things, or is about one and not its own description."""
    found: list[str] = []
    for kind in declared(session).facts:
        if kind.name in {*_ITS_OWN, _BEGUN}:
            continue
        for column in _pointing(kind.table):
            rows = select(kind.table.id).where(among(column, keys), kind.table.superseded_by.is_(None))
            found += [fact_id(kind.name, key) for key in session.scalars(rows.order_by(kind.table.id))]
    if found:
        several = list(dict.fromkeys(found))
        told = ", ".join(several[:_SHOWN]) + (f" and {len(several) - _SHOWN} more" if len(several) > _SHOWN else "")
        raise Refused(
            f"{what}-in-use",
            f'The {what} "{name}" cannot be taken away: something on record points to it ({told})',
            where=name,
            hint=f"rename it, or correct or take them back first: matchmark fact withdraw {several[0]} --reason ...",
        )


def _pointing(table: Any) -> list[Any]:
    """The columns of a table of facts that can hold the key of a car or position."""
    things = (Car.__tablename__, Position.__tablename__)
    named = [each.parent for each in table.__table__.foreign_keys if each.column.table.name in things]
    return [table.__table__.c["thing_id"], *named]
