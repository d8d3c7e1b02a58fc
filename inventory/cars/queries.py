"""Reading cars and positions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from sqlalchemy import literal, select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, CarCover, CarDescription, Position, PositionDescription, PositionListing
from inventory.cars.undone import UNDONE
from inventory.errors import Refused
from inventory.parts.tables import Part
from inventory.places.queries import premises_of
from inventory.places.tables import Move, Place
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.store.words.near import known_name
from inventory.store.words.nothing import is_no_name, name_given
from inventory.store.words.text import clean, fold

__all__ = [
    "CarView",
    "PositionView",
    "behind_named",
    "car_named",
    "cars",
    "former_cars",
    "former_positions",
    "listings",
    "numbers_written",
    "position_name",
    "position_names",
    "positions",
    "positions_before",
    "refuse_taken_away",
    "several",
]

#: The columns of a listing that a `PositionView` shows as they stand.
_LISTED = ("ordinal", "kind", "maker", "part_number", "axis", "fasteners", "connections", "mounts", "area")

_UNDONE = f"SELECT position.id FROM position WHERE position.car_id = :car AND {UNDONE}"  # noqa: S608


#: The moves of cars.
_MOVES = select(Move).where(Move.thing_id.in_(select(Car.id)))


@dataclass(frozen=True)
class CarView:
    """A car as described now, and where it stands."""

    id: int
    name: str
    maker: str | None
    model: str | None
    year: str | None
    chassis: str | None
    note: str | None
    insured_whole: bool
    place: str | None = None
    premises: str | None = None


@dataclass(frozen=True)
class PositionView:
    """A position on a car: what its list says belongs there, and which part is fitted or was removed.

    `numbers` belong there beside `part_number`; `behind`: the positions that must come off first.
    """

    id: int
    name: str
    ordinal: int | None = None
    kind: str | None = None
    maker: str | None = None
    part_number: str | None = None
    axis: str | None = None
    fasteners: str | None = None
    connections: str | None = None
    mounts: str | None = None
    area: str | None = None
    numbers: tuple[str, ...] = ()
    behind: tuple[str, ...] = ()
    fitted_tag: str | None = None
    removed_tag: str | None = None


def cars(session: Session) -> list[CarView]:
    """All cars, by name."""
    rows = session.scalars(select(Car).where(Car.taken_away.is_(None)).order_by(Car.name_folded)).all()
    covers = {fact.thing_id: fact.insured_whole == "yes" for fact in session.scalars(as_of(select(CarCover), CarCover))}
    stands = {move.thing_id: move.place_id for move in session.scalars(as_of(_MOVES, Move))}
    used = select(Place.id, Place.name).where(among(Place.id, filter(None, stands.values())))
    places = dict(session.execute(used).all()) if stands else {}
    premises = premises_of(session) if stands else {}
    return [
        CarView(
            *(car.id, car.name or "", car.maker, car.model, car.year, car.chassis, car.note, covers.get(car.id, False)),
            place=places.get(stands.get(car.id) or 0),
            premises=at.name if (at := premises.get(stands.get(car.id) or 0)) else None,
        )
        for car in rows
    ]


def car_named(session: Session, name: str) -> CarView:
    """The car of this name; case and spaces do not matter. Raises `UnknownName` with near names if there is none."""
    every = cars(session)
    to_add = f'to enter it: matchmark car add "{clean(name)}"'
    meant = known_name(session.info, "car", name, (car.name for car in every), to_add, partial(former_cars, session))
    return next(car for car in every if car.name == meant)


def former_cars(session: Session) -> dict[str, str]:
    """The names of today of renamed cars, by folded names from before that no car has now."""
    query = select(Car.name_folded, literal(""), Car.name, CarDescription.name).where(Car.taken_away.is_(None))
    query = query.join(CarDescription, CarDescription.thing_id == Car.id)
    return _former(session.execute(query)).get("", {})


def former_positions(session: Session, car_id: int | None = None) -> dict[str, dict[str, str]]:
    """By folded car: the names of today of its renamed positions, by folded names from before; of one car or all."""
    about = (Position.name_folded, Car.name_folded, Position.name)
    first = select(*about, Position.first_name).join(Car, Car.id == Position.car_id)
    later = select(*about, PositionDescription.name).join(Car, Car.id == Position.car_id)
    later = later.join(PositionDescription, PositionDescription.thing_id == Position.id)
    which = [Position.taken_away.is_(None), *([] if car_id is None else [Position.car_id == car_id])]
    return _former(row for query in (first, later) for row in session.execute(query.where(*which)))


def positions_before(session: Session, car_id: int) -> dict[str, str]:
    """The names of today of a car's renamed positions, by folded names from before that none of them has now."""
    return next(iter(former_positions(session, car_id).values()), {})


