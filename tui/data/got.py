"""Reading and writing for Got."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.errors import Refused
from inventory.labels.queries import remark_on
from inventory.parts import queries
from inventory.provenance.actions import receive
from tui.data.strip import names_of_places, read_on_part, seals_seen, typed
from tui.interview import CAME_IN, Interview, condition_and_damage

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["enter_part", "label_taken", "names_of_places"]


def label_taken(session: Session, tag: str) -> tuple[str, str]:
    """What carries this label, "" if it is free; and what is odd about a free one."""
    try:
        part = queries.part_row(session, tag)
    except Refused:
        return "", remark_on(session, tag)
    return part.kind or "part", ""


def enter_part(session: Session, by: str, interview: Interview) -> str:
    """Enter the part. Returns its tag."""
    own = typed(interview)
    category, damage = condition_and_damage(own.get("condition", ""))
    return receive(
        session,
        by,
        read_on_part(interview),
        tag=interview.value("label"),
        condition=category,
        damage=damage,
        remark=own.get("note"),
        seals=seals_seen(interview),
        place=own.get("place"),
        how=CAME_IN.get(own.get("came", "")),
    )
