"""Writes that a part came off as one with another: a hose and its valve."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.parts.queries import part_row
from inventory.parts.tables import Together
from inventory.store.days.dates import When
from inventory.store.facts import Act, make_fact
from inventory.store.tables import Base
from inventory.teardown.queries import OpenStripDown, last_removal

__all__ = ["rows_as_one"]


def rows_as_one(
    session: Session, act: Act, part_id: int, tag: str | None, strip_down: OpenStripDown, when: When
) -> list[Base]:
    """The fact that a part came off as one with the part of a tag; none without a tag.

    Raises `Refused` if that part did not come off in the same strip-down.
    """
    if not tag:
        return []
    other = part_row(session, tag)
    if other.id == part_id:
        raise Refused("as-one-with-itself", f"{other.tag} cannot come off as one with itself", where=other.tag)
    removal = last_removal(session, other.id)
    if removal is None or removal.strip_down_id != strip_down.id:
        raise Refused(
            "not-off-as-one",
            f"{other.tag} did not come off the {strip_down.car} in this strip-down",
            where=other.tag,
            hint="log that part first, then the one that came off with it",
        )
    return [make_fact(Together, act, part_id, when, other_id=other.id)]
