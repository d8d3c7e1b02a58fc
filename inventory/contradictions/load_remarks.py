"""Finds date codes after the car's year of make, and one serial on two parts, in a fixed number of statements.

The SQL is text: the tables are those of subjects above this one.
"""

from __future__ import annotations

from collections import defaultdict, namedtuple
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.contradictions.load_rows import load_rows
from inventory.contradictions.looks import Contradiction
from inventory.contradictions.remarks import made_after, serial_twice
from inventory.contradictions.whereabouts import PLACE_COLUMNS
from inventory.facts.order import in_order, timeless
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import AsOf
from inventory.store.many import among_sql
from inventory.store.words.text import squeeze

__all__ = ["load_remarks"]

_SHARED = PLACE_COLUMNS[:9]
_COLUMNS: Any = ("table", *_SHARED, "car_id", "car", "year")
_make: Any = namedtuple("OnCar", _COLUMNS)._make  # type: ignore[attr-defined]


def load_remarks(
    session: Session, keys: Sequence[int] | None, when: AsOf, **_of_others: object
) -> dict[int, tuple[Contradiction, ...]]:
    """The remarks on date codes and serials of some parts, or of all (None), by key; a pair of parts has one each."""
    on_cars = _on_cars(session, keys, when)
    twins = _twins(session, keys)
    known = when.of_any_day
    both = {*on_cars, *(key for pair in twins for key in pair[:2])}
    marked = load_rows(session, "marking", sorted(both), known) if both else {}
    found: dict[int, list[Contradiction]] = defaultdict(list)
    for key, facts in on_cars.items():
        coded = _last(marked.get(key, ()), "date_code", when)
        of_car = {fact.car_id: fact for fact in in_order(facts)}
        for fact in of_car.values() if coded is not None else ():
            if remark := made_after(coded, fact):
                found[key].append(remark)
    for one, other, *tags in twins:
        serials = [_last(marked.get(key, ()), "serial", when, not_after=True) for key in (one, other)]
        if None not in serials and len({squeeze(fact.serial) for fact in serials if fact is not None}) == 1:
            remark = serial_twice(serials, tags)
            for key in (one, other) if keys is None else {one, other}.intersection(keys):
                found[key].append(remark)
    return {key: tuple(remarks) for key, remarks in found.items()}


def _last(markings: Sequence[Any], column: str, when: AsOf, *, not_after: bool = False) -> Any:
    """The row of the last reading of a value by a day, else of the first one after it unless `not_after`."""
    told = [fact for fact in timeless(markings, when.until) if getattr(fact, column)]
    return told[-1] if told and not (not_after and told[-1].counts_from > when.until) else None


def _on_cars(session: Session, keys: Sequence[int] | None, when: AsOf) -> dict[int, list[Any]]:
    """The fittings and removals of parts with a date code on cars with a year of make."""
    wanted, given = ("IS NOT NULL", {}) if keys is None else among_sql(session, "keys", keys)
    shared = ", ".join(f"fact.{name}" for name in _SHARED)
    sql = " UNION ALL ".join(
        f"SELECT '{table}', {shared}, car.id, car.name, car.year FROM {table} AS fact "  # noqa: S608
        f"JOIN part ON part.id = fact.thing_id AND part.date_code IS NOT NULL "
        f"JOIN car ON car.id = fact.car_id AND car.year IS NOT NULL WHERE fact.thing_id {wanted} AND {when.sql('fact')}"
        for table in ("fitting", "removal")
    )
    found: Mapping[int, list[Any]] = defaultdict(list)
    for fact in map(_make, fetch_all(session, sql, given | when.parameters)):
        found[fact.thing_id].append(fact)
    return dict(found)


def _twins(session: Session, keys: Sequence[int] | None) -> list[Any]:
    """Keys and tags of each two parts of one kind and number with one serial; the part entered first is first.

    `|| ''` keeps SQLite from the index by kind and number, which finds half a record for each part.
    """
    differ, given = "other.id > mine.id", dict[str, object]()
    if keys is not None:
        wanted, given = among_sql(session, "keys", keys)
        differ = f"other.id <> mine.id AND mine.id {wanted}"
    sql = (
        "SELECT mine.id, other.id, mine.tag, other.tag FROM part AS mine JOIN part AS other "  # noqa: S608
        "ON other.serial_alike = mine.serial_alike AND other.serial_squeezed = mine.serial_squeezed "
        "AND other.kind || '' = mine.kind AND other.part_number_squeezed || '' = mine.part_number_squeezed "
        f"WHERE {differ} ORDER BY mine.id, other.id"
    )
    pairs = {tuple(sorted(row[:2])): row for row in fetch_all(session, sql, given)}
    return list(pairs.values())
