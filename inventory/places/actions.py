"""Actions on places: add, describe and label a place, put parts there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts.queries import goes_along, part_row
from inventory.people.actions import begin_act
from inventory.places.place_codes import issue_place_code
from inventory.places.queries import place_meant, place_named, places, refuse_circle
from inventory.places.tables import Move, Place, PlaceDescription
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base, Thing
from inventory.store.words.near import another_hint, name_on_record
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, fold

__all__ = [
    "add_place",
    "describe_place",
    "label_places",
    "new_place",
    "place_rows",
    "put",
    "put_all",
]


def add_place(
    session: Session,
    by: str,
    name: str,
    *,
    within: str | None = None,
    premises: str | None = None,
    town: str | None = None,
    security: str | None = None,
    on: str | None = None,
) -> int:
    """Enter a place. Returns its key. Raises `NearName`, `UnknownName`."""
    values = _values(session, within, premises=premises, town=town, security=security)
    act = begin_act(session, "place add", by)
    key, rows = new_place(session, act, name, when_on(on, act.today), **values)
    if not rows:
        known = session.get_one(Place, key).name or ""
        raise Refused("place-known", f'There is already a place "{known}"', hint=another_hint(name, known))
    write(session, act, rows)
    return key


def describe_place(
    session: Session,
    by: str,
    name: str,
    *,
    new_name: str | None = None,
    within: str | None = None,
    premises: str | None = None,
    town: str | None = None,
    security: str | None = None,
    on: str | None = None,
) -> str:
    """Say more about a place, or give it another name. Parts stay where they are. Returns the fact's id.

    A place that is put within another takes everything in it along.
    """
    place = place_named(session, name)
    values = _values(session, within, premises=premises, town=town, security=security)
    if new_name is not None:
        values["name"] = shown = name_given("name of the place", new_name)
        others = [each.name for each in places(session) if each.id != place.id]
        if (other := name_on_record(session.info, "place", shown, others)) is not None:
            raise Refused("place-known", f'There is already a place "{other}"', hint=another_hint(shown, other))
    if not values:
        raise Refused("nothing-said", "Say what is so of the place", hint="--within, --premises, --town, --security")
    if "within_id" in values:
        refuse_circle(session, place.id, values["within_id"])
    act = begin_act(session, "place describe", by, place.id)
    fact = make_fact(PlaceDescription, act, place.id, when_on(on, act.today), **values)
    write(session, act, [fact])
    return fact_id(PlaceDescription, fact.id)


def label_places(session: Session, by: str, keys: Sequence[int]) -> None:
    """Give each of these places that has no label yet one of its own."""
    every = places(session)
    without = [place.id for place in every if place.id in keys and place.label is None]
    if not without:
        return
    taken = {place.label for place in every if place.label}
    act = begin_act(session, "place label", by, *without)
    facts = []
    for key in without:
        taken.add(label := issue_place_code(taken))
        facts.append(make_fact(PlaceDescription, act, key, when_on(None, act.today), label=label))
    write(session, act, facts)


def new_place(session: Session, act: Act, name: str, when: When, **values: Any) -> tuple[int, list[Base]]:
    """The key of the place with this name or label, and the rows that make it if it is new. Raises `NearName`.

    `values`: further columns of a new one.
    """
    shown = name_given("name of the place", name)
    if not fold(shown):
        raise Refused("place-without-name", "A place needs a name")
    if (known := place_meant(session, shown)) is not None:
        return known.id, []
    (thing,) = new_things(session, "place")
    return thing.id, place_rows(act, thing, shown, when, **values)


def place_rows(act: Act, thing: Thing, name: str, when: When, **values: Any) -> list[Base]:
    """The rows that make a place out of a new thing."""
    columns: dict[str, Any] = {"name": name, **values}
    description = make_fact(PlaceDescription, act, thing.id, when, **columns)
    return [thing, Place(id=thing.id, name_folded=fold(name), **columns), description]


def _values(session: Session, within: str | None, **texts: str | None) -> dict[str, Any]:
    """The columns that are said, checked. `within`: the name or label of the outer place."""
    values: dict[str, Any] = {column: clean(text) for column, text in texts.items() if text and clean(text)}
    if within is not None:
        values["within_id"] = place_named(session, within).id
    return values


def put(session: Session, by: str, tag: str, place: str | None, *, on: str | None = None) -> str:
    """Record that a part was put at a place (None: taken from its place). Returns the fact's id; see `put_all`."""
    return put_all(session, by, [tag], place, on=on)[0]


def put_all(session: Session, by: str, tags: Sequence[str], place: str | None, *, on: str | None = None) -> list[str]:
    """Record that parts were put at a place, as one act. Returns the ids of their facts, in the order given.

    Those that came off as one with a part go with it, until they are parted.
    """
    parts = [part_row(session, tag).id for tag in tags]
    place_id = place_named(session, place).id if place is not None else None
    every = list(dict.fromkeys([*parts, *(other.id for key in parts for other in goes_along(session, key))]))
    act = begin_act(session, "place put", by, *every)
    when = when_on(on, act.today)
    facts = {key: make_fact(Move, act, key, when, place_id=place_id) for key in every}
    write(session, act, list(facts.values()))
    return [fact_id(Move, facts[key].id) for key in parts]
