"""Writes facts, and updates the rows of things and the search texts that follow from them.

All actions write facts with `write`, so that a back-dated fact cannot overwrite a newer state and no action forgets the
search text. `verify` compares with `recomputed`.
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
from inventory.store.facts import Act
from inventory.store.journal import entries as journal
from inventory.store.journal.entries import Change
from inventory.store.journal.index import index
from inventory.store.many import among
from inventory.store.tables import Base

__all__ = ["Rows", "recomputed", "search_anew", "write", "write_anew", "write_new"]

#: Rows to write: new rows, loaded rows that were changed, and changes of rows that are not loaded.
Rows: TypeAlias = Sequence[Any]
#: The facts of each thing that count, by the names of the inputs of `ThingKind.compute_row`.
_Standing: TypeAlias = dict[int, dict[str, list[Any]]]
#: Rows to write, by their table.
_ByTable: TypeAlias = Mapping[Any, Sequence[Any]]


def write(session: Session, act: Act, rows: Rows) -> None:
    """Write rows, and update the rows of the things that the facts are about, and the search texts."""
    registry = declared(session)
    by_table: dict[Any, list[Any]] = defaultdict(list)
    for row in rows:
        by_table[row.model if isinstance(row, Change) else type(row)].append(row)
    changed: list[Change] = []
    texts: list[tuple[ThingKind, list[Any]]] = []
    for thing in registry.things:
        more, anew = _brought_up(session, registry, thing, by_table)
        changed += more
        if thing.search is not None:
            texts.append((thing, anew))
    journal.write(session, act, [*rows, *changed])
    for thing, anew in texts:
        index(session, _search_texts(session, registry, thing, [*anew, *_named_anew(session, thing, changed, anew)]))
    for table in by_table:
        if registry.is_fact(table.__tablename__) and (check := registry.fact(table).check_record) is not None:
            check(session)


def write_new(session: Session, act: Act, rows: Sequence[Base], texts: dict[int, str]) -> None:
    """Write rows of new things whose columns the caller has computed already, and their search texts by key.

    For thousands of parts from a sheet. The caller is responsible for both; `verify` computes them again.
    """
    journal.write(session, act, rows)
    index(session, texts, fresh=True)


def recomputed(session: Session, thing: ThingKind, rows: Sequence[Any]) -> dict[int, tuple[dict[str, Any], str]]:
    """For each row of a kind of thing, its columns and its search text as computed from its facts."""
    registry = declared(session)
    standing = _standing(session, _kinds_for_now(registry, thing), [row.id for row in rows])
    texts = _search_texts(session, registry, thing, rows) if thing.search is not None else {}
    return {row.id: (thing.compute_row(_ordered(standing[row.id]), _held(row)), texts.get(row.id, "")) for row in rows}


def write_anew(session: Session, word: str, keys: Sequence[int]) -> None:
    """Write the rows and search texts of some things anew where a rule has changed since they were written."""
    registry = declared(session)
    thing = registry.thing(word.replace(" ", "_"))
    rows = list(_rows(session, thing.table, keys))
    ought = recomputed(session, thing, rows)
    changes = []
    for row in rows:
        held = row._asdict()
        if values := {name: value for name, value in ought[row.id][0].items() if held[name] != value}:
            changes.append(Change(thing.table, row.id, row.id, values))
    if not changes:
        return
    act = registry.begin_act(session, "rules changed", "matchmark", *(change.key for change in changes))
    journal.write(session, act, changes)
    if thing.search is not None:
        found = _search_texts(
            session, registry, thing, list(_rows(session, thing.table, [each.key for each in changes]))
        )
        index(session, found)


def search_anew(session: Session, word: str) -> None:
    """Write the search texts anew of the things of a kind that have facts with searched texts.

    For a record written while other texts were searched.
    """
    registry = declared(session)
    thing = registry.thing(word.replace(" ", "_"))
    told: set[int] = set()
    for table in _searched(registry, thing):
        told.update(session.scalars(select(table.thing_id).where(table.superseded_by.is_(None)).distinct()))
    keys = sorted(told)
    for start in range(0, len(keys), _TEXTS_AT_A_TIME):
        some = list(_rows(session, thing.table, keys[start : start + _TEXTS_AT_A_TIME]))
        index(session, _search_texts(session, registry, thing, some))


_TEXTS_AT_A_TIME = 5000


def _brought_up(
    session: Session, registry: Declared, thing: ThingKind, by_table: _ByTable
) -> tuple[list[Change], list[Any]]:
    """The changes in the rows of one kind of thing, and these rows after the changes, with new ones."""
    kinds = _kinds_for_now(registry, thing)
    about = {kind.table for kind in kinds} | _searched(registry, thing)
    fresh = {row.id: row for row in by_table.get(thing.table, ()) if not isinstance(row, Change) and not row.loaded}
    touched = {row.thing_id for table in about for row in by_table.get(table, ())} - fresh.keys()
    if not touched and not fresh:
        return [], []
    known = {row.id: row for row in _rows(session, thing.table, touched)}
    standing = _standing(session, kinds, list(known), by_table)
    for kind in kinds:
        for row in by_table.get(kind.table, ()):
            if not isinstance(row, Change) and row.superseded_by is None:
                standing[row.thing_id][kind.row_input].append(row)
    for key, row in fresh.items():
        for name, value in thing.compute_row(_ordered(standing[key]), _held(row)).items():
            setattr(row, name, value)
    changes, anew = [], []
    for key, row in known.items():
        held = row._asdict()
        ought = thing.compute_row(_ordered(standing[key]), held)
        if values := {name: value for name, value in ought.items() if held[name] != value}:
            changes.append(Change(thing.table, key, key, values))
        anew.append(SimpleNamespace(**{**held, **values}))
    return changes, [*fresh.values(), *anew]


def _kinds_for_now(registry: Declared, thing: ThingKind) -> list[FactKind]:
    return [kind for kind in registry.facts if kind.row_input and thing.word in kind.about]


def _searched(registry: Declared, thing: ThingKind) -> set[Any]:
    """The tables of facts with searched texts, if this kind of thing has search texts."""
    if thing.search is None:
        return set()
    return {kind.table for kind in registry.facts if kind.searched or kind.searched_whole}


def _standing(
    session: Session, kinds: Sequence[FactKind], keys: Sequence[int], without: _ByTable | None = None
) -> _Standing:
    """The facts on record that count; `without`: those that these rows replace are left out."""
    standing: _Standing = defaultdict(lambda: defaultdict(list))
    for kind in kinds if keys else ():
        gone = {row.key if isinstance(row, Change) else row.id for row in (without or {}).get(kind.table, ())}
        for fact in session.connection().execute(_standing_facts(kind), {"keys": keys}).all():
            if fact.id not in gone:
                standing[fact.thing_id][kind.row_input].append(fact)
    return standing


def _held(row: Any) -> Mapping[str, Any]:
    """The columns of a row."""
    columns: Mapping[str, Any] = getattr(row, "_mapping", None) or vars(row)
    return columns


def _ordered(standing: Mapping[str, list[Any]]) -> dict[str, list[Any]]:
    return {name: in_order(facts) for name, facts in standing.items()}


@cache
def _standing_facts(kind: FactKind) -> Any:
    """The query for the facts of some things that count, in any order."""
    table = kind.table.__table__
    columns = table.c
    return select(table).where(among(columns.thing_id), columns.superseded_by.is_(None))


@cache
def _rows_of(model: type[Base]) -> Any:
    return select(model.__table__).where(among(model.__table__.c["id"]))


def _rows(session: Session, model: type[Base], keys: Iterable[int]) -> Iterator[Any]:
    """The current rows with these keys."""
    wanted = sorted(keys)
    return iter(session.connection().execute(_rows_of(model), {"keys": wanted})) if wanted else iter(())


def _pointers(thing: ThingKind, registry: Declared) -> dict[str, ThingKind]:
    """The columns of a thing's row that refer to another thing, each with its kind."""
    found = {}
    for column in thing.table.__table__.c:
        for key in column.foreign_keys:
            if (table := key.column.table.name) != "thing" and registry.is_thing(table):
                found[column.name] = registry.thing(table)
    return found


