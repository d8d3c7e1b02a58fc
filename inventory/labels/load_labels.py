"""The labels of parts and places on record."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import car_named, cars
from inventory.errors import Refused
from inventory.facts.order import in_order
from inventory.labels.label import Label, car_side_label, part_label, place_label, roll_labels
from inventory.labels.queries import rolls, stuck_labels
from inventory.parts.queries import PartLine, lines, part_row
from inventory.parts.tables import Part
from inventory.parts.tags import is_tag, parse
from inventory.places.place_codes import is_place_code
from inventory.places.queries import PlaceView, place_named, places_within, shelf_order
from inventory.store.days.date_words import day_words
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.store.words.text import fold
from inventory.teardown.tables import Removal

__all__ = ["labels_of", "labels_of_places", "places_meant"]


def labels_of(session: Session, things: Sequence[str], *, car_sides: int = 0) -> list[Label]:
    """The labels of some parts, named by tag, of places, and of all parts that are off some cars, named by name.

    In the order in which they are named; those of a car as they came off it. A tag that is still unused on a roll gets
    its unused label anew. `car_sides`: how many labels for the car side go with each, with what they are on if it is on
    record. Raises `Refused` if nothing is to be printed.
    """
    made = [label for thing in things for label in _labels(session, thing, car_sides)]
    if not made:
        raise Refused(
            "nothing-to-print",
            f"No part of {' and '.join(things)} is off the car, so there is no label to print",
            hint="for labels before the parts: matchmark labels --blank 24 -o FILE",
        )
    return list(dict.fromkeys(made))


def places_meant(session: Session, things: Sequence[str], *, inner: bool) -> list[PlaceView]:
    """The places that are meant, in shelf order: the things that name a place, and neither part nor car.

    `inner`: all things are places, and those within them are meant too; without any, all places of the record.
    """
    walk = [place for _, place in shelf_order(session)]
    if inner:
        meant = {key for thing in things for key in places_within(session, place_named(session, thing).id)}
        return [place for place in walk if place.id in meant or not things]
    of_cars = {fold(car.name) for car in cars(session)}
    names = {fold(thing) for thing in things if not is_tag(thing)} - of_cars
    meant = {place_named(session, thing).id for thing in things if is_place_code(thing)}
    return [place for place in walk if place.id in meant or fold(place.name) in names]


def labels_of_places(places: Iterable[PlaceView]) -> list[Label]:
    """The labels of places; those without one are left out."""
    return [place_label(place.label, place.name, place.within or "") for place in places if place.label]


def _labels(session: Session, thing: str, car_sides: int) -> list[Label]:
    if found := places_meant(session, [thing], inner=False):
        return labels_of_places(found)
    if not is_tag(thing):
        return _of_car(session, car_named(session, thing).id, car_sides)
    roll = next((roll for roll in rolls(session) if parse(thing) in roll.left), None)
    if roll is not None:
        every = roll_labels(roll.number, roll.tags, car_sides)
        return [label for label in every if label.code.printed[: len(parse(thing))] == parse(thing)]
    return _of_parts(session, [part_row(session, thing).id], car_sides)


def _of_car(session: Session, car_id: int, car_sides: int) -> list[Label]:
    query = select(Part.id).where(Part.car_id == car_id, Part.fitted == "no", Part.gone.is_(None))
    return _of_parts(session, session.scalars(query).all(), car_sides)


def _of_parts(session: Session, keys: Sequence[int], car_sides: int) -> list[Label]:
    """The labels of these parts, in the order in which they last came off a car."""
    known = select(Removal).where(among(Removal.thing_id, keys))
    removals = {row.thing_id: row for row in in_order(session.scalars(as_of(known, Removal)))}
    order = {key: (row.counts_from, row.ranked) for key, row in removals.items()}
    every = sorted(lines(session, keys), key=lambda line: order.get(line.id, ("", "")))
    return [label for line in every for label in _of_part(session, line, removals.get(line.id), car_sides)]


def _of_part(session: Session, line: PartLine, removal: Removal | None, car_sides: int) -> Iterable[Label]:
    yield part_label(
        line.tag,
        kind=line.kind or "",
        position=line.position or "",
        car=line.car or "",
        day=_day(removal.so_from) if removal else "",
        bag=(removal.bag or "") if removal else "",
    )
    stuck = {code.number: (code.tag, on) for code, on in stuck_labels(session, line.id)} if car_sides else {}
    for number in range(1, car_sides + 1):
        tag, on = stuck.get(number, (line.tag, ""))
        yield car_side_label(tag, on, number)


def _day(edtf: str) -> str:
    """A day, short enough for a label: 12 Mar 2026."""
    return re.sub(r"(?<= [A-Z][a-z]{2})[a-z]+(?= \d)", "", day_words(edtf))
