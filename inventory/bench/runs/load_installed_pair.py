"""Finds the sensor and the control unit on a car on a day, from fittings and removals."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.typed_run import Pair
from inventory.contradictions.load_whereabouts import load_whereabouts
from inventory.parts.queries import identities
from inventory.parts.tables import Part
from inventory.reference.data import reference_of
from inventory.reference.load import Kind
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among
from inventory.teardown.tables import Fitting, Removal

__all__ = ["Event", "fact_on_car", "pairs_on"]


@dataclass(frozen=True)
class Event:
    """A fitting or a removal: the ISO day it counts from, whether it was a fitting, the car, the fact's id."""

    day: str
    on: bool
    car: int
    fact: str


def pairs_on(session: Session, cars: Collection[tuple[int, str]], when: AsOf = NOW) -> dict[tuple[int, str], Pair]:
    """The pair on each car (by key) on an ISO day, with the facts behind it; both tags are empty if one is doubtful."""
    if not cars:
        return {}
    kinds = {kind.name: kind for kind in reference_of(session, when).kinds if kind.role_in_pair}
    keys = {car for car, _ in cars}
    parts = _paired_parts(session, keys, kinds, when)
    history = _events(session, list(parts), when)
    return {(car, day): _pair(car, day, parts, history, kinds) for car, day in cars}


def _pair(
    car: int,
    day: str,
    parts: Mapping[int, tuple[str, str]],
    history: Mapping[int, Sequence[Event]],
    kinds: Mapping[str, Kind],
) -> Pair:
    on = {key: fact for key, events in history.items() if (fact := fact_on_car(events, car, day))}
    by_role: dict[str, list[int]] = defaultdict(list)
    for key in sorted(on, key=lambda key: parts[key][0]):
        by_role[kinds[parts[key][1]].role_in_pair].append(key)
    sensors, units = by_role["sensor"], by_role["unit"]
    facts = tuple(on[key] for key in (*sensors, *units))
    if len(sensors) == len(units) == 1:
        sensor, unit = parts[sensors[0]][0], parts[units[0]][0]
        says = f"with sensor {sensor} and control unit {unit}, which were on the car that day"
        return Pair(sensor, unit, says, facts)
    both = (("sensor", sensors), ("control unit", units))
    words = " and ".join(_in_words(what, [parts[key][0] for key in keys]) for what, keys in both)
    return Pair("", "", f"{words} on the car that day, by the record, so it proves no pair", facts)


def _paired_parts(
    session: Session, cars: Collection[int], kinds: Collection[str], when: AsOf
) -> dict[int, tuple[str, str]]:
    """Tag and kind of the sensors and control units that were ever on one of these cars, by key."""
    fitted = select(Fitting.thing_id).where(among(Fitting.car_id, cars))
    removed = select(Removal.thing_id).where(among(Removal.car_id, cars))
    tags = dict(session.execute(select(Part.id, Part.tag).where(Part.id.in_(fitted.union(removed)))).all())
    known = identities(session, list(tags), when)
    return {key: (tags[key], part.kind) for key, part in known.items() if part.kind is not None and part.kind in kinds}


def fact_on_car(events: Sequence[Event], car: int, day: str) -> str:
    """The id of the fact that shows a part on a car on a day; empty if it was not there.

    The day of the fitting and the day of the removal both count. A part whose first fact is a removal was on before.
    """
    before = [event for event in events if event.day <= day]
    after = [event for event in events if event.day > day]
    came_off_today = before and not before[-1].on and before[-1].car == car and before[-1].day == day
    if came_off_today:
        return before[-1].fact
    if before:
        return before[-1].fact if before[-1].on and before[-1].car == car else ""
    return after[0].fact if after and not after[0].on and after[0].car == car else ""


def _events(session: Session, parts: list[int], when: AsOf) -> dict[int, list[Event]]:
    """All fittings and removals by part, oldest first, later ones too: a removal shows where the part was before.

    A fitting that was so, but no longer (it was moved between), ends on the day of what shows that: until then the
    engine can have run with no other part.
    """
    rows: list[tuple[Any, bool]] = []
    where = load_whereabouts(session, parts, when)
    models: tuple[tuple[Any, bool], ...] = ((Fitting, True), (Removal, False))
    for model, on in models:
        query = as_of(select(model).where(among(model.thing_id, parts)), model, when.of_any_day)
        rows += [(row, on) for row in session.scalars(query)]
    found: dict[int, list[tuple[str, str, Event]]] = defaultdict(list)
    for row, on in rows:
        event = Event(row.counts_from, on, row.car_id, fact_id(type(row), row.id))
        its = where.get(row.thing_id)
        if its is not None and event.fact in its.wrong:
            continue
        found[row.thing_id].append((row.counts_from, row.ranked, event))
        if its is not None and on and event.fact in its.ended:
            day = its.until.get(event.fact) or _replaced_on(row, [other for other, fitted in rows if fitted])
            if day:
                found[row.thing_id].append((day, row.ranked, Event(day, False, row.car_id, event.fact)))
    return {key: [event for *_, event in sorted(rows, key=lambda row: row[:2])] for key, rows in found.items()}


def _replaced_on(fitting: Any, fittings: Sequence[Any]) -> str:
    """The ISO day of the next fitting of another part at the same position; empty if there is none."""
    return min(
        (
            other.counts_from
            for other in fittings
            if other.position_id is not None
            and other.position_id == fitting.position_id
            and other.thing_id != fitting.thing_id
            and other.counts_from >= fitting.counts_from
        ),
        default="",
    )


def _in_words(what: str, tags: list[str]) -> str:
    return (
        f"{len(tags)} {what}s ({', '.join(tags)})" if len(tags) > 1 else f"{what} {tags[0]}" if tags else f"no {what}"
    )
