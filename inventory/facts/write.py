"""Writing facts: the one function that keeps rows of things and search texts up with the facts they come from.

Every action that tells a fact goes through `write`, so a back-dated fact cannot overwrite a newer state and no action
can forget the search text. `recomputed` is what `verify` compares with.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from types import SimpleNamespace
from typing import Any, TypeAlias

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from inventory.facts.declare import Declared, FactKind, ThingKind, declared
from inventory.facts.order import in_order
from inventory.store import journal
from inventory.store.facts import Act
from inventory.store.index import index
from inventory.store.journal import Change
from inventory.store.many import among
from inventory.store.tables import Base, FactColumns

__all__ = ["Rows", "recomputed", "write", "write_new"]

#: Rows to be written: new ones, loaded ones that were changed, and changes of rows that were not loaded.
Rows: TypeAlias = Sequence[Any]
#: The standing facts of each thing, by the names under which they are handed to the judgement of what it is now.
_Standing: TypeAlias = dict[int, dict[str, list[Any]]]


def write(session: Session, act: Act, rows: Rows) -> None:
    """Write rows, and bring up to date what is kept from facts: the rows of the things they tell of, search texts."""
    house = declared(session)
    changed: list[Change] = []
    texts: list[tuple[ThingKind, list[Any]]] = []
    for thing in house.things:
        more, anew = _brought_up(session, house, thing, rows)
        changed += more
        if thing.search is not None:
            texts.append((thing, anew))
    journal.write(session, act, [*rows, *changed])
    for thing, anew in texts:
        index(session, _search_texts(session, house, thing, [*anew, *_named_anew(session, thing, changed, anew)]))
    for kind in {house.fact(table) for row in rows if house.is_fact(table := _table(row))}:
        if kind.holds is not None:
            kind.holds(session)


def write_new(session: Session, act: Act, rows: Sequence[Base], texts: dict[int, str]) -> None:
    """Write rows of new things whose columns say already what their facts come to, and their search texts, by key.

    For parts that are read from a sheet by the thousand. The caller answers for both; `verify` judges them anew.
    """
    journal.write(session, act, rows)
    index(session, texts, fresh=True)


def recomputed(session: Session, thing: ThingKind, rows: Sequence[Any]) -> dict[int, tuple[dict[str, Any], str]]:
    """For each row of a kind of thing what its kept columns and its search text ought to be, from its facts."""
    house = declared(session)
    standing = _standing(session, _kinds_for_now(house, thing), [row.id for row in rows])
    texts = _search_texts(session, house, thing, rows) if thing.search is not None else {}
    return {row.id: (thing.now(_ordered(standing[row.id])), texts.get(row.id, "")) for row in rows}


def _brought_up(session: Session, house: Declared, thing: ThingKind, rows: Rows) -> tuple[list[Change], list[Any]]:
    """What changes in the rows of one kind of thing, and these rows as they are then, new ones included."""
    kinds = _kinds_for_now(house, thing)
    fresh = {row.id: row for row in rows if type(row) is thing.table and not row.loaded}
    told = _told(rows, {kind.table for kind in kinds} | _searched(house, thing)) - fresh.keys()
    if not told and not fresh:
        return [], []
    known = {row.id: row for row in _rows(session, thing.table, told)}
    standing = _standing(session, kinds, list(known), _no_longer(rows))
    names = {kind.table: kind.for_now for kind in kinds}
    for row in rows:
        if type(row) in names and row.superseded_by is None:
            standing[row.thing_id][names[type(row)]].append(row)
    for key, row in fresh.items():
        for name, value in thing.now(_ordered(standing[key])).items():
            setattr(row, name, value)
    changes, anew = [], []
    for key, row in known.items():
        held = row._mapping
        ought = thing.now(_ordered(standing[key]))
        if values := {name: value for name, value in ought.items() if held[name] != value}:
            changes.append(Change(thing.table, key, key, values))
        anew.append(SimpleNamespace(**{**held, **values}))
    return changes, [*fresh.values(), *anew]


def _kinds_for_now(house: Declared, thing: ThingKind) -> list[FactKind]:
    return [kind for kind in house.facts if kind.for_now and thing.word in kind.about]


def _searched(house: Declared, thing: ThingKind) -> set[Any]:
    """The tables of facts whose text is searched, for a kind of thing that is."""
    return {kind.table for kind in house.facts if kind.searched} if thing.search is not None else set()


def _table(row: Any) -> str:
    model: Any = row.model if isinstance(row, Change) else type(row)
    return str(model.__tablename__)


def _told(rows: Rows, tables: set[Any]) -> set[int]:
    """The things that facts of some tables among these rows tell of."""
    return {row.thing_id for row in rows if (row.model if isinstance(row, Change) else type(row)) in tables}


def _no_longer(rows: Rows) -> set[tuple[Any, int]]:
    """Facts that stand in the record and not after this act, by table and key."""
    held: list[Any] = [row for row in rows if isinstance(row, Base) and row.loaded]
    loaded = {(type(row), row.id) for row in held if isinstance(row, FactColumns)}
    return loaded | {(row.model, row.key) for row in rows if isinstance(row, Change)}


def _standing(
    session: Session, kinds: Sequence[FactKind], keys: Sequence[int], without: Iterable[tuple[Any, int]] = ()
) -> _Standing:
    standing: _Standing = defaultdict(lambda: defaultdict(list))
    gone = set(without)
    for kind in kinds if keys else ():
        for fact in session.connection().execute(_standing_facts(kind), {"keys": keys}):
            if (kind.table, fact.id) not in gone:
                standing[fact.thing_id][kind.for_now].append(fact)
    return standing


def _ordered(standing: Mapping[str, list[Any]]) -> dict[str, list[Any]]:
    return {name: in_order(facts) for name, facts in standing.items()}


@cache
def _standing_facts(kind: FactKind) -> Any:
    """The question for the facts of some things that stand, in any order."""
    table = kind.table.__table__
    columns = table.c
    return select(table).where(among(columns.thing_id), columns.superseded_by.is_(None))


@cache
def _rows_of(model: type[Base]) -> Any:
    return select(model.__table__).where(among(model.__table__.c["id"]))


def _rows(session: Session, model: type[Base], keys: Iterable[int]) -> Iterator[Any]:
    """Rows by their keys, as they stand now."""
    wanted = sorted(keys)
    return iter(session.connection().execute(_rows_of(model), {"keys": wanted})) if wanted else iter(())


def _pointers(thing: ThingKind, house: Declared) -> dict[str, ThingKind]:
    """The columns of a thing's row that hold the key of another thing, each with the kind it points to."""
    found = {}
    for column in thing.table.__table__.c:
        for key in column.foreign_keys:
            if (table := key.column.table.name) != "thing" and house.is_thing(table):
                found[column.name] = house.thing(table)
    return found


