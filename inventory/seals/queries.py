"""Reads the last known state of a seal."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from inventory.facts.views import facts_of_many
from inventory.parts.queries import part_row
from inventory.seals.tables import SealSighting

__all__ = ["LastSeen", "last_seen"]


@dataclass(frozen=True)
class LastSeen:
    """A part and the last known state of one of its seals; `state` and `facts` are empty if nobody has looked.

    `state` is a seal state, or "renewed, with paper" if there is a document.
    """

    tag: str
    kind: str
    state: str
    facts: tuple[str, ...]


def last_seen(session: Session, tag: str, seal: str) -> LastSeen:
    """The last known state of one seal of the part with this tag."""
    part = part_row(session, tag)
    sightings = facts_of_many(session, [part.id], (SealSighting,)).get(part.id, [])
    last = next((fact for fact in reversed(sightings) if fact.values["seal"] == seal), None)
    kind = part.kind or "other"
    if last is None:
        return LastSeen(part.tag, kind, "", ())
    papered = last.values["state"] == "renewed" and last.values["document"] is not None
    return LastSeen(part.tag, kind, "renewed, with paper" if papered else str(last.values["state"]), (last.id,))
