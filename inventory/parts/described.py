"""Writing facts that take the place of others, and with them what is kept from facts of cars, places, instruments."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any, TypeAlias

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.bench.tables import Instrument, InstrumentDescription
from inventory.cars.tables import Car, CarDescription
from inventory.errors import Refused
from inventory.parts import current
from inventory.parts.history import SHARED
from inventory.parts.judgements import in_order
from inventory.parts.tables import Part
from inventory.places.tables import Place, PlaceDescription
from inventory.provenance.tables import ContactDescription
from inventory.store.facts import Act, as_of
from inventory.store.journal import Change
from inventory.store.many import among
from inventory.store.tables import Base, FactColumns
from inventory.store.text import fold
from inventory.teardown.queries import open_strip_downs
from inventory.teardown.tables import StripDown, StripDownEnd

__all__ = ["own_columns", "refuse_nameless", "told_last", "write_facts"]

#: Facts that describe a thing whose row is kept from them, and what the thing is called in `part` (None: it is not).
_DESCRIBED: dict[type[FactColumns], tuple[type[Base], Any]] = {
    CarDescription: (Car, Part.car_id),
    PlaceDescription: (Place, Part.place_id),
    InstrumentDescription: (Instrument, None),
}
#: Rows to be written: new ones, loaded ones that were changed, and changes of others.
Rows: TypeAlias = Sequence[Any]


def own_columns(model: Any) -> list[str]:
    """The columns that are particular to a table of facts."""
    return [name for name in model.__table__.c.keys() if name not in SHARED]  # noqa: SIM118 - no mapping


def write_facts(session: Session, act: Act, rows: Rows) -> None:
    """Write facts, and bring up to date what is kept from them: the rows of parts, cars, places and instruments."""
    described = {model: things for model in _DESCRIBED if (things := _things_of(model, rows))}
    changes = [change for model, things in described.items() for change in _redescribed(session, model, things, rows)]
    current.record(session, act, [*rows, *changes])
    if any(_model_of(row) in (StripDown, StripDownEnd) for row in rows):
        _refuse_two_strip_downs(session)
    for model, things in described.items():
        refers = _DESCRIBED[model][1]
        if refers is not None:
            query = select(Part.__table__).where(among(refers))
            current.reindex(session, session.connection().execute(query, {"keys": sorted(things)}).all())


def _model_of(row: Any) -> Any:
    return row.model if isinstance(row, Change) else type(row)


def _things_of(model: type[FactColumns], rows: Rows) -> set[int]:
    return {row.thing_id for row in rows if _model_of(row) is model}


def _redescribed(session: Session, model: Any, things: set[int], rows: Rows) -> Iterable[Change]:
    """What becomes of the rows that these facts describe: of each column the last word that stands."""
    kept: Any = _DESCRIBED[model][0]
    standing = _standing(session, model, things, rows)
    query = select(kept.__table__).where(among(kept.__table__.c.id))
    for row in session.connection().execute(query, {"keys": sorted(things)}):
        held = row._mapping
        ought: dict[str, Any] = {}
        for name in own_columns(model):
            said = [value for fact in standing[row.id] if (value := getattr(fact, name)) is not None]
            ought[name] = said[-1] if said else None
        ought["name_folded"] = fold(ought["name"])
        if values := {name: value for name, value in ought.items() if held[name] != value}:
            yield Change(kept, row.id, row.id, values)


def _standing(session: Session, model: Any, things: set[int], rows: Rows) -> dict[int, list[Any]]:
    """The facts of a table that stand of each thing once these rows are written, oldest first."""
    loaded = {row.id for row in rows if type(row) is model and row.loaded}
    gone = loaded | {row.key for row in rows if isinstance(row, Change) and row.model is model}
    query = as_of(select(model.__table__).where(among(model.thing_id)), model)
    found: dict[int, list[Any]] = defaultdict(list)
    held = session.connection().execute(query, {"keys": sorted(things)})
    written = [row for row in rows if type(row) is model and row.superseded_by is None]
    for fact in [*(each for each in held if each.id not in gone), *written]:
        found[fact.thing_id].append(fact)
    return defaultdict(list, {thing: in_order(facts) for thing, facts in found.items()})


def told_last(session: Session, facts: Iterable[tuple[Any, Any]]) -> set[tuple[Any, int]]:
    """Of facts (table and row) those that are all that names their thing, so that they stay; by table and key.

    What is first written of a person is one of them: other facts may name that person.
    """
    kept: set[tuple[Any, int]] = set()
    by_model: dict[Any, list[Any]] = defaultdict(list)
    for model, row in facts:
        if model is ContactDescription and not row.reason:
            kept.add((model, row.id))
        elif model in _DESCRIBED:
            by_model[model].append(row)
    for model, rows in by_model.items():
        columns = model.__table__.c
        told = select(columns.thing_id, func.count()).where(among(columns.thing_id), columns.superseded_by.is_(None))
        told = told.group_by(columns.thing_id)
        things = sorted({row.thing_id for row in rows})
        many: dict[int, int] = dict(session.connection().execute(told, {"keys": things}).all())
        kept |= {(model, row.id) for row in rows if many[row.thing_id] < 2}
    return kept


def refuse_nameless(session: Session, facts: Iterable[tuple[Any, Any]]) -> None:
    """Refuse to take back the last fact that names a thing."""
    if told_last(session, facts):
        raise Refused(
            "only-description",
            "This is all that names it, so it cannot be taken back. Nothing was changed",
            hint="correct it instead: matchmark fact correct",
        )


def _refuse_two_strip_downs(session: Session) -> None:
    """Refuse what would leave a car in two open strip-downs at once."""
    cars = [each.car for each in open_strip_downs(session)]
    if twice := next((car for car in cars if cars.count(car) > 1), None):
        raise Refused(
            "strip-down-open",
            f'The car "{twice}" would be in two strip-downs at once. Nothing was changed',
            hint="close the later one first: matchmark teardown close",
        )
