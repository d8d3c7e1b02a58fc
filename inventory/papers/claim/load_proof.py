"""Reads what the journal can prove of some things: their entries, and that each of them is in the log."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.condition_list.roles import People
from inventory.store.journal.images import entry_hash
from inventory.store.journal.inclusion import Levels
from inventory.store.journal.log import anchor, leaf
from inventory.store.many import among
from inventory.store.tables import JournalEntry, LogPlace, Redaction

__all__ = ["load_proof"]

_FIELDS = ("thing_id", "sequence", "at", "who_id", "act", "act_key", "images", "previous", "form", "hash")


def load_proof(session: Session, things: Mapping[int, str], people: People) -> dict[str, Any]:
    """The anchor of the log as it stands, and the entries of these things (key to name) with their audit paths.

    An entry whose words name one of the `people` is given without its content: its hash is in the log all the same.
    """
    entry, place = JournalEntry.__table__.c, LogPlace.__table__.c
    same = (entry.thing_id == place.thing_id) & (entry.sequence == place.sequence)
    log = select(place.place, *(entry[name] for name in _FIELDS if name != "images"))
    joined = log.join_from(LogPlace.__table__, JournalEntry.__table__, same).order_by(place.place)
    rows = session.connection().execute(joined).all()
    levels = Levels(leaf(row.hash) for row in rows)
    root = levels.root().hex()
    wanted = [(at, row) for at, row in enumerate(rows) if row.thing_id in things]
    images = _images(session, things)
    removed = {tuple(row) for row in session.execute(select(Redaction.entry_thing, Redaction.entry_sequence))}
    entries = []
    for at, row in wanted:
        told = {name: getattr(row, name, None) for name in _FIELDS}
        said = images[row.thing_id, row.sequence]
        told["images"] = said
        if people.cut(said) != said:
            told["images"], told["left_out"] = None, "its words name somebody, so only its hash is given"
        elif entry_hash(told) != row.hash:
            cut = (row.thing_id, row.sequence) in removed
            why = "words were removed from it for good: only its hash is proved"
            told["left_out"] = why if cut else "its content does not give its hash: run matchmark verify"
        path = [step.hex() for step in levels.path(at)]
        entries.append({"thing": things[row.thing_id], "place": row.place, "path": path, "entry": told})
    size = levels.size
    return {"size": size, "root": root, "anchor": anchor(session, size, root), "entries": entries}


def _images(session: Session, things: Collection[int]) -> dict[tuple[int, int], str]:
    entry = JournalEntry.__table__.c
    query = select(entry.thing_id, entry.sequence, entry.images).where(among(entry.thing_id, things))
    return {(thing, sequence): text for thing, sequence, text in session.connection().execute(query)}
