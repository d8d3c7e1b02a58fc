"""Which sensor and which control unit were on a car on a day, from what was fitted and what came off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.words import Pair
from inventory.parts.tables import Part
from inventory.reference.load import kinds
from inventory.store.facts import as_of, fact_id
from inventory.teardown.tables import Fitting, Removal

__all__ = ["Event", "on_it", "pair_on"]


@dataclass(frozen=True)
class Event:
    """A part went onto a car, or came off one: the day it counts from (ISO), whether on, which car, the fact's id."""

    day: str
    on: bool
    car: int
    fact: str


def pair_on(session: Session, car: int, day: str, *, known_on: date | None = None) -> Pair:
    """The pair that was on a car on an ISO day, with why; halves that are not known for sure are left empty."""
    halves = {kind.name: kind for kind in kinds() if kind.half}
    columns = select(Part.id, Part.tag, Part.kind).where(Part.kind.in_(halves), _of_car(car))
    parts = {key: (tag, kind or "") for key, tag, kind in session.execute(columns)}
    history = _events(session, list(parts), known_on)
    on = {key: fact for key, events in history.items() if (fact := on_it(events, car, day))}
    by_half: dict[str, list[int]] = defaultdict(list)
    for key in on:
        by_half[halves[parts[key][1]].half].append(key)
    sensors, units = by_half["sensor"], by_half["unit"]
    facts = tuple(on[key] for key in (*sensors, *units))
    if len(sensors) == len(units) == 1:
        sensor, unit = parts[sensors[0]][0], parts[units[0]][0]
        says = f"with sensor {sensor} and control unit {unit}, which were on the car that day"
        return Pair(sensor, unit, says, facts)
    both = (("sensor", sensors), ("control unit", units))
    words = " and ".join(_in_words(what, [parts[key][0] for key in keys]) for what, keys in both)
    return Pair("", "", f"{words} on record as on the car that day, so it speaks for no pair", facts)


def on_it(events: Sequence[Event], car: int, day: str) -> str:
    """The id of the fact by which a part was on a car on a day; empty where it was not.

    The day it went on and the day it came off count both. A part whose first word is that it came off was on before.
    """
    before = [event for event in events if event.day <= day]
    after = [event for event in events if event.day > day]
    came_off_today = before and not before[-1].on and before[-1].car == car and before[-1].day == day
    if came_off_today:
        return before[-1].fact
    if before:
        return before[-1].fact if before[-1].on and before[-1].car == car else ""
    return after[0].fact if after and not after[0].on and after[0].car == car else ""


def _of_car(car: int) -> Any:
    fitted = select(Fitting.thing_id).where(Fitting.car_id == car)
    removed = select(Removal.thing_id).where(Removal.car_id == car)
    return Part.id.in_(fitted.union(removed))


def _events(session: Session, parts: list[int], known_on: date | None) -> dict[int, list[Event]]:
    """What went on and came off, by part, oldest first."""
    found: dict[int, list[tuple[str, str, Event]]] = defaultdict(list)
    models: tuple[tuple[Any, bool], ...] = ((Fitting, True), (Removal, False))
    for model, on in models:
        query = as_of(select(model).where(model.thing_id.in_(parts)), model, None, known_on)
        for row in session.scalars(query):
            event = Event(row.counts_from, on, row.car_id, fact_id(model, row.id))
            found[row.thing_id].append((row.counts_from, row.ranked, event))
    return {key: [event for *_, event in sorted(rows, key=lambda row: row[:2])] for key, rows in found.items()}


def _in_words(what: str, tags: list[str]) -> str:
    return (
        f"{len(tags)} {what}s ({', '.join(tags)})" if len(tags) > 1 else f"{what} {tags[0]}" if tags else f"no {what}"
    )
