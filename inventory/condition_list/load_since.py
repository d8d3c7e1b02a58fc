"""Reads the lists that were given out, and of how many parts something was recorded or taken back since."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.condition_list.queries import CONDITION_LIST, models_listed
from inventory.given_out.queries import WrittenPaper, written_papers
from inventory.given_out.tables import GivenOut, PaperWritten
from inventory.parts.tables import Part
from inventory.store.tables import JournalEntry, LogPlace, Withdrawal

__all__ = ["ListOvertaken", "lists_overtaken"]

_ENTRY, _PLACE = JournalEntry.__table__.c, LogPlace.__table__.c
_SAME = (_PLACE.thing_id == _ENTRY.thing_id) & (_PLACE.sequence == _ENTRY.sequence)


@dataclass(frozen=True)
class ListOvertaken:
    """The last list that somebody was given, on which day (EDTF), for whom it was drawn; `parts`: how many changed."""

    number: int
    to: str
    on: str
    audience: str
    parts: int


def lists_overtaken(session: Session) -> list[ListOvertaken]:
    """The last list of each receiver since which something was recorded of parts, the newest first.

    Nothing is drawn again: a fact counts that a list reads, whatever it says. What exactly differs is on the next list.
    """
    last: dict[str, tuple[WrittenPaper, str]] = {}
    for paper in written_papers(session, CONDITION_LIST):
        last |= {to: (paper, on) for to, on in paper.given}
    if not last:
        return []
    places = _places(session)
    changed = _changed(session, min(places[paper.number] for paper, _ in last.values()))
    found = []
    for to, (paper, on) in last.items():
        if parts := sum(place > places[paper.number] for place in changed.values()):
            audience = json.loads(paper.options or "{}").get("audience", "insurer")
            found.append(ListOvertaken(paper.number, to, on, audience, parts))
    return sorted(found, key=lambda each: -each.number)


def _places(session: Session) -> dict[int, int]:
    """Where in the log each list was written, by number; one of an older version, where it was given out.

    The place and not the moment: the clocks of two machines may differ.
    """
    places: dict[int, int] = {}
    tables: tuple[Any, ...] = (GivenOut, PaperWritten)
    for table in tables:
        wrote = (_ENTRY.thing_id == table.thing_id) & (_ENTRY.at == table.recorded)
        rows = select(table.number, func.max(_PLACE.place)).join_from(table, JournalEntry.__table__, wrote)
        of_lists = rows.join(LogPlace.__table__, _SAME).where(table.what == CONDITION_LIST).group_by(table.number)
        places |= dict(session.execute(of_lists).all())
    return places


def _changed(session: Session, since: int) -> dict[int, int]:
    """Where in the log something that a list reads was last recorded after a place, by the key of the part."""
    entries = select(_PLACE.thing_id, _ENTRY.at, _PLACE.place).join_from(
        LogPlace.__table__, JournalEntry.__table__, _SAME
    )
    of_parts = entries.join(Part, Part.id == _PLACE.thing_id).where(_PLACE.place > since)
    written = {(key, at): place for key, at, place in session.execute(of_parts)}
    oldest = min((at for _, at in written), default=None)
    changed: dict[int, int] = {}
    for model in (*models_listed(session), Withdrawal) if oldest is not None else ():
        for key, at in session.execute(select(model.thing_id, model.recorded).where(model.recorded >= oldest)):
            if (place := written.get((key, at))) is not None:
                changed[key] = max(place, changed.get(key, 0))
    return changed
