"""Cuts words from the entries of a thing for good.

An entry keeps the hash it was written with, so that its chain and the log still fit; facts (`Redaction`) say what was
cut and what is left. This is the one place that changes an entry after it was written.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import bindparam, select, update
from sqlalchemy.orm import Session

from inventory.store.journal.images import entry_hash, images_with
from inventory.store.tables import JournalEntry

__all__ = ["cut_entries"]

_ENTRY: Any = JournalEntry.__table__


def cut_entries(session: Session, thing_id: int, changed: Callable[[str, int, str, str], str]) -> list[dict[str, Any]]:
    """Cut texts in the entries of a thing, which the caller holds; `changed` as for `images_with`.

    Returns the own columns of a `Redaction` for each entry, row and column; the caller writes them in the same act.
    """
    entries = session.connection().execute(select(_ENTRY).where(_ENTRY.c.thing_id == thing_id)).mappings().all()
    cuts: list[dict[str, Any]] = []
    anew: list[dict[str, Any]] = []
    for entry in map(dict, entries):
        images, columns = images_with(entry, changed)
        if columns:
            anew.append({"of": thing_id, "at_place": entry["sequence"], "left": images})
            about = {"entry_thing": thing_id, "entry_sequence": entry["sequence"]}
            about["left_digest"] = entry_hash({**entry, "images": images})
            cuts += [
                about | {"of_table": table, "of_key": key, "of_column": column}
                for table, key, column in dict.fromkeys(columns)
            ]
    if anew:
        this = (_ENTRY.c.thing_id == bindparam("of")) & (_ENTRY.c.sequence == bindparam("at_place"))
        session.connection().execute(update(_ENTRY).where(this).values(images=bindparam("left")), anew)
    return cuts
