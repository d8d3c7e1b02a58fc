"""The only door through which rows are written, and what it leaves behind.

Every act leaves one entry for each thing it touches: the after-image of every row written, chained
by hash to that thing's entry before. A checkpoint of 64 rows sums entry hashes, so that a missing
tail or a whole missing chain shows. Locks are taken in the order thing, then checkpoint row; the
rows of a write are grouped by thing, things in the order of their keys.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cache
from typing import Any

import orjson
from sqlalchemy import bindparam, func, select, update
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.store.engine import is_sqlite
from inventory.store.facts import Act
from inventory.store.guard import DOOR
from inventory.store.insert import insert
from inventory.store.keys import reserve
from inventory.store.tables import (
    Base,
    Checkpoint,
    DocumentContent,
    JournalEntry,
    Personal,
    SearchEntry,
    Thing,
    columns_of,
)

__all__ = ["FIRST_HASH", "SLOTS", "after_image", "canonical", "entry_hash", "lock_things", "write"]

SLOTS = 64
FIRST_HASH = "0" * 64
_MODULUS = 1 << 256
_NOT_JOURNALED = (Personal, SearchEntry, DocumentContent)
_LOOKUP_CHUNK = 500


def canonical(value: object) -> str:
    """Canonical JSON of texts, whole numbers and what is made of them: sorted keys, no blanks, text as it is."""
    try:
        return orjson.dumps(value, option=orjson.OPT_SORT_KEYS).decode()
    except TypeError:  # half characters and large numbers, which json writes in the same way
        return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def after_image(row: Base) -> dict[str, object]:
    """All columns of a row, as they stand after the write; read past the ORM's accessors, which cost most."""
    held = vars(row)
    return {name: held.get(name) for name in columns_of(type(row))} if row.loaded else held


def entry_hash(entry: Mapping[str, Any]) -> str:
    """SHA-256 over everything in an entry but its own hash."""
    return hashlib.sha256(canonical({k: v for k, v in entry.items() if k != "hash"}).encode()).hexdigest()


def lock_things(session: Session, keys: Iterable[int]) -> None:
    """Hold the things an act will read and write, in the order of their keys, until it ends."""
    if not is_sqlite(session.get_bind()):
        wanted = sorted(set(keys))
        session.execute(select(Thing.id).where(Thing.id.in_(wanted)).order_by(Thing.id).with_for_update())


def write(session: Session, act: Act, rows: Sequence[Base]) -> None:
    """Insert new rows and update changed ones, and journal them: one entry for each thing they are of.

    A row without a key gets one. A row that was loaded from this session and changed is updated, any
    other inserted. The caller commits.
    """
    session.info[DOOR] = True
    try:
        _give_keys(session, rows)
        images = [after_image(row) for row in rows]
        new = {row.id for row in rows if isinstance(row, Thing)}
        written = _by_thing(rows, images)
        lock_things(session, written.keys() - new)
        _store(session, rows, images)
        _journal(session, act, written, new)
    finally:
        session.info[DOOR] = False


