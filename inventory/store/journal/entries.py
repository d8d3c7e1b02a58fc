"""The only way to write rows, and the entries it makes.

Every act leaves one entry for each thing it touches: what became of every row written, chained by hash to that thing's
entry before. Just before the commit the entries of the transaction get their places in the log (`store.log`). Locks
are taken in one order: the things of an act, by their keys, before its moment is fixed; the head of the log last.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple, TypeAlias

from sqlalchemy import UniqueConstraint, func, inspect, select
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import set_committed_value

from inventory.errors import Refused
from inventory.store.connection.engine import is_sqlite
from inventory.store.facts import Act
from inventory.store.journal import log
from inventory.store.journal.guard import DOOR
from inventory.store.journal.images import FORM, Image, canonical, entry_hash, images_of
from inventory.store.journal.insert import insert, update
from inventory.store.journal.keys import reserve
from inventory.store.many import among
from inventory.store.tables import (
    Base,
    DocumentContent,
    JournalEntry,
    Personal,
    SearchEntry,
    Thing,
    columns_of,
)

__all__ = ["FIRST_HASH", "Change", "after_image", "canonical", "lock_things", "write"]

FIRST_HASH = "0" * 64
_NOT_JOURNALED = (Personal, SearchEntry, DocumentContent)
#: What the new rows of each table hold.
_ByTable: TypeAlias = Mapping[type[Base], Sequence[dict[str, Any]]]


class Change(NamedTuple):
    """Columns to change in a row that is not loaded, so that many rows can be changed cheaply."""

    model: type[Base]
    key: int
    thing_id: int
    values: dict[str, Any]


def after_image(row: Base) -> dict[str, object]:
    """All columns of a row, as they stand after the write; read past the ORM's accessors, which cost most."""
    held = vars(row)
    return {name: held.get(name) for name in columns_of(type(row))} if row.loaded else held


def lock_things(session: Session, keys: Iterable[int]) -> None:
    """Lock the things an act will read and write, in the order of their keys, until it ends."""
    wanted = sorted(set(keys))
    if wanted and not is_sqlite(session.get_bind()):
        session.connection().execute(_things_to_lock(), {"keys": wanted})


@cache
def _things_to_lock() -> Any:
    return select(Thing.id).where(among(Thing.id)).order_by(Thing.id).with_for_update()


def write(session: Session, act: Act, rows: Sequence[Base | Change]) -> None:
    """Insert new rows and change old ones, and journal them: one entry for each thing they are of.

    A row without a key gets one. A row that was loaded from this session and changed is updated, as a `Change` is; any
    other is inserted. Each thing is new, or one that the act was begun with, so that it is held and the act's moment is
    later than the thing's last entry. The caller commits.
    """
    session.info[DOOR] = True
    try:
        fresh: list[Base] = []
        by_table: dict[type[Base], list[dict[str, Any]]] = defaultdict(list)
        loaded: list[Base] = []
        given: list[Change] = []
        for row in rows:
            if isinstance(row, Change):
                given.append(row)
            elif row.loaded:
                loaded.append(row)
            else:
                fresh.append(row)
                by_table[type(row)].append(vars(row))
        _give_keys(session, by_table)
        new = {held["id"] for held in by_table.get(Thing, ())}
        act.things.update(new)
        entries = _entries(session, act, fresh, [*_changed(loaded), *given], new)
        _insert(session, by_table)
        _update(session, loaded, given)
        if entries:
            insert(session.connection(), JournalEntry, entries)
            log.note(session, entries)
    finally:
        session.info[DOOR] = False


def _give_keys(session: Session, fresh: _ByTable) -> None:
    for model, rows in fresh.items():
        if unnumbered := [held for held in rows if held.get("id", held) is None]:
            for held, key in zip(unnumbered, reserve(session, model, len(unnumbered)), strict=True):
                held["id"] = key


def _changed(loaded: Iterable[Base]) -> Iterable[Change]:
    """What was changed in rows that came from the session."""
    for row in loaded:
        if isinstance(row, _NOT_JOURNALED):
            continue
        held, before = vars(row), inspect(row).committed_state
        values = {name: held[name] for name, old in before.items() if held[name] != old}
        if values:
            yield Change(type(row), held["id"], held.get("thing_id", held["id"]), values)


