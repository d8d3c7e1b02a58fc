"""The labels of parts on record."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import car_named
from inventory.errors import Refused
from inventory.facts.order import in_order
from inventory.labels.label import Label, car_side_label, part_label
from inventory.labels.queries import stuck_labels
from inventory.parts.queries import lines, part_row
from inventory.parts.tables import Part
from inventory.parts.tags import is_tag
from inventory.store.days.date_words import day_words
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.teardown.tables import Removal

__all__ = ["labels_of"]


def labels_of(session: Session, things: Sequence[str], *, car_sides: int = 0) -> list[Label]:
    """The labels of some parts, named by tag, and of all parts that are off some cars, named by name.

    In the order in which they are named; those of a car as they came off it. `car_sides`: how many labels for the
    car side go with each, with what they are on if it is on record. Raises `Refused` if nothing is to be printed.
    """
    keys = list(dict.fromkeys(key for thing in things for key in _keys(session, thing)))
    if not keys:
        raise Refused(
            "nothing-to-print",
            f"No part of {' and '.join(things)} is off the car, so there is no label to print",
            hint="for labels before the parts: matchmark labels --blank 24 -o FILE",
        )
    removals = {row.thing_id: row for row in in_order(_removals(session, keys))}
    made: list[Label] = []
    by_key = {line.id: line for line in lines(session, keys)}
    for key in keys:
        line, removal = by_key[key], removals.get(key)
        made.append(
            part_label(
                line.tag,
                kind=line.kind or "",
                position=line.position or "",
                car=line.car or "",
                day=day_words(removal.so_from) if removal else "",
                bag=(removal.bag or "") if removal else "",
            )
        )
        stuck = {code.number: (code.tag, on) for code, on in stuck_labels(session, key)} if car_sides else {}
        numbers = range(1, car_sides + 1)
        made += [car_side_label(*stuck.get(number, (line.tag, "")), number) for number in numbers]
    return made


def _keys(session: Session, thing: str) -> list[int]:
    if is_tag(thing):
        return [part_row(session, thing).id]
    car = car_named(session, thing)
    query = select(Part.id).where(Part.car_id == car.id, Part.fitted == "no", Part.gone.is_(None))
    keys = list(session.scalars(query.order_by(Part.id)))
    order = {row.thing_id: place for place, row in enumerate(in_order(_removals(session, keys)))}
    return sorted(keys, key=lambda key: order.get(key, -1))


def _removals(session: Session, keys: Sequence[int]) -> Sequence[Removal]:
    return session.scalars(as_of(select(Removal).where(among(Removal.thing_id, keys)), Removal)).all()
