"""Actions on build lists: use a ready-made one for a car, copy that of another car.

What a list says is written as listed ("from a list"), never as a reading. What is listed for a car already stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from inventory.build_lists.positions import positions_of
from inventory.cars.actions import position_rows
from inventory.cars.queries import CarView, car_named, listings, position_names, positions, several
from inventory.cars.tables import PositionListing
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.people.actions import begin_act
from inventory.reference.data import reference_of
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base
from inventory.store.words.near import name_on_record

__all__ = ["Taken", "copy_list", "use_list"]

_COLUMNS = (
    *("ordinal", "kind", "maker", "part_number", "numbers", "axis", "fasteners", "connections", "mounts"),
    *("area", "behind"),
)


@dataclass(frozen=True)
class Taken:
    """What came onto a car's list: new positions, those of which more is said now, those that stayed as they were."""

    car: str
    added: tuple[str, ...]
    filled: tuple[str, ...]
    kept: tuple[str, ...]


def use_list(
    session: Session, by: str, name: str, car: str, *, cylinders: int | None = None, on: str | None = None
) -> Taken:
    """List on a car what a ready-made list says. `cylinders`: needed if the list has something for every cylinder."""
    ready, view = reference_of(session).build_list(name), car_named(session, car)
    if ready.by_cylinder and cylinders is None:
        raise Refused(
            "cylinders-not-said",
            f'The list "{ready.name}" has a position for every cylinder: say how many there are',
            where="cylinders",
            hint="--cylinders 4",
        )
    return _take(session, by, view, list(positions_of(ready, cylinders or 0)), ready.says, on)


def copy_list(session: Session, by: str, from_car: str, to_car: str, *, on: str | None = None) -> Taken:
    """List on a car what is listed on another. Raises `Refused` if that has no list."""
    source, view = car_named(session, from_car), car_named(session, to_car)
    if source.id == view.id:
        raise Refused("list-onto-itself", f'"{view.name}" already has its own list')
    names = {each.id: each.name for each in positions(session, source.id)}
    listed = listings(session, list(names))
    if not listed:
        raise Refused("car-without-list", f'Nothing is listed for "{source.name}"')
    needed = {name for row in listed.values() for name in several(row.behind)}
    said = [
        (name, {each: getattr(listed.get(key), each, None) for each in _COLUMNS})
        for key, name in names.items()
        if key in listed or name in needed
    ]
    return _take(session, by, view, said, f"list of the {source.name}", on)


def _take(
    session: Session, by: str, car: CarView, said: Sequence[tuple[str, dict[str, Any]]], source: str, on: str | None
) -> Taken:
    """Write the listings that say more than there is, all in one act."""
    known = position_names(session, car.id)
    meant = {name: name_on_record(session.info, "position", name, known) or name for name, _ in said}
    before = listings(session, list(known.values()))
    old = {name: before.get(known[meant[name]]) if meant[name] in known else None for name, _ in said}
    more = {name: _more(columns, old[name], meant) for name, columns in said}
    act = begin_act(session, "car list", by, *(known[meant[name]] for name in more if meant[name] in known))
    when = when_on(on, act.today)
    new = [name for name in more if meant[name] not in known]
    rows: list[Base] = []
    for thing, name in zip(new_things(session, "position", len(new)), new, strict=True):
        rows += position_rows(thing, car.id, name)
        known[meant[name]] = thing.id
    changed = [name for name in more if more[name] is not None]
    for name in changed:
        fact = make_fact(PositionListing, act, known[meant[name]], when, how_known="from a list", **(more[name] or {}))
        fact.reason = source
        rows.append(fact)
    if rows:
        write(session, act, rows)
    return Taken(
        car.name,
        tuple(new),
        tuple(meant[name] for name in changed if name not in new),
        tuple(meant[name] for name in more if more[name] is None and name not in new),
    )


def _more(columns: dict[str, Any], old: PositionListing | None, meant: dict[str, str]) -> dict[str, Any] | None:
    """The columns of a listing with what a list adds; None if it adds nothing."""
    said = {**columns, "behind": "; ".join(meant.get(each, each) for each in several(columns["behind"])) or None}
    if old is None:
        return said if any(value is not None for value in said.values()) else None
    both = {name: getattr(old, name) if getattr(old, name) is not None else said.get(name) for name in _COLUMNS}
    return both if any(getattr(old, name) != both[name] for name in _COLUMNS) else None
