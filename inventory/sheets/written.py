"""Turning the plan of a read into rows of the record: the facts that each row of a sheet becomes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.actions import new_position
from inventory.cars.queries import cars
from inventory.cars.tables import Position, PositionListing
from inventory.parts.actions import condition_rows, number_row
from inventory.parts.markings import Markings
from inventory.parts.tables import Fit, Marking, Note
from inventory.places.actions import new_place
from inventory.places.tables import Move, Place
from inventory.provenance.actions import new_contact, provenance_fact
from inventory.provenance.tables import Provenance
from inventory.reference.data import PROGRAM
from inventory.seals.actions import sighting
from inventory.sheets.cells import UNDATED, told_when
from inventory.sheets.differences import new_notes, standing_acquisition, standing_value
from inventory.sheets.facts import FACT_SHEETS, FROM_A_SHEET, Target, built, table_of
from inventory.sheets.part_cells import FROM_ITSELF, PartCells
from inventory.sheets.plan import FactPlan, PartPlan
from inventory.sheets.queries import PartState, contact_ids
from inventory.store.dates import FIRST_DAY, When, parse_when
from inventory.store.facts import Act, fact_id, make_fact, take_place
from inventory.store.keys import supersede
from inventory.store.tables import Base, FactColumns
from inventory.store.text import fold, squeeze
from inventory.teardown.tables import Fitting, Removal
from inventory.worth.tables import Valuation

__all__ = ["LIST_TABLES", "Named", "fact_rows", "list_rows", "part_rows"]

#: How a part came that is now held so; of our own, a price says that it was bought.
_CAME_AS = {"customer's": "left here by a customer", "lent in": "lent in", "lent out": "lent out"}


@dataclass
class Named:
    """The keys behind the names in a file: cars, positions, places and people; `rows` makes those that are new.

    `day`: when what a cell gives no day for was so; `undated`: some day up to now.
    """

    session: Session
    act: Act
    day: When
    undated: When
    rows: list[Base] = field(default_factory=list)
    _cars: dict[str, int] = field(default_factory=dict)
    _places: dict[str, int] = field(default_factory=dict)
    _positions: dict[tuple[int, str], int] = field(default_factory=dict)
    _numbers: dict[str, int] = field(default_factory=dict)
    people: dict[str, int] = field(default_factory=dict)

    @classmethod
    def of(cls, session: Session, act: Act, day: When, people: Iterable[str]) -> Named:
        """With everything that is on record read once."""
        undated = When(f"../{act.today.isoformat()}", UNDATED, FIRST_DAY, act.today)
        named = cls(session, act, day, undated, people=contact_ids(session, people))
        named._cars = {fold(car.name): car.id for car in cars(session)}
        named._places = {row.name_folded: row.id for row in session.execute(select(Place.name_folded, Place.id))}
        positions = session.execute(select(Position.car_id, Position.name_folded, Position.id))
        named._positions = {(row.car_id, row.name_folded): row.id for row in positions}
        return named

    def car(self, name: str) -> int:
        """The key of a car that is on record."""
        return self._cars[fold(name)]

    def place(self, name: str) -> int:
        """The key of a place; a shelf that a sheet names is a place."""
        key = fold(name)
        if key not in self._places:
            self._places[key], made = new_place(self.session, self.act, name, self.day)
            self.rows += made
        return self._places[key]

    def position(self, car_id: int, name: str) -> int:
        """The key of a position on a car."""
        key = (car_id, fold(name))
        if key not in self._positions:
            self._positions[key], made = new_position(self.session, car_id, name)
            self.rows += made
        return self._positions[key]

    def person(self, name: str) -> int:
        """The key of a person or firm."""
        key = fold(name)
        if key not in self.people:
            self.people[key], made = new_contact(self.session, self.act, name, self.day)
            self.rows += made
        return self.people[key]

    def number(self, written: str, kind_name: str) -> int:
        """The key of a part number of which something is told."""
        key = squeeze(written)
        if key not in self._numbers:
            self._numbers[key], made = number_row(self.session, written, kind_name)
            self.rows += made
        return self._numbers[key]

    def take_rows(self) -> list[Base]:
        """The rows that make what is new, handed over once."""
        made, self.rows = self.rows, []
        return made


def part_rows(plan: PartPlan, part_id: int, named: Named, old_rows: Mapping[str, Any]) -> list[Base]:
    """The facts that a row of parts becomes, and the facts whose place they take."""
    cells, state, changed, act = plan.cells, plan.state, plan.changed, named.act
    rows: list[Base] = []
    if marked := _marked(cells, state, changed):
        rows.append(make_fact(Marking, act, part_id, named.day, how_known=FROM_A_SHEET, **marked))
    if "seal state" in changed:
        seal = cells.seal or _first_seal(cells.kind or state.kind)
        rows.append(sighting(act, part_id, seal, cells.seal_state or "", named.day, how_known=FROM_A_SHEET))
    if "condition" in changed:
        rows += condition_rows(act, part_id, named.day, int(cells.condition or 0), None, None)
    if {"car", "position", "place"} & changed:
        rows += _whereabouts(cells, state, part_id, named, changed)
    rows += _owned(cells, state, changed, part_id, named, old_rows)
    if "value" in changed:
        rows += _valued(cells, state, part_id, named, old_rows)
    if "notes" in changed:
        text = new_notes(cells.notes, state.notes)
        rows.append(make_fact(Note, act, part_id, named.day, how_known=FROM_A_SHEET, text=text))
    return rows


def _marked(cells: PartCells, state: PartState, changed: frozenset[str]) -> dict[str, Any]:
    """The columns of a marking that changed. Code, its state and where it was read belong together."""
    said: dict[str, Any] = {
        name: getattr(cells, name)
        for name in ("kind", "maker", "part_number", "serial", "date_code", "marks")
        if name.replace("_", " ") in changed
    }
    if {"match code", "match code read from"} & changed:
        code, word = cells.match_code or (state.match_code, state.match_code_state)
        origin = cells.read_from or (None if "match code" in changed else state.match_code_read_from)
        said |= {
            "match_code": code,
            "match_code_state": word,
            "match_code_read_from": None if origin == FROM_ITSELF else origin,
        }
    own = {name: text for name, text in cells.extra.items() if state.extra.get(name) != text}
    if own:
        said["extra"] = own
    return Markings(**said).columns() if said else {}


def _first_seal(kind_name: str | None) -> str:
    """The seal meant where a sheet gives only a state: the first that the kind has."""
    return next(iter(PROGRAM.kind(kind_name).seals), "seal") if kind_name else "seal"


def _whereabouts(
    cells: PartCells, state: PartState, part_id: int, named: Named, changed: frozenset[str]
) -> Iterable[Base]:
    """A car without a place: fitted there. A car and a place: it came off that car and lies there."""
    act, when = named.act, named.day
    car = cells.car or (state.car if cells.position else None)
    came_off = cells.place is not None and (state.fitted or bool({"car", "position"} & changed))
    if car is not None and (cells.place is None or came_off):
        car_id = named.car(car)
        position = cells.position or (state.position if not {"car"} & changed else None)
        position_id = named.position(car_id, position) if position else None
        model = Fitting if cells.place is None else Removal
        fact: Any = make_fact(model, act, part_id, when, how_known=FROM_A_SHEET, car_id=car_id, position_id=position_id)
        yield fact
    if cells.place is not None and ("place" in changed or came_off):
        yield make_fact(Move, act, part_id, when, how_known=FROM_A_SHEET, place_id=named.place(cells.place))


def _owned(
    cells: PartCells, state: PartState, changed: frozenset[str], part_id: int, named: Named, old_rows: Mapping[str, Any]
) -> Iterable[Base]:
    """How the part came, and whose it is where that differs from what is on record."""
    whose = cells.whose or state.whose
    came = {"acquired on", "acquired from", "price"} & changed
    lane = "title" if whose in ("own", "lent out") else "custody"
    if came:
        yield from _came(cells, state, part_id, named, old_rows, lane)
    if "whose" in changed and (state.id is not None or not came or whose == "lent out"):
        yield provenance_fact(
            named.act, part_id, named.undated, _CAME_AS.get(whose, "not known"), lane=lane, whose=whose
        )


def _came(
    cells: PartCells,
    state: PartState,
    part_id: int,
    named: Named,
    old_rows: Mapping[str, Any],
    lane: str,
) -> Iterable[Base]:
    """How the part came: a fact of its own, or one in the place of what was said of it before."""
    old, whose = standing_acquisition(state), cells.whose or state.whose
    row = old_rows[fact_id(Provenance, old.id)] if old else None
    price = cells.price or ((old.price, old.currency) if old and old.price else None)
    party = cells.acquired_from or (old.party if old else None)
    how = old.how if old else _CAME_AS.get(whose, "bought" if price else "not known")
    fact = provenance_fact(
        named.act,
        part_id,
        cells.acquired_on or (_when_of(old.on, old.told) if old else named.undated),
        "not known" if how == "lent out" else how,
        lane=row.lane if row else lane,
        whose=row.whose if row else cells.whose if state.id is None and whose != "lent out" else None,
        party_id=named.person(party) if party else None,
        attribution=row.attribution if row else "seen by us",
        price=price,
        document_id=row.document_id if row else None,
        text=row.text if row else None,
    )
    yield from _in_place_of(named, row, fact)


def _when_of(edtf: str, told: str | None) -> When:
    when = parse_when(edtf)
    return When(edtf, told or "", when.earliest, when.latest)


def _valued(
    cells: PartCells, state: PartState, part_id: int, named: Named, old_rows: Mapping[str, Any]
) -> Iterable[Base]:
    """A value; it takes the place of one on the same basis only where the row names the day of both."""
    amount, currency = cells.value or ("", "")
    standing = standing_value(cells, state) if cells.value_on is not None else None
    row = old_rows[fact_id(Valuation, standing.id)] if standing else None
    fact = make_fact(
        Valuation,
        named.act,
        part_id,
        cells.value_on or named.day,
        how_known=FROM_A_SHEET,
        amount=amount,
        currency=currency,
        basis=cells.value_basis or (standing.basis if standing else "not stated"),
        source=row.source if row else None,
        capacity=row.capacity if row else None,
    )
    yield from _in_place_of(named, row, fact)


def _in_place_of(named: Named, old: Any, fact: Any) -> Iterable[Base]:
    """A fact, and the one it takes the place of, if there is one."""
    if old is not None:
        supersede(named.session, named.act, old, fact)
        fact.reason = "changed in a sheet"
        take_place(fact, old)
        yield old
    yield fact


def fact_rows(plan: FactPlan, part_id: int, named: Named, old_rows: Mapping[str, Any]) -> list[Base]:
    """The fact that a row of seals, values, provenance or runs becomes, and the one whose place it takes."""
    sheet = FACT_SHEETS[plan.sheet]
    if "party" in plan.cells:
        named.person(plan.cells["party"])
    old = old_rows[fact_id(table_of(sheet), plan.old)] if plan.old is not None else None
    document_id = getattr(old, "document_id", None)
    fact = built(sheet, Target(named.act, part_id, named.people, named.day), plan.cells, plan.told, document_id)
    return list(_in_place_of(named, old, fact))


def list_rows(plan: FactPlan, about: tuple[str, str], named: Named, old_rows: Mapping[str, Any]) -> list[Base]:
    """The fact that a row of positions or fits becomes."""
    when = told_when(plan.cells["on"], plan.told) if "on" in plan.cells else named.day
    old = old_rows[fact_id(LIST_TABLES[plan.sheet], plan.old)] if plan.old is not None else None
    if plan.sheet == "fits":
        sensor = named.number(about[0], "pressure sensor")
        values: dict[str, Any] = {"unit_number_id": named.number(about[1], "control unit"), "fits": plan.cells["fits"]}
        fact: FactColumns = make_fact(Fit, named.act, sensor, when, how_known="from a list", **values)
        return list(_in_place_of(named, old, fact))
    position = named.position(named.car(about[0]), about[1])
    values = {name.replace(" ", "_"): plan.cells.get(name) for name in _LISTED}
    values["ordinal"] = int(plan.cells["order"]) if "order" in plan.cells else None
    if not any(value is not None for value in values.values()):
        return []
    fact = make_fact(PositionListing, named.act, position, when, how_known="from a list", **values)
    return list(_in_place_of(named, old, fact))


_LISTED = ("kind", "maker", "part number", "axis", "fasteners", "connections", "mounts")
#: The tables of the sheets that are not about single parts.
LIST_TABLES = {"positions": "position_listing", "fits": "fit"}
