"""The sheets that are not about single parts: positions of cars, and which part numbers work together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from inventory.cars.actions import AXES
from inventory.cars.tables import Car, Position, PositionListing
from inventory.errors import Refused
from inventory.parts.tables import Fit, PartNumber
from inventory.sheets.cells import day_cells, day_of, kind_named, one_word, yes_or_no
from inventory.sheets.ways import Way
from inventory.store.facts import as_of
from inventory.store.text import fold, short_enough, squeeze

__all__ = ["LIST_SHEETS", "ListSheet", "Standing", "checked_name", "fits_on_record", "positions_on_record"]


@dataclass(frozen=True)
class Standing:
    """What stands of a position or of two numbers: the fact's key (None: nothing but its name), and its cells."""

    fact: int | None
    cells: dict[str, str]


@dataclass(frozen=True)
class ListSheet:
    """One sheet: the two columns that say what a row is about, how they are compared, and how cells are read."""

    name: str
    about: tuple[str, str]
    folded: Callable[[str], str]
    columns: tuple[str, ...]
    readers: Mapping[str, Callable[[str], str]]

    def key(self, values: Mapping[str, str]) -> tuple[str, str]:
        """What a row is about, as it is compared."""
        return self.folded(values.get(self.about[0], "")), self.folded(values.get(self.about[1], ""))

    def read(self, column: str, text: str, today: date, way: Way) -> dict[str, str]:
        """What a cell says; a day brings with it how it was told."""
        if column == "on":
            return day_cells(day_of(text, today, way))
        return {column: self.readers.get(column, str)(text)}


def _order(text: str) -> str:
    if not text.isdecimal() or len(text) > 6:
        raise Refused("not-an-order", f'"{text}" is no place in an order', hint="write a whole number: 3")
    return str(int(text))


LIST_SHEETS: dict[str, ListSheet] = {
    "positions": ListSheet(
        "positions",
        ("car", "position"),
        fold,
        ("order", "kind", "maker", "part number", "axis", "fasteners", "connections", "mounts", "on"),
        {"order": _order, "kind": kind_named, "axis": one_word("axis", AXES)},
    ),
    "fits": ListSheet("fits", ("sensor part number", "unit part number"), squeeze, ("fits", "on"), {"fits": yes_or_no}),
}


def checked_name(column: str, text: str) -> dict[str, str]:
    """The name of a position or a part number, short enough to be looked up by."""
    return {column: short_enough(column, text)}


def positions_on_record(session: Session) -> dict[tuple[str, str], Standing]:
    """All positions of all cars with their last listing, by folded car and position."""
    query = select(Position.id, Position.name, Car.name.label("car")).join(Car, Car.id == Position.car_id)
    rows = session.execute(query.order_by(Car.name_folded, Position.id)).all()
    listed = {fact.thing_id: fact for fact in session.scalars(as_of(select(PositionListing), PositionListing))}
    found: dict[tuple[str, str], Standing] = {}
    for row in rows:
        fact = listed.get(row.id)
        cells = {"car": row.car, "position": row.name}
        if fact is not None:
            cells |= _filled(
                {
                    "order": fact.ordinal,
                    "kind": fact.kind,
                    "maker": fact.maker,
                    "part number": fact.part_number,
                    "axis": fact.axis,
                    "fasteners": fact.fasteners,
                    "connections": fact.connections,
                    "mounts": fact.mounts,
                    "on": fact.so_from,
                }
            )
        found[fold(row.car), fold(row.name)] = Standing(fact.id if fact else None, cells)
    return found


def fits_on_record(session: Session) -> dict[tuple[str, str], Standing]:
    """The last word on each two part numbers, by squeezed numbers of sensor and unit."""
    sensor, unit = aliased(PartNumber), aliased(PartNumber)
    query = select(Fit.id, Fit.fits, Fit.so_from, sensor.written, unit.written.label("unit"))
    query = query.join(sensor, sensor.id == Fit.thing_id).join(unit, unit.id == Fit.unit_number_id)
    found: dict[tuple[str, str], Standing] = {}
    for row in session.execute(as_of(query, Fit)):
        cells = {"sensor part number": row.written, "unit part number": row.unit, "fits": row.fits, "on": row.so_from}
        found[squeeze(row.written), squeeze(row.unit)] = Standing(row.id, cells)
    return found


def _filled(cells: Mapping[str, str | int | None]) -> dict[str, str]:
    return {column: str(value) for column, value in cells.items() if value is not None}
