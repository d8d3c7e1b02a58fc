"""Places in the workshop, and moves between them."""

from __future__ import annotations

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = ["Move", "Place", "PlaceDescription"]


class PlaceColumns:
    """A place's name, the place it lies in, its label, and of the outermost its premises, town and security."""

    name: Mapped[str | None]
    premises: Mapped[str | None]
    label: Mapped[str | None]
    town: Mapped[str | None]
    security: Mapped[str | None]
    within_id: Mapped[int | None] = mapped_column(ForeignKey("place.id"))


class Place(PlaceColumns, Base):
    """A shelf, bin, box or room, as described now. `name_folded` is unique."""

    __tablename__ = "place"
    __table_args__ = (UniqueConstraint("name_folded"),)
    id: Mapped[ThingKey]
    name_folded: Mapped[str]


class PlaceDescription(FactColumns, PlaceColumns, Base):
    """A description of a place; an empty column says nothing."""

    __tablename__ = "place_description"


class Move(FactColumns, Base):
    """A part (or a car) was put at a place; null: it was taken from its place."""

    __tablename__ = "move"
    place_id: Mapped[int | None] = mapped_column(ForeignKey("place.id"))