def _entries(
    session: Session, act: Act, fresh: Iterable[Base], changes: Iterable[Change], new: Collection[int]
) -> list[dict[str, Any]]:
    """One entry for each thing that these rows are of, by the keys of the things."""
    made: dict[int, list[Image]] = defaultdict(list)
    changed: dict[int, list[Image]] = defaultdict(list)
    for row in fresh:
        if type(row) not in _NOT_JOURNALED:
            held = vars(row)
            key = held["id"]
            made[held.get("thing_id", key)].append((row.__tablename__, key, held))
    for change in changes:
        changed[change.thing_id].append((change.model.__tablename__, change.key, change.values))
    things = sorted(made.keys() | changed.keys())
    if unheld := [thing for thing in things if thing not in act.things]:
        raise RuntimeError(f"the act {act.what} was not begun with the things {unheld[:5]}, which it writes of")
    heads = _heads(session, [thing for thing in things if thing not in new])
    return [_entry(act, thing, heads.get(thing, (0, FIRST_HASH)), made[thing], changed[thing]) for thing in things]


def _entry(
    act: Act, thing_id: int, head: tuple[int, str], made: Sequence[Image], changed: Sequence[Image]
) -> dict[str, Any]:
    entry: dict[str, Any] = {
        "thing_id": thing_id,
        "sequence": head[0] + 1,
        "at": act.at,
        "who_id": act.by_id,
        "act": act.what,
        "act_key": act.key,
        "previous": head[1],
        "form": FORM,
    }
    entry["images"] = images_of(entry, act.today.isoformat(), made, changed)
    entry["hash"] = entry_hash(entry)
    return entry


def _heads(session: Session, things: list[int]) -> dict[int, tuple[int, str]]:
    """The last sequence and hash of each thing's chain."""
    if not things:
        return {}
    found = session.connection().execute(_last_entries(), {"keys": things})
    return {thing: (sequence, digest) for thing, sequence, digest in found}


@cache
def _last_entries() -> Any:
    entry = JournalEntry.__table__.c
    last = (
        select(entry.thing_id, func.max(entry.sequence).label("sequence"))
        .where(among(entry.thing_id))
        .group_by(entry.thing_id)
        .subquery()
    )
    return select(entry.thing_id, entry.sequence, entry.hash).join(
        last, (entry.thing_id == last.c.thing_id) & (entry.sequence == last.c.sequence)
    )


def _insert(session: Session, fresh: _ByTable) -> None:
    for model in sorted(fresh, key=lambda each: _parents_first()[each.__tablename__]):
        insert(session.connection(), model, fresh[model])
        session.info.pop(("reserved", model), None)


@cache
def _parents_first() -> dict[str, int]:
    return {table.name: place for place, table in enumerate(Base.metadata.sorted_tables)}


def _update(session: Session, loaded: Sequence[Base], changes: Sequence[Change]) -> None:
    if not set(loaded).issuperset(session.dirty):
        raise RuntimeError("a row was changed that is not among those to be written")
    session.flush()
    alike: dict[tuple[type[Base], tuple[str, ...]], list[tuple[Any, ...]]] = defaultdict(list)
    for change in changes:
        alike[change.model, tuple(change.values)].append((*change.values.values(), change.key))
    _let_go(session, changes)
    for (model, names), rows in alike.items():
        update(session.connection(), model, names, rows)
    if session.identity_map:
        _bring_up(session, changes)


def _let_go(session: Session, changes: Sequence[Change]) -> None:
    """Before unique texts change: refuse one that another row has, and empty the old ones, so that two can exchange."""
    given: dict[tuple[type[Base], str], dict[int, str]] = defaultdict(dict)
    for change in changes:
        for name in _unique_columns(change.model) & change.values.keys():
            given[change.model, name][change.key] = change.values[name]
    for (model, name), texts in given.items():
        columns = model.__table__.c
        held = select(columns[name]).where(among(columns[name]), columns.id.not_in(texts)).limit(1)
        if (taken := session.connection().scalar(held, {"keys": list(texts.values())})) is not None:
            raise Refused(
                "name-taken",
                f'"{taken}" belongs to another {model.__tablename__.replace("_", " ")} now',
                where=str(taken),
                hint="give that one another first, or leave this as it is",
            )
        if len(texts) > 1:
            update(session.connection(), model, (name,), [(f"\u2043{key}", key) for key in texts])


@cache
def _unique_columns(model: type[Base]) -> frozenset[str]:
    """The columns of a table of which no two rows have the same value, each by itself."""
    table: Any = model.__table__
    rules = (rule for rule in table.constraints if isinstance(rule, UniqueConstraint))
    return frozenset(column.name for rule in rules if len(rule.columns) == 1 for column in rule.columns)


def _bring_up(session: Session, changes: Iterable[Change]) -> None:
    """Refresh rows of this session that were loaded before."""
    for change in changes:
        held = session.identity_map.get(inspect(change.model).identity_key_from_primary_key((change.key,)))
        if held is not None:
            for name, value in change.values.items():
                set_committed_value(held, name, value)
