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
from inventory.store.tables import Withdrawal

__all__ = ["ListOvertaken", "lists_overtaken"]


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
    moments = _moments(session)
    changed = _changed(session, min(moments[paper.number] for paper, _ in last.values()))
    found = []
    for to, (paper, on) in last.items():
        if parts := sum(moment > moments[paper.number] for moment in changed.values()):
            audience = json.loads(paper.options or "{}").get("audience", "insurer")
            found.append(ListOvertaken(paper.number, to, on, audience, parts))
    return sorted(found, key=lambda each: -each.number)


def _moments(session: Session) -> dict[int, str]:
    """When each list was written, by number; for one of an older version that is when it was given out."""
    moments: dict[int, str] = {}
    tables: tuple[Any, ...] = (GivenOut, PaperWritten)
    for table in tables:
        moments |= dict(session.execute(select(table.number, table.recorded).where(table.what == CONDITION_LIST)).all())
    return moments


def _changed(session: Session, since: str) -> dict[int, str]:
    """When something that a list reads was last recorded after a moment, by the key of the part."""
    changed: dict[int, str] = {}
    for model in (*models_listed(session), Withdrawal):
        rows = select(model.thing_id, func.max(model.recorded)).where(model.recorded > since).group_by(model.thing_id)
        for key, moment in session.execute(rows.join(Part, Part.id == model.thing_id)):
            changed[key] = max(moment, changed.get(key, ""))
    return changed
