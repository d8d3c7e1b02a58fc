"""The keys of the cars, positions, places, people and part numbers that a file names. New names are entered here."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.actions import car_rows, position_rows
from inventory.cars.tables import Car, Position
from inventory.parts.actions import number_rows
from inventory.parts.tables import PartNumber
from inventory.people.actions import HAND, contact_rows, known_hand
from inventory.places.actions import place_rows
from inventory.places.tables import Place
from inventory.seals.tables import SealSighting
from inventory.sheets.plan.on_record import contact_ids, rows_among
from inventory.sheets.plan.rows import FactPlan, ListPlan, PartPlan
from inventory.store.days.dates import When
from inventory.store.facts import Act
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base, Thing
from inventory.store.words.text import fold, squeeze

__all__ = ["ACQUIRED", "ENTERED", "NameKeys", "Names", "whereabouts"]

#: The tables of the things that a fact about a part may name before they are on record: their names are entered here.
ENTERED = frozenset({"contact", "place"})
#: The columns of the sheet of parts that say how a part came.
ACQUIRED = frozenset({"acquired on", "acquired from", "price"})

#: The columns of the sheet of fits, and the kind of part whose numbers they contain.
_NUMBER_KINDS = {"sensor part number": "pressure sensor", "unit part number": "control unit"}


def whereabouts(plan: PartPlan) -> tuple[str | None, str | None, str | None]:
    """Where a row puts its part: car, position, place.

    A car without a place: the part is fitted there. A car and a place: it came off that car and is at that place.
    """
    cells, state = plan.cells, plan.state
    if state.id is None:
        return cells.car, cells.position, cells.place
    car_changed, anything = "car" in plan.changed, {"car", "position", "place"} & plan.changed
    if not anything:
        return None, None, None
    came_off = cells.place is not None and (state.fitted or bool({"car", "position"} & anything))
    car = cells.car or (state.car if cells.position else None)
    if cells.place is not None and not came_off:
        car = None
    position = cells.position or (None if car_changed else state.position)
    place = cells.place if "place" in anything or came_off else None
    return car, position if car is not None else None, place


class NameKeys:
    """The keys behind the names in a plan. `rows` are those of new names; write them before anything that uses them."""

    def __init__(self, session: Session, act: Act, day: When, work: Iterable[PartPlan | FactPlan | ListPlan]) -> None:
        """Read what is on record and reserve keys for the rest, with the same number of statements for any plan."""
        named = Names(work)
        self.rows: list[Base] = []
        self._parts: dict[str, int] = {}
        self._cars: dict[str, int] = {
            row.name_folded: row.id for row in session.execute(select(Car.name_folded, Car.id))
        }
        enter = partial(self._enter, session)
        enter("car", self._cars, named.cars, lambda thing, key: car_rows(act, thing, named.cars[key], day))
        self._positions: dict[tuple[int, str], int] = {}
        self._places = _ids(session, Place.name_folded, Place.id, named.places)
        self._people = contact_ids(session, named.people.values())
        self._lookers = {key: known_hand(session, name) or 0 for key, name in named.lookers.items()}
        self._lookers = {key: hand for key, hand in self._lookers.items() if hand}
        self._numbers = _ids(session, PartNumber.squeezed, PartNumber.id, named.numbers)
        positions: dict[tuple[int, str], str] = {}
        for car, name in named.positions:
            positions.setdefault((self.car(car), fold(name)), name)
        query = select(Position.car_id, Position.name_folded, Position.id)
        for row in rows_among(session, query, Position.car_id, {car for car, _ in positions}):
            self._positions[row.car_id, row.name_folded] = row.id
        enter("position", self._positions, positions, lambda thing, key: position_rows(thing, key[0], positions[key]))
        enter("place", self._places, named.places, lambda thing, key: place_rows(act, thing, named.places[key], day))
        enter(
            "contact", self._people, named.people, lambda thing, key: contact_rows(act, thing, named.people[key], day)
        )
        enter(
            "contact",
            self._lookers,
            named.lookers,
            lambda thing, key: contact_rows(act, thing, named.lookers[key], day, HAND),
        )
        enter("part_number", self._numbers, named.numbers, lambda thing, key: number_rows(thing, *named.numbers[key]))

    def _enter(
        self,
        session: Session,
        kind: str,
        known: dict[Any, int],
        wanted: Mapping[Any, object],
        rows: Callable[[Thing, Any], list[Base]],
    ) -> None:
        """Make a thing for each name that is not on record."""
        missing = [key for key in wanted if key not in known]
        if missing:
            for key, thing in zip(missing, new_things(session, kind, len(missing)), strict=True):
                known[key] = thing.id
                self.rows += rows(thing, key)

    def named(self, table: str, name: str) -> int:
        """The key of a thing of a table in `ENTERED`, or of a part of the same file, which is written by then."""
        if table == "part":
            return self._parts[squeeze(name)]
        return self.person(name) if table == "contact" else self.place(name)

    def written(self, parts: Mapping[str, int]) -> None:
        """Take the keys of new parts, by their tags."""
        self._parts.update({squeeze(tag): key for tag, key in parts.items()})

    def car(self, name: str) -> int:
        """The key of a car on record, or of one that the read adds."""
        return self._cars[fold(name)]

    def place(self, name: str) -> int:
        """The key of a place."""
        return self._places[fold(name)]

    def position(self, car_id: int, name: str) -> int:
        """The key of a position of a car."""
        return self._positions[car_id, fold(name)]

    def person(self, name: str) -> int:
        """The key of a person or firm."""
        return self._people[fold(name)]

    def looker(self, name: str) -> int:
        """The key of somebody who looked at parts."""
        return self._lookers[fold(name)]

    def number(self, written: str) -> int:
        """The key of a part number."""
        return self._numbers[squeeze(written)]


class Names:
    """The names in a plan, each as it is first written, by the form in which it is compared."""

    def __init__(self, work: Iterable[PartPlan | FactPlan | ListPlan]) -> None:
        self.cars: dict[str, str] = {}
        self.places: dict[str, str] = {}
        self.seals: dict[str, str] = {}
        self.people: dict[str, str] = {}
        self.lookers: dict[str, str] = {}
        self.positions: dict[tuple[str, str], None] = {}
        self.numbers: dict[str, tuple[str, str]] = {}
        for each in work:
            if not isinstance(each, ListPlan) and each.look is not None:
                self.lookers.setdefault(fold(each.look[0]), each.look[0])
            if isinstance(each, PartPlan):
                self._of_part(each)
            elif isinstance(each, FactPlan):
                if each.kind.table is SealSighting and (seal := each.draft.columns["seal"]):
                    self.seals.setdefault(fold(seal), seal)
                for table, name in each.draft.named.values():
                    if table in ENTERED:
                        (self.people if table == "contact" else self.places).setdefault(fold(name), name)
            elif each.sheet == "positions":
                self.positions[each.about] = None
            elif each.sheet == "hardware":
                self.places.setdefault(fold(each.about[0]), each.about[0])
            elif each.sheet == "fits":
                for column, kind in _NUMBER_KINDS.items():
                    self.numbers.setdefault(squeeze(each.cells[column]), (each.cells[column], kind))

    def _of_part(self, plan: PartPlan) -> None:
        car, position, place = whereabouts(plan)
        if car is not None:
            self.cars.setdefault(fold(car), car)
        if car is not None and position is not None:
            self.positions[car, position] = None
        if place is not None:
            self.places.setdefault(fold(place), place)
        seal = plan.cells.seal
        if seal is not None and (plan.state.id is None or "seal" in plan.changed):
            self.seals.setdefault(fold(seal), seal)
        seller = plan.cells.acquired_from
        if seller is not None and (plan.state.id is None or ACQUIRED & plan.changed):
            self.people.setdefault(fold(seller), seller)


def _ids(session: Session, name: Any, key: Any, wanted: Iterable[str]) -> dict[str, int]:
    """The keys of the rows with one of these names, by the form in which names are compared."""
    return {row[0]: row[1] for row in rows_among(session, select(name, key), name, set(wanted))}
