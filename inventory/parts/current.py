"""Writing facts about parts: the one function that keeps a part's row and its search text up with its facts.

Every action that tells a fact of a part goes through `record`, so a back-dated fact cannot overwrite
a newer state and no action can forget the search text. `recomputed` is what `verify` compares with.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from types import SimpleNamespace
from typing import Any, TypeAlias

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.parts.judgements import Current, PartFacts, current, in_order
from inventory.parts.tables import Assessment, Marking, Note, Part
from inventory.places.tables import Move, Place
from inventory.provenance.tables import Provenance
from inventory.seals.tables import SealSighting
from inventory.store import journal, search
from inventory.store.facts import Act, as_of
from inventory.store.index import index
from inventory.store.journal import Change
from inventory.store.many import among
from inventory.store.tables import Base, FactColumns
from inventory.store.text import fold
from inventory.teardown.tables import Fitting, Removal

__all__ = ["recomputed", "record", "record_new", "reindex", "search_text_of"]

_TABLES: dict[Any, str] = {
    Marking: "markings",
    SealSighting: "sightings",
    Removal: "removals",
    Fitting: "fittings",
    Move: "moves",
    Provenance: "provenance",
    Assessment: "assessments",
}
#: The facts of each part that stand, by the names that `PartFacts` has for them.
_Standing: TypeAlias = dict[int, dict[str, list[Any]]]


def record(session: Session, act: Act, rows: Sequence[Base | Change]) -> None:
    """Write rows, and bring up to date the row and search text of every part they tell of."""
    fresh = {row.id: row for row in rows if isinstance(row, Part)}
    told = _told(rows) - fresh.keys()
    known = {row.id: row for row in _rows(session, Part, told)}
    standing = _standing(session, list(known), _no_longer(rows))
    for row in rows:
        if type(row) in _TABLES and row.superseded_by is None:  # type: ignore[union-attr]
            standing[row.thing_id][_TABLES[type(row)]].append(row)  # type: ignore[union-attr]
    for key, part in fresh.items():
        for name, value in current(_facts(standing[key])).columns().items():
            setattr(part, name, value)
    changed, anew = _changed(known, standing)
    journal.write(session, act, [*rows, *changed])
    index(session, _search_texts(session, [*fresh.values(), *anew], rows))


def _told(rows: Iterable[Base | Change]) -> set[int]:
    """The things that facts among these rows tell of."""
    told = {row.thing_id for row in rows if isinstance(row, FactColumns)}
    return told | {row.thing_id for row in rows if isinstance(row, Change) and issubclass(row.model, FactColumns)}


def _no_longer(rows: Iterable[Base | Change]) -> set[tuple[Any, int]]:
    """Facts that stand in the record and not after this act, by table and key."""
    loaded = {(type(row), row.id) for row in rows if type(row) in _TABLES and row.loaded}  # type: ignore[union-attr]
    return loaded | {(row.model, row.key) for row in rows if isinstance(row, Change)}


def _changed(known: dict[int, Any], standing: _Standing) -> tuple[list[Change], list[Any]]:
    """What changes in the rows of parts on record, and these parts as they are then."""
    changes, anew = [], []
    for key, part in known.items():
        held = part._mapping
        ought = current(_facts(standing[key])).columns()
        if values := {name: value for name, value in ought.items() if held[name] != value}:
            changes.append(Change(Part, key, key, values))
        anew.append(SimpleNamespace(**{**held, **values}))
    return changes, anew


def record_new(session: Session, act: Act, rows: Sequence[Base], texts: dict[int, str]) -> None:
    """Write rows of new parts whose columns say already what `current` judges from their facts, and their search texts.

    For parts that are read from a sheet by the thousand. `texts` by the key of the part. The caller answers for both;
    `verify` judges them anew.
    """
    journal.write(session, act, rows)
    index(session, texts, fresh=True)


def recomputed(session: Session, parts: Sequence[Any]) -> dict[int, tuple[Current, str]]:
    """For each part what its row and its search text ought to be, from its facts."""
    standing = _standing(session, [part.id for part in parts])
    texts = _search_texts(session, parts, ())
    return {part.id: (current(_facts(standing[part.id])), texts[part.id]) for part in parts}


def reindex(session: Session, parts: Sequence[Any]) -> None:
    """Write the search texts of parts anew, after the name of a car, position or place changed."""
    index(session, _search_texts(session, parts, ()))


def _standing(session: Session, keys: list[int], without: Iterable[tuple[Any, int]] = ()) -> _Standing:
    standing: _Standing = defaultdict(lambda: defaultdict(list))
    gone = set(without)
    for model, name in _TABLES.items() if keys else ():
        for fact in session.connection().execute(_standing_facts(model), {"keys": keys}).all():
            if (model, fact.id) not in gone:
                standing[fact.thing_id][name].append(fact)
    return standing


@cache
def _standing_facts(model: Any) -> Any:
    """The question for the facts of some things that stand; put together once, for every act asks it."""
    return as_of(select(model.__table__).where(among(model.thing_id)), model)


def _facts(standing: dict[str, list[Any]]) -> PartFacts:
    return PartFacts(**standing)


def _rows(session: Session, model: type[Base], keys: Iterable[Any]) -> Sequence[Any]:
    """Rows by their keys, as they stand now; what was put in from outside and is no key has none."""
    wanted = sorted({key for key in keys if isinstance(key, int)})
    return session.connection().execute(_rows_of(model), {"keys": wanted}).all() if wanted else ()


@cache
def _rows_of(model: type[Base]) -> Any:
    return select(model.__table__).where(among(model.__table__.c["id"]))


def _search_texts(session: Session, parts: Sequence[Any], rows: Sequence[Base | Change]) -> dict[int, str]:
    cars = {car.id: car.name for car in _rows(session, Car, (part.car_id for part in parts))}
    positions = {row.id: row.name for row in _rows(session, Position, (part.position_id for part in parts))}
    places = {place.id: place.name for place in _rows(session, Place, (part.place_id for part in parts))}
    notes = _notes(session, parts, rows)
    return {
        part.id: _search_text(
            part,
            (cars.get(part.car_id or 0), positions.get(part.position_id or 0)),
            places.get(part.place_id or 0),
            notes.get(part.id, ()),
        )
        for part in parts
    }


def _notes(session: Session, parts: Sequence[Any], rows: Sequence[Base | Change]) -> dict[int, list[str]]:
    """The remarks on each part, oldest first; those of a new part are among the rows just written."""
    fresh = {row.id for row in rows if isinstance(row, Part)}
    told: dict[int, list[Any]] = defaultdict(list)
    if keys := [part.id for part in parts if part.id not in fresh]:
        for note in session.connection().execute(_standing_facts(Note), {"keys": keys}):
            told[note.thing_id].append(note)
    for row in rows:
        if isinstance(row, Note) and row.thing_id in fresh:
            told[row.thing_id].append(row)
    return {key: [note.text for note in in_order(notes)] for key, notes in told.items()}


def _search_text(part: Any, fitted: tuple[str | None, str | None], place: str | None, notes: Iterable[str]) -> str:
    if part.kind is None:  # every fact of it was taken back: nothing finds it
        return search.search_text((), ())
    extra = json.loads(part.extra).values() if part.extra else ()
    return search_text_of(getattr(part, "_mapping", None) or vars(part), extra, fitted, place, notes)


def search_text_of(
    part: Mapping[str, Any],
    extra: Iterable[str],
    fitted: tuple[str | None, str | None],
    place: str | None,
    notes: Iterable[str | None],
    folded: Callable[[str], str] = fold,
) -> str:
    """What a part is found by: the columns of its row, its own columns by name, car and position, place and notes.

    `folded` is `fold`, or what remembers its answers.
    """
    fields = [
        part["tag"],
        part["kind"],
        part["maker"],
        part["part_number"],
        part["serial"],
        part["date_code"],
        part["marks"],
        part["whose"],
        *extra,
        *fitted,
        *notes,
    ]
    whole = (part["match_code"], part["seal_state"], part["condition"], place)
    return search.search_text(fields, whole, folded)