def _give_keys(session: Session, rows: Sequence[Base]) -> None:
    missing: dict[type[Base], list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        held = vars(row)
        if held.get("id", held) is None:
            missing[type(row)].append(held)
    for model, unnumbered in missing.items():
        for held, key in zip(unnumbered, reserve(session, model, len(unnumbered)), strict=True):
            held["id"] = key


def _by_thing(rows: Sequence[Base], images: Sequence[Mapping[str, Any]]) -> dict[int, list[tuple[str, Any, Any]]]:
    """What goes into the journal of each thing: table, key and after-image of its rows, in their order."""
    written: dict[int, list[tuple[str, Any, Any]]] = {}
    for row, image in zip(rows, images, strict=True):
        if not isinstance(row, _NOT_JOURNALED):
            key = image["id"]
            written.setdefault(image.get("thing_id", key), []).append((row.__tablename__, key, image))
    return written


def _store(session: Session, rows: Sequence[Base], images: Sequence[Mapping[str, Any]]) -> None:
    fresh: dict[type[Base], list[Mapping[str, Any]]] = defaultdict(list)
    loaded = set()
    for row, image in zip(rows, images, strict=True):
        if row.loaded:
            loaded.add(row)
        else:
            fresh[type(row)].append(image)
    for model in sorted(fresh, key=lambda each: _parents_first()[each.__tablename__]):
        insert(session.connection(), model, fresh[model])
        session.info.pop(("reserved", model), None)
    if not loaded.issuperset(session.dirty):
        raise RuntimeError("a row was changed that is not among those to be written")
    session.flush()


@cache
def _parents_first() -> dict[str, int]:
    return {table.name: place for place, table in enumerate(Base.metadata.sorted_tables)}


def _journal(
    session: Session, act: Act, written: Mapping[int, list[tuple[str, Any, Any]]], new: Collection[int]
) -> None:
    heads = _heads(session, [thing for thing in written if thing not in new])
    entries = []
    for thing_id in sorted(written):
        sequence, previous = heads.get(thing_id, (0, FIRST_HASH))
        entry: dict[str, Any] = {
            "thing_id": thing_id,
            "sequence": sequence + 1,
            "at": act.at,
            "who_id": act.by_id,
            "act": act.what,
            "act_key": act.key,
            "images": canonical(written[thing_id]),
            "previous": previous,
        }
        entry["hash"] = entry_hash(entry)
        entries.append(entry)
    if entries:
        insert(session.connection(), JournalEntry, entries)
        _sum_up(session, entries)


def _heads(session: Session, things: list[int]) -> dict[int, tuple[int, str]]:
    """The last sequence and hash of each thing's chain."""
    heads: dict[int, tuple[int, str]] = {}
    for start in range(0, len(things), _LOOKUP_CHUNK):
        chunk = things[start : start + _LOOKUP_CHUNK]
        heads.update(
            {
                thing: (sequence, digest)
                for thing, sequence, digest in session.execute(_last_entries(), {"things": chunk})
            }
        )
    return heads


@cache
def _last_entries() -> Any:
    last = (
        select(JournalEntry.thing_id, func.max(JournalEntry.sequence).label("sequence"))
        .where(JournalEntry.thing_id.in_(bindparam("things", expanding=True)))
        .group_by(JournalEntry.thing_id)
        .subquery()
    )
    return select(JournalEntry.thing_id, JournalEntry.sequence, JournalEntry.hash).join(
        last, (JournalEntry.thing_id == last.c.thing_id) & (JournalEntry.sequence == last.c.sequence)
    )


def _sum_up(session: Session, entries: list[dict[str, Any]]) -> None:
    """Add the new entries to the checkpoint rows their things fall to, in the order of the rows."""
    added: dict[int, list[int]] = defaultdict(list)
    for entry in entries:
        added[entry["thing_id"] % SLOTS].append(int(entry["hash"], 16))
    held = session.execute(_checkpoint_rows(), {"slots": sorted(added)}).all()
    if len(held) != len(added):
        raise Refused(
            "checkpoint-missing",
            "The record's checkpoint is not whole, so nothing was written",
            hint="make a copy of the record, then run: matchmark verify",
        )
    summed = [
        {
            "row": slot,
            "now": count + len(added[slot]),
            "total": f"{(int(total, 16) + sum(added[slot])) % _MODULUS:064x}",
        }
        for slot, count, total in held
    ]
    session.connection().execute(_checkpoint_update(), summed)


@cache
def _checkpoint_rows() -> Any:
    rows = select(Checkpoint.slot, Checkpoint.entries, Checkpoint.sum)
    wanted = rows.where(Checkpoint.slot.in_(bindparam("slots", expanding=True)))
    return wanted.order_by(Checkpoint.slot).with_for_update()


@cache
def _checkpoint_update() -> Any:
    table: Any = Checkpoint.__table__
    return (
        update(table).where(table.c.slot == bindparam("row")).values(entries=bindparam("now"), sum=bindparam("total"))
    )