def _former(rows: Iterable[Any]) -> dict[str, dict[str, str]]:
    """By car: names of today by folded names from before. A row: name of today, folded; car; both names."""
    held = list(rows)
    in_use = {(car, folded) for folded, car, _, _ in held}
    found: dict[str, dict[str, str]] = {}
    for _, car, now, before in held:
        if before and (car, fold(before)) not in in_use:
            found.setdefault(car, {})[fold(before)] = now
    return found


def position_names(session: Session, car_id: int) -> dict[str, int]:
    """The positions of a car: their keys by name."""
    here = (Position.car_id == car_id, Position.taken_away.is_(None))
    rows = session.execute(select(Position.name, Position.id).where(*here).order_by(Position.id))
    return {name: key for name, key in rows}  # noqa: C416 - rows are not pairs to mypy


def position_name(typed: str) -> str:
    """The name of a position, as somebody gives it. Raises `Refused` for one that could not be named in a listing."""
    if ";" in typed:
        raise Refused(
            "position-with-semicolon",
            f'"{clean(typed)}" is no name of a position: a semicolon parts one name from the next',
            where="position",
            hint="write a comma, or two positions",
        )
    return name_given("name of the position", typed)


def refuse_taken_away(session: Session, *keys: int | None) -> None:
    """Refuse cars and positions that somebody took away while an act waited for them: for when they are locked."""
    for what, model in (("car", Car), ("position", Position)):
        gone = select(model.name).where(model.id.in_([key for key in keys if key]), model.taken_away.is_not(None))
        if (name := session.scalar(gone)) is not None:
            raise Refused(f"{what}-taken-away", f'The {what} "{name}" was taken away meanwhile', hint="look again")


def listings(session: Session, keys: list[int]) -> dict[int, PositionListing]:
    """The latest listing of each position, by key."""
    query = as_of(select(PositionListing).where(PositionListing.thing_id.in_(keys)), PositionListing)
    return {fact.thing_id: fact for fact in session.scalars(query)}


def positions(session: Session, car_id: int) -> list[PositionView]:
    """The positions of a car in the order of its list; those not listed come last, in the order of entry.

    A position is left out if all that was said of it was taken back.
    """
    here = (Position.car_id == car_id, Position.taken_away.is_(None))
    rows = session.scalars(select(Position).where(*here).order_by(Position.id)).all()
    listed = listings(session, [row.id for row in rows])
    parts = session.scalars(select(Part).where(Part.car_id == car_id, Part.position_id.is_not(None)))
    fitted: dict[tuple[int, str], str] = {(part.position_id or 0, part.fitted): part.tag for part in parts}
    undone = {key for (key,) in fetch_all(session, _UNDONE, {"car": car_id})}
    views = [_view(row, listed.get(row.id), fitted) for row in rows if row.id not in undone]
    return sorted(views, key=lambda view: (view.ordinal is None, view.ordinal or 0, view.id))


def behind_named(info: Mapping[str, Any], typed: Iterable[str], known: Iterable[str], itself: str) -> str | None:
    """The positions behind which one sits, as written in a listing. `typed`: names, several separated by semicolons.

    Raises `UnknownName` with near names for one that is not on the car (`known`), `Refused` for the position itself.
    """
    every = list(known)
    to_add = "add it first: matchmark car position CAR NAME"
    names = [each for text in typed for each in map(clean, text.split(";")) if each]
    found = list(dict.fromkeys(known_name(info, "position", each, every, to_add) for each in names))
    if fold(itself) in map(fold, found):
        raise Refused("behind-itself", f'"{itself}" cannot sit behind itself', where="behind")
    return "; ".join(found) or None


def numbers_written(typed: str | None) -> str | None:
    """Part numbers as a listing has them, separated by semicolons; people also write commas.

    Among several a word for nothing ("?") is none of them.
    """
    numbers = several((typed or "").replace(",", ";"))
    return "; ".join(number for number in numbers if not is_no_name(number)) or None


def several(text: str | None) -> tuple[str, ...]:
    """What stands in a column that holds several values, separated by semicolons."""
    return tuple(filter(None, map(clean, (text or "").split(";"))))


def _view(row: Position, listing: PositionListing | None, fitted: dict[tuple[int, str], str]) -> PositionView:
    tags: dict[str, Any] = {"fitted_tag": fitted.get((row.id, "yes")), "removed_tag": fitted.get((row.id, "no"))}
    if listing is None:
        return PositionView(row.id, row.name, **tags)
    listed = {name: getattr(listing, name) for name in _LISTED}
    numbers, behind = several(listing.numbers), several(listing.behind)
    return PositionView(row.id, row.name, **listed, numbers=numbers, behind=behind, **tags)
