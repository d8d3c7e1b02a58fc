"""Specialists' papers on how sensors were set, and reservations."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["RELEASED", "RESERVATION_STATES", "RESERVED", "Reservation", "Setting"]

RESERVED, RELEASED = "reserved", "released"
RESERVATION_STATES = (RESERVED, RELEASED)


class Setting(FactColumns, Base):
    """A specialist set this sensor, and a paper says so: for a control unit of ours, or for a number and its code.

    With neither the paper names no mate.
    """

    __tablename__ = "setting"
    document_id: Mapped[int] = mapped_column(ForeignKey("document.id"))
    unit_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    unit_number: Mapped[str | None]
    unit_code: Mapped[str | None]


class Reservation(FactColumns, Base):
    """A part is reserved (no plan puts it in a pair) or released. `state`: reserved, released."""

    __tablename__ = "reservation"
    state: Mapped[str]
    why: Mapped[str | None]
