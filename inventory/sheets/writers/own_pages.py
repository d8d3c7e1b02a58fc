"""The pages of all that has no sheet to fill in: facts of every other kind, people, part numbers, documents."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.documents.tables import Document
from inventory.facts.declare import FactKind, declared
from inventory.facts.views import FactView, views
from inventory.parts.tables import PartNumber
from inventory.people.queries import HAND, contacts
from inventory.sheets.columns.catalogue import SheetKind
from inventory.sheets.columns.own_sheets import OF_THINGS, OWN_SHEETS
from inventory.sheets.plan.fact_cells import cells_of
from inventory.store.days.clock import today
from inventory.store.facts import split_fact_id
from inventory.store.many import among
from inventory.store.personal import BLANKED
from inventory.store.tables import RecordInfo, Thing
from inventory.store.words.text import fold

__all__ = ["ThingNames", "own_rows"]

_CHUNK = 2000


class ThingNames:
    """The columns that name a thing, by its key; things made by mistake have none."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._cars = {car.id: car.name or "" for car in session.scalars(select(Car).where(Car.taken_away.is_(None)))}
        rows = session.execute(select(Position.id, Position.car_id, Position.name, Position.taken_away))
        self.positions = {
            key: (self._cars[car], name or "") for key, car, name, gone in rows if gone is None and car in self._cars
        }

    def of(self, keys: Iterable[int], sheet: SheetKind) -> dict[int, dict[str, str]]:
        """For each key the cells of the columns that say what a row of this sheet is about."""
        wanted = set(keys)
        tables = dict(self._session.execute(select(Thing.id, Thing.kind).where(among(Thing.id, wanted))).all())
        found: dict[int, dict[str, str]] = {key: {} for key, table in tables.items() if table == "record_info"}
        found |= {key: {"car": name} for key, name in self._cars.items() if key in wanted}
        found |= {key: {"car": at[0], "position": at[1]} for key, at in self.positions.items() if key in wanted}
        registry = declared(self._session)
        for column, table in sheet.things.items():
            if table not in ("car", "position"):
                some = [key for key, each in tables.items() if each == table]
                found |= {key: {column: name} for key, name in registry.thing(table).names(self._session, some).items()}
        return found


def own_rows(session: Session, elsewhere: Set[str]) -> Iterator[tuple[SheetKind, list[dict[str, str]]]]:
    """The rows of each of these sheets that has any. `elsewhere`: the facts that stand in other sheets, by id."""
    for sheet in OF_THINGS:
        if rows := list(_rows_of_things(session, sheet)):
            yield sheet, rows
    names = ThingNames(session)
    for sheet in OWN_SHEETS:
        if sheet.fact is not None and (rows := _rows_of_facts(session, sheet, sheet.fact, names, elsewhere)):
            yield sheet, rows


def _rows_of_facts(
    session: Session, sheet: SheetKind, kind: FactKind, names: ThingNames, elsewhere: Set[str]
) -> list[dict[str, str]]:
    table = kind.table
    standing = list(session.scalars(select(table).where(table.superseded_by.is_(None))))
    found: list[tuple[Any, dict[str, str]]] = []
    for start in range(0, len(standing), _CHUNK):
        some = standing[start : start + _CHUNK]
        places = {row.id: _positions_in_full(row, sheet, names.positions) for row in some}
        things = names.of({row.thing_id for row in some}, sheet)
        for fact in views(session, some):
            if fact.id in elsewhere or (fact.thing_id not in things and not sheet.told):
                continue
            about = things.get(fact.thing_id, {})
            in_full = places[(split_fact_id(fact.id) or ("", 0))[1]]
            row = {"fact": fact.id, **about, **cells_of(kind, fact), **in_full}
            found.append((_order(about, row, fact), row))
    session.expunge_all()
    return [row for _, row in sorted(found, key=lambda each: each[0])]


def _order(about: Mapping[str, str], row: Mapping[str, str], fact: FactView) -> tuple[Any, ...]:
    """By thing and day, as they count: so that facts read back in this order count as they did."""
    return (tuple(map(fold, about.values())), "on" in row, fact.counts_from, fact.ranked, split_fact_id(fact.id))


def _positions_in_full(row: Any, sheet: SheetKind, positions: Mapping[int, tuple[str, str]]) -> dict[str, str]:
    """Positions as CAR / POSITION where neither the fact nor its thing says which car."""
    if {"car", "position"} & sheet.things.keys() or "car" in sheet.values:
        return {}
    named = [value.name for value in sheet.values.values() if value.refers == "position"]
    keys = {name: getattr(row, f"{name.replace(' ', '_')}_id") for name in named}
    return {name: " / ".join(positions[key]) for name, key in keys.items() if key in positions}


def _rows_of_things(session: Session, sheet: SheetKind) -> Iterable[dict[str, str]]:
    """The rows of people, part numbers and documents, and the one of the record."""
    if sheet.name == "contacts":
        known = [each for each in contacts(session) if each.role != HAND and each.name != BLANKED]
        return [_filled(sheet, (each.name, each.role, each.address, each.telephone)) for each in known]
    if sheet.name == "part numbers":
        numbers = session.scalars(select(PartNumber).order_by(PartNumber.squeezed))
        return [_filled(sheet, (each.written, each.kind)) for each in numbers]
    if sheet.name == "documents":
        documents = session.scalars(select(Document).order_by(Document.file_name, Document.digest))
        return [
            _filled(sheet, (each.file_name, each.digest, each.media_type, each.size, each.taken_on, each.taken_from))
            for each in documents
        ]
    (info,) = session.scalars(select(RecordInfo))
    return [_filled(sheet, (info.identity, info.zone, info.made_by, info.made_at[:10], today().isoformat()))]


def _filled(sheet: SheetKind, values: Sequence[object]) -> dict[str, str]:
    return {column: str(value) for column, value in zip(sheet.columns, values, strict=True) if value not in (None, "")}
