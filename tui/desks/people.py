"""What Hand over asks of the record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.provenance.hands import HAND
from inventory.provenance.queries import contacts

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["hands"]


def hands(session: Session) -> list[str]:
    """The people who have written in this record, by name."""
    return [contact.name for contact in contacts(session) if contact.role == HAND]
