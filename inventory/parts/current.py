"""Writing facts about parts: the one function that keeps a part's row and its search text up with its facts.

Every action that tells a fact of a part goes through `record`, so a back-dated fact cannot overwrite
a newer state and no action can forget the search text. `recomputed` is what `verify` compares with.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.parts.judgements import Current, PartFacts, current
from inventory.parts.tables import Assessment, Marking, Note, Part
from inventory.places.tables import Move, Place
from inventory.provenance.tables import Provenance
from inventory.seals.tables import SealSighting
from inventory.store import journal, search
from inventory.store.facts import Act, as_of
from inventory.store.index import index
from inventory.store.tables import Base, FactColumns
from inventory.teardown.tables import Fitting, Removal

__all__ = ["recomputed", "record", "reindex"]

_TABLES: dict[Any, str] = {
    Marking: "markings",
    SealSighting: "sightings",
    Removal: "removals",
    Fitting: "fittings",
    Move: "moves",
    Provenance: "provenance",
    Assessment: "assessments",
}
_CHUNK = 500


def record(session: Session, act: Act, rows: Sequence[Base]) -> None:
    """Write rows, and bring up to date the row and search text of every part they tell of."""
    fresh = {row.id: row for row in rows if isinstance(row, Part)}
    told = {row.thing_id for row in rows if isinstance(row, FactColumns)} - set(fresh)
    journal.lock_things(session, told)
    known = {part.id: part for part in _load(session, Part, told, anew=True)}
    standing = _standing(session, list(known))
    for row in rows:
        if type(row) in _TABLES:
            _add(standing[row.thing_id], row)  # type: ignore[attr-defined]
    parts = fresh | known
    for key, part in parts.items():
        held = vars(part)
        for name, value in current(_facts(standing[key])).columns().items():
            if held[name] != value:
                setattr(part, name, value)
    changed = [part for part in known.values() if part in session.dirty]
    journal.write(session, act, [*rows, *changed])
    index(session, _search_texts(session, list(parts.values()), rows))


def recomputed(session: Session, parts: Sequence[Part]) -> dict[int, tuple[Current, str]]:
    """For each part what its row and its search text ought to be, from its facts."""
    standing = _standing(session, [part.id for part in parts])
    texts = _search_texts(session, parts, ())
    return {part.id: (current(_facts(standing[part.id])), texts[part.id]) for part in parts}


def reindex(session: Session, parts: Sequence[Part]) -> None:
    """Write the search texts of parts anew, after the name of a car, position or place changed."""
    index(session, _search_texts(session, parts, ()))


def _standing(session: Session, keys: list[int]) -> dict[int, dict[str, list[Any]]]:
    standing: dict[int, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for start in range(0, len(keys), _CHUNK):
        chunk = keys[start : start + _CHUNK]
        for model in _TABLES:
            for fact in session.scalars(_standing_facts(model), {"keys": chunk}):
                _add(standing[fact.thing_id], fact)
    return standing


@cache
def _standing_facts(model: Any) -> Any:
    """The question for the facts of some things that stand; put together once, for every act asks it."""
    return as_of(select(model).where(model.thing_id.in_(bindparam("keys", expanding=True))), model)


@cache
def _rows(model: Any) -> Any:
    """The question for rows by their keys."""
    return select(model).where(model.id.in_(bindparam("keys", expanding=True)))


def _add(facts: dict[str, list[Any]], fact: Any) -> None:
    """Put a fact to the others, unless this session has just superseded it."""
    if fact.superseded_by is None:
        facts[_TABLES[type(fact)]].append(fact)


def _facts(standing: dict[str, list[Any]]) -> PartFacts:
    return PartFacts(**standing)


def _load(session: Session, model: type[Base], keys: Iterable[int | None], *, anew: bool = False) -> list[Any]:
    """Rows by their keys; `anew`: as they stand now, where somebody else wrote while this session waited."""
    wanted = sorted({key for key in keys if key is not None})
    found: list[Any] = []
    for start in range(0, len(wanted), _CHUNK):
        chunk = wanted[start : start + _CHUNK]
        found.extend(session.scalars(_rows(model), {"keys": chunk}, execution_options={"populate_existing": anew}))
    return found


def _search_texts(session: Session, parts: Sequence[Part], rows: Sequence[Base]) -> dict[int, str]:
    cars = {car.id: car.name for car in _load(session, Car, (part.car_id for part in parts))}
    positions = {row.id: row.name for row in _load(session, Position, (part.position_id for part in parts))}
    places = {place.id: place.name for place in _load(session, Place, (part.place_id for part in parts))}
    fresh = {row.id for row in rows if isinstance(row, Part)}
    notes = _notes(session, {part.id for part in parts} - fresh)
    for row in rows:
        if isinstance(row, Note) and row.thing_id in fresh:
            notes[row.thing_id].append(row)
    return {
        part.id: _search_text(
            part,
            (cars.get(part.car_id or 0), positions.get(part.position_id or 0)),
            places.get(part.place_id or 0),
            [note.text for note in notes[part.id]],
        )
        for part in parts
    }


def _notes(session: Session, keys: set[int]) -> dict[int, list[Note]]:
    notes: dict[int, list[Note]] = defaultdict(list)
    wanted = sorted(keys)
    for start in range(0, len(wanted), _CHUNK):
        chunk = wanted[start : start + _CHUNK]
        for note in session.scalars(_standing_facts(Note), {"keys": chunk}):
            notes[note.thing_id].append(note)
    return notes


def _search_text(part: Part, fitted: tuple[str | None, str | None], place: str | None, notes: list[str]) -> str:
    if part.kind is None:  # every fact of it was taken back: nothing finds it
        return search.search_text((), ())
    fields = [
        part.tag,
        part.kind,
        part.maker,
        part.part_number,
        part.serial,
        part.date_code,
        part.marks,
        part.whose,
        *(json.loads(part.extra).values() if part.extra else ()),
        *fitted,
        *notes,
    ]
    return search.search_text(fields, (part.match_code, part.seal_state, part.condition, place))
