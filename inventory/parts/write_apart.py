"""Writes that a part was parted from those that it came off as one with."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts.load_as_one import pairs_as_one
from inventory.parts.queries import part_row
from inventory.parts.tables import Part, Together
from inventory.people.actions import begin_act
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact

__all__ = ["part_from"]


def part_from(session: Session, by: str, tag: str, *, on: str | None = None) -> tuple[str, ...]:
    """Record that a part was parted from those that it came off as one with. Returns their tags."""
    part = part_row(session, tag)
    others = sorted(key for pair in pairs_as_one(session) if part.id in pair for key in pair - {part.id})
    if not others:
        raise Refused("not-as-one", f"{part.tag} did not come off as one with another part", where=part.tag)
    act = begin_act(session, "part apart", by, part.id)
    when = when_on(on, act.today)
    write(session, act, [make_fact(Together, act, part.id, when, other_id=key, apart="yes") for key in others])
    return tuple(session.get_one(Part, key).tag for key in others)