def _named_anew(session: Session, thing: ThingKind, changes: Iterable[Change], done: Sequence[Any]) -> list[Any]:
    """The rows of a kind of thing whose search text contains a changed name."""
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


def _search_texts(session: Session, registry: Declared, thing: ThingKind, rows: Sequence[Any]) -> dict[int, str]:
    """The search texts of some rows of things, by key."""
    if not rows or thing.search is None:
        return {}
    pointers = _pointers(thing, registry)
    keys = {name: {key for row in rows if isinstance(key := getattr(row, name), int)} for name in pointers}
    names = {name: kind.names(session, keys[name]) if keys[name] else {} for name, kind in pointers.items()}
    remarks, whole = _remarks(session, registry, [row.id for row in rows])
    return {
        row.id: thing.search(
            _held(row),
            {name: names[name].get(getattr(row, name), "") for name in pointers},
            remarks.get(row.id, ()),
            whole.get(row.id, ()),
        )
        for row in rows
    }


def _remarks(
    session: Session, registry: Declared, keys: list[int]
) -> tuple[dict[int, list[str]], dict[int, list[str]]]:
    """Further searched texts of some things, by key, oldest first; and those that short words find as a whole."""
    found: dict[int, list[str]] = defaultdict(list)
    whole: dict[int, list[str]] = defaultdict(list)
    for kind in registry.facts:
        if kind.searched or kind.searched_whole:
            for fact in in_order(session.connection().execute(_standing_facts(kind), {"keys": keys})):
                found[fact.thing_id] += [getattr(fact, column) for column in kind.searched]
                for column in kind.searched_whole:
                    if text := getattr(fact, column):
                        whole[fact.thing_id].append(text)
                        found[fact.thing_id].append(f"{column} {text}")
    return found, whole
