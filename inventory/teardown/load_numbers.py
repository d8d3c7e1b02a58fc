"""Reads the numbers of a strip-down, and whose run each belongs to."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.people.queries import names_of_people
from inventory.teardown.numbers import Numbers
from inventory.teardown.tables import Removal

__all__ = ["load_numbers"]


def load_numbers(session: Session, strip_down_id: int) -> tuple[Numbers, dict[tuple[int, int], int]]:
    """The numbers of a strip-down, and the hand who gave each, by part and number.

    A number stays that of the hand who logged the part, whoever corrects it later.
    """
    query = select(Removal.thing_id, Removal.sequence, Removal.by_id).where(
        Removal.strip_down_id == strip_down_id, Removal.sequence.is_not(None)
    )
    hands: dict[tuple[int, int], int] = {}
    highest: dict[int, int] = {}
    for part, number, by_id in session.execute(query.order_by(Removal.recorded, Removal.id)):
        hand = hands.setdefault((part, number or 0), by_id)
        highest[hand] = max(highest.get(hand, 0), number or 0)
    return Numbers(highest, names_of_people(session, highest)), hands
