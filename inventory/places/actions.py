"""Actions on places: add a place, put a part there."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts.queries import goes_along, part_row
from inventory.people.actions import begin_act
from inventory.places.queries import place_named, places
from inventory.places.tables import Move, Place, PlaceDescription
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base, Thing
from inventory.store.words.near import another_hint, name_on_record
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, fold

__all__ = ["add_place", "new_place", "place_rows", "put"]


def add_place(session: Session, by: str, name: str, *, premises: str | None = None, on: str | None = None) -> int:
    """Enter a place. Returns its key."""
    act = begin_act(session, "place add", by)
    key, rows = new_place(session, act, name, when_on(on, act.today), premises)
    if not rows:
        known = session.get_one(Place, key).name or ""
        raise Refused("place-known", f'There is already a place "{known}"', hint=another_hint(name, known))
    write(session, act, rows)
    return key


def new_place(session: Session, act: Act, name: str, when: When, premises: str | None = None) -> tuple[int, list[Base]]:
    """The key of the place with this name, and the rows that make it if it is new. Raises `NearName`."""
    shown = name_given("name of the place", name)
    if not fold(shown):
        raise Refused("place-without-name", "A place needs a name")
    known = {place.name: place.id for place in places(session)}
    meant = name_on_record(session.info, "place", shown, known)
    if meant is not None:
        return known[meant], []
    (thing,) = new_things(session, "place")
    return thing.id, place_rows(act, thing, shown, when, premises)


def place_rows(act: Act, thing: Thing, name: str, when: When, premises: str | None = None) -> list[Base]:
    """The rows that make a place out of a new thing."""
    values: dict[str, Any] = {"name": name, "premises": clean(premises or "") or None}
    description = make_fact(PlaceDescription, act, thing.id, when, **values)
    return [thing, Place(id=thing.id, name_folded=fold(name), **values), description]


def put(session: Session, by: str, tag: str, place: str | None, *, on: str | None = None) -> str:
    """Record that a part was put at a place (None: taken from its place). Returns the fact's id.

    Those that came off as one with it go with it, until they are parted.
    """
    part = part_row(session, tag)
    place_id = place_named(session, place).id if place is not None else None
    every = [part.id, *(other.id for other in goes_along(session, part.id))]
    act = begin_act(session, "place put", by, *every)
    when = when_on(on, act.today)
    facts = [make_fact(Move, act, key, when, place_id=place_id) for key in every]
    write(session, act, facts)
    return fact_id(Move, facts[0].id)
