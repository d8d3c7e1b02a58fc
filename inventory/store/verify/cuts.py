"""From which entries words were removed, and which entry says so.

What such an entry says is provable only since then, all of it: the hash that it was written with is over what is gone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.store.journal.images import read_images
from inventory.store.tables import JournalEntry, LogPlace, Redaction

__all__ = ["UNREADABLE", "Cut", "cut_since", "cuts_said", "read_cuts"]

#: What reading an entry can raise where it was changed by hand.
UNREADABLE = (TypeError, ValueError, KeyError, AttributeError, RecursionError)


@dataclass(frozen=True, slots=True)
class Cut:
    """One column of one row in entry `sequence` of a thing was cut, as entry `by` says; `key`: of the redaction."""

    thing_id: int
    sequence: int
    by: int
    key: int
    table: str
    row: int
    column: str
    left: str


def cuts_said(entry: dict[str, Any]) -> Iterator[Cut]:
    """What an entry says of words removed from earlier ones of its thing. Raises one of `UNREADABLE`."""
    for table, key, image in read_images(entry).made:
        if table == Redaction.__tablename__ and image["entry_thing"] == entry["thing_id"]:
            of = (image["of_table"], image["of_key"], image["of_column"], image["left_digest"])
            if 0 < image["entry_sequence"] < entry["sequence"]:
                yield Cut(entry["thing_id"], image["entry_sequence"], entry["sequence"], key, *of)


def read_cuts(session: Session) -> list[Cut]:
    """All that the journal says of words removed, by thing and in the order of its entries."""
    entry = JournalEntry.__table__
    things = select(Redaction.entry_thing).scalar_subquery()
    query = select(entry).where(entry.c.thing_id.in_(things)).order_by(entry.c.thing_id, entry.c.sequence)
    found: list[Cut] = []
    for each in session.connection().execute(query).mappings():
        try:
            found += cuts_said(dict(each))
        except UNREADABLE:  # told by the check of the chains
            continue
    return found


def cut_since(session: Session, place: int) -> int:
    """From how many of the entries up to a place in the log words were removed by entries after it."""
    at = LogPlace.__table__.c
    cuts = read_cuts(session)
    things = {cut.thing_id for cut in cuts}
    query = select(at.thing_id, at.sequence, at.place).where(at.thing_id.in_(things))
    places = {(thing, number): here for thing, number, here in session.connection().execute(query)}
    return len(
        {
            (cut.thing_id, cut.sequence)
            for cut in cuts
            if places.get((cut.thing_id, cut.sequence), place + 1) <= place < places.get((cut.thing_id, cut.by), 0)
        }
    )