def _named_anew(session: Session, thing: ThingKind, changes: Iterable[Change], done: Sequence[Any]) -> list[Any]:
    """Rows of a thing in whose search text a name stands that was changed."""
    renamed: dict[str, list[int]] = defaultdict(list)
    for change in changes:
        if "name" in change.values:
            renamed[change.model.__tablename__].append(change.key)
    columns = thing.table.__table__.c
    wheres = {
        column.name: renamed[key.column.table.name]
        for column in columns
        for key in column.foreign_keys
        if key.column.table.name in renamed
    }
    if not wheres:
        return []
    query = select(thing.table.__table__).where(or_(*(among(columns[name], name) for name in wheres)))
    known = {row.id for row in done}
    return [row for row in session.connection().execute(query, wheres) if row.id not in known]


def _search_texts(session: Session, house: Declared, thing: ThingKind, rows: Sequence[Any]) -> dict[int, str]:
    """The search text of each of some rows of things."""
    if not rows or thing.search is None:
        return {}
    pointers = _pointers(thing, house)
    keys = {name: {key for row in rows if isinstance(key := getattr(row, name), int)} for name in pointers}
    names = {name: kind.names(session, keys[name]) if keys[name] else {} for name, kind in pointers.items()}
    remarks = _remarks(session, house, [row.id for row in rows])
    return {
        row.id: thing.search(
            getattr(row, "_mapping", None) or vars(row),
            {name: names[name].get(getattr(row, name), "") for name in pointers},
            remarks.get(row.id, ()),
        )
        for row in rows
    }


def _remarks(session: Session, house: Declared, keys: list[int]) -> dict[int, list[str]]:
    """The texts by which things are found besides their rows, oldest first."""
    found: dict[int, list[str]] = defaultdict(list)
    for kind in house.facts:
        if kind.searched:
            for fact in in_order(session.connection().execute(_standing_facts(kind), {"keys": keys})):
                found[fact.thing_id] += [getattr(fact, column) for column in kind.searched]
    return found
