"""Finds what is measured: a part by its tag, or a car by its name."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car
from inventory.errors import UnknownName
from inventory.parts import tags
from inventory.parts.judgements import Identity
from inventory.parts.queries import identities, part_row
from inventory.parts.tables import Part
from inventory.store.facts import NOW, AsOf
from inventory.store.many import among
from inventory.store.words.near import known_name

__all__ = ["CAR", "MeasuredThing", "measured_thing", "measured_things"]

CAR = "car"
"""The kind of a whole car."""


@dataclass(frozen=True)
class MeasuredThing:
    """A part or a car on the bench: its key, its tag or name, its kind, and for a part its number as written."""

    id: int
    shown: str
    kind: str
    part_number: str = ""

    def as_dict(self) -> dict[str, str | None]:
        """How JSON names it."""
        return {"tag": None, "car": self.shown} if self.kind == CAR else {"tag": self.shown}


def measured_thing(session: Session, name: str) -> MeasuredThing:
    """The part with this tag, or the car with this name. Raises `Refused` if there is neither."""
    cars = {name or "": key for key, name in session.execute(select(Car.id, Car.name).where(Car.taken_away.is_(None)))}
    try:
        car = known_name(session.info, "car", name, cars)
    except UnknownName as unknown:
        if unknown.near and not tags.is_tag(name):
            raise
    else:
        return MeasuredThing(cars[car], car, CAR)
    part = part_row(session, name)
    return MeasuredThing(part.id, part.tag, part.kind or "other", part.part_number or "")


def measured_things(session: Session, keys: Iterable[int], when: AsOf = NOW) -> dict[int, MeasuredThing]:
    """Parts and cars by their keys; kinds and numbers as known in a state of the record."""
    wanted = set(keys)
    if not wanted:
        return {}
    tags_of = session.execute(select(Part.id, Part.tag).where(among(Part.id, wanted))).all()
    known = identities(session, [key for key, _ in tags_of], when)
    found = {}
    for key, tag in tags_of:
        part = known.get(key, Identity())
        found[key] = MeasuredThing(key, tag, part.kind or "other", part.part_number or "")
    left = wanted - found.keys()
    if left:
        cars = session.execute(select(Car.id, Car.name).where(among(Car.id, left)))
        found.update({key: MeasuredThing(key, name or "", CAR) for key, name in cars})
    return found
