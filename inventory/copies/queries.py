"""Reads when a record was last copied, and how much was written since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.given_out.tables import PaperWritten
from inventory.store.journal.log import HEAD
from inventory.store.tables import JournalEntry, LogHead, LogPlace

__all__ = ["WHAT", "LastCopy", "last_copy"]

#: What a backup is called among the papers that were written, and the act that writes it.
WHAT = "backup"


@dataclass(frozen=True)
class LastCopy:
    """The day of the last copy (None: never copied), and how many entries were written since."""

    on: date | None
    entries_since: int


def last_copy(session: Session) -> LastCopy:
    """The last copy that is on record. That it was made counts as nothing written."""
    copy = select(PaperWritten).where(PaperWritten.what == WHAT).order_by(PaperWritten.id.desc()).limit(1)
    last = session.scalar(copy)
    if last is None:
        return LastCopy(None, session.scalar(select(LogHead.size).where(LogHead.id == HEAD)) or 0)
    entry, place = JournalEntry, LogPlace
    since = select(func.count()).select_from(entry).where(entry.act != WHAT)
    if last.anchor_size is None:
        since = since.where(entry.at > last.recorded)
    else:
        same = (place.thing_id == entry.thing_id) & (place.sequence == entry.sequence)
        since = since.join(place, same).where(place.place > last.anchor_size)
    return LastCopy(date.fromisoformat(last.recorded_on), session.scalar(since) or 0)
