"""Sightings of seals."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["SealSighting"]


class SealSighting(FactColumns, Base):
    """One look at one seal of a part. `state` is one of `seals.states.STATES`, `document_id` the paper or picture."""

    __tablename__ = "seal_sighting"
    seal: Mapped[str]
    state: Mapped[str]
    document_id: Mapped[int | None] = mapped_column(ForeignKey("document.id"))
