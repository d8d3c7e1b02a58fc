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
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

from sqlalchemy import bindparam, func, insert, inspect, select, update
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.store.engine import is_sqlite
from inventory.store.facts import Act
from inventory.store.guard import DOOR
from inventory.store.keys import reserve
from inventory.store.tables import Base, Checkpoint, DocumentContent, JournalEntry, Personal, SearchEntry, Thing

__all__ = ["FIRST_HASH", "SLOTS", "after_image", "canonical", "entry_hash", "lock_things", "write"]

SLOTS = 64
FIRST_HASH = "0" * 64
_MODULUS = 1 << 256
_NOT_JOURNALED = (Personal, SearchEntry, DocumentContent)
_LOOKUP_CHUNK = 500


def canonical(value: object) -> str:
    """Canonical JSON: sorted keys, no blanks, text as it is."""
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def after_image(row: Base) -> dict[str, object]:
    """All columns of a row, as they stand after the write; read past the ORM's accessors, which cost most."""
    held = vars(row)
    return {name: held.get(name) for name in _columns(type(row))}


@cache
def _columns(model: type[Base]) -> tuple[str, ...]:
    return tuple(model.__table__.c.keys())


def entry_hash(entry: dict[str, Any]) -> str:
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
        new = {row.id for row in rows if isinstance(row, Thing)}
        lock_things(session, {_owner(row) for row in rows if not isinstance(row, _NOT_JOURNALED)} - new)
        images = [after_image(row) for row in rows]
        _store(session, rows, images)
        _journal(session, act, rows, images, new)
    finally:
        session.info[DOOR] = False


def _owner(row: Base) -> int:
    """The thing in whose chain a row stands."""
    owner: int = row.thing_id if hasattr(row, "thing_id") else row.id  # type: ignore[attr-defined]
    return owner


def _give_keys(session: Session, rows: Sequence[Base]) -> None:
    missing: dict[type[Base], list[Base]] = defaultdict(list)
    for row in rows:
        if hasattr(row, "id") and row.id is None:
            missing[type(row)].append(row)
    for model, unnumbered in missing.items():
        for row, key in zip(unnumbered, reserve(session, model, len(unnumbered)), strict=True):
            row.id = key  # type: ignore[attr-defined]


def _store(session: Session, rows: Sequence[Base], images: Sequence[dict[str, object]]) -> None:
    fresh: dict[type[Base], list[dict[str, object]]] = defaultdict(list)
    loaded = []
    for row, image in zip(rows, images, strict=True):
        if inspect(row).transient:
            fresh[type(row)].append(image)
        else:
            loaded.append(row)
    for model in sorted(fresh, key=lambda each: _parents_first()[each.__tablename__]):
        session.connection().execute(insert(model.__table__), fresh[model])  # type: ignore[arg-type]
        session.info.pop(("reserved", model), None)
    if any(row not in loaded for row in session.dirty):
        raise RuntimeError("a row was changed that is not among those to be written")
    session.flush()


@cache
def _parents_first() -> dict[str, int]:
    return {table.name: place for place, table in enumerate(Base.metadata.sorted_tables)}


def _journal(
    session: Session, act: Act, rows: Sequence[Base], images: Sequence[dict[str, object]], new: set[int]
) -> None:
    written: dict[int, list[list[object]]] = defaultdict(list)
    for row, image in zip(rows, images, strict=True):
        if not isinstance(row, _NOT_JOURNALED):
            written[_owner(row)].append([row.__tablename__, image["id"], image])
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
        session.connection().execute(insert(JournalEntry.__table__), entries)  # type: ignore[arg-type]
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
